package org.whinograph.speed.order;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.signal.SampleBlock;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.verification.VerificationReport;

/**
 * Beats of two tones against the sum of two phasors: swell and fade lie 20 lg[(a + b)/|a − b|]
 * apart, d times a second.
 */
class EnvelopeMeterTest {
  private static final double RATE = 48_000;
  private static final int ORDER = 7;
  private static final double SECONDS = 32;

  /** Speed of the first fan: 6240 1/min with a slow drift [1/s]. */
  private static double turns(double t, double drift) {
    return 104.0 * (t - drift * 12 / (2 * Math.PI) * Math.cos(2 * Math.PI * t / 12));
  }

  private static SpeedTrack track(double drift) {
    int frames = (int) (SECONDS / 0.25);
    double[] time = new double[frames];
    double[] rpm = new double[frames];
    for (int i = 0; i < frames; i++) {
      time[i] = 0.25 * (i + 0.5);
      rpm[i] = 6240 * (1 + drift * Math.sin(2 * Math.PI * time[i] / 12));
    }
    return new SpeedTrack(time, rpm, rpm, rpm);
  }

  /** Two tones d Hz apart, the second weaker by a level, in noise; the first 20 dB-Hz above it. */
  private static double[] beat(double d, double weakerDb, double drift, double noise) {
    Random random = new Random(6);
    double b = Math.pow(10, -weakerDb / 20);
    double[] samples = new double[(int) (SECONDS * RATE)];
    for (int i = 0; i < samples.length; i++) {
      double t = i / RATE;
      double phase = 2 * Math.PI * ORDER * turns(t, drift);
      samples[i] =
          Math.sin(phase)
              + b * Math.sin(phase + 2 * Math.PI * d * t + 1)
              + noise * random.nextGaussian();
    }
    return samples;
  }

  private static Envelope measured(double[] samples, double drift, int block) {
    EnvelopeMeter meter = new EnvelopeMeter(RATE, track(drift), ORDER);
    for (int p = 0; p < samples.length; p += block) {
      int n = Math.min(block, samples.length - p);
      meter.accept(SampleBlock.of(Arrays.copyOfRange(samples, p, p + n), n, RATE, p));
    }
    return meter.result();
  }

  @Test
  void rateAndDepthAreThoseOfTwoPhasors() {
    VerificationReport report =
        new VerificationReport(
            "beat-envelope",
            "Beat of two tones by the envelope, C/N0 of the stronger 30 dB-Hz",
            "sum of two phasors: 20 lg[(a + b)/|a − b|]",
            "rate Hz",
            "level difference dB",
            "rate measured Hz",
            "depth dB",
            "depth measured dB");
    // Mean square ½ of the tone over 30 dB-Hz: noise of ½·10⁻³ a hertz up to 24 kHz.
    double noise = Math.sqrt(0.5e-3 * RATE / 2);
    int rateErrors = 0;
    int depthErrors = 0;
    for (double rate : new double[] {0.5, 1, 1.633, 3, 5, 10}) {
      for (double difference : new double[] {3, 6, 12}) {
        Envelope envelope = measured(beat(rate, difference, 0.003, noise), 0.003, 65_536);
        double b = Math.pow(10, -difference / 20);
        double depth = 20 * Math.log10((1 + b) / (1 - b));
        assertTrue(envelope.rateHz().known(), rate + " Hz: " + envelope.rateHz().reason());
        report.row(rate, difference, envelope.rateHz().value(), depth, envelope.depth().value());
        rateErrors += Math.abs(rate - envelope.rateHz().value()) > 0.02 ? 1 : 0;
        // Noise of 3 % in the band scatters the fade more, the deeper it is.
        double allowed = 0.05 * depth + 0.2;
        depthErrors += Math.abs(depth - envelope.depth().value()) > allowed ? 1 : 0;
      }
    }
    report.save();
    assertEquals(0, rateErrors);
    assertEquals(0, depthErrors);
  }

  /** Negative controls: one tone alone, and noise alone. */
  @Test
  void oneToneDoesNotBeat() {
    double noise = Math.sqrt(0.5e-3 * RATE / 2);
    assertFalse(measured(beat(1, 200, 0.003, noise), 0.003, 65_536).rateHz().known());
    double[] alone = new double[(int) (SECONDS * RATE)];
    Random random = new Random(7);
    for (int i = 0; i < alone.length; i++) {
      alone[i] = random.nextGaussian();
    }
    assertFalse(measured(alone, 0.003, 65_536).rateHz().known());
  }

  @Test
  void blocksDoNotChangeAnything() {
    double[] samples = beat(1.633, 3, 0.003, 1);
    Envelope one = measured(samples, 0.003, samples.length);
    for (int block : new int[] {1, 997}) {
      assertEquals(one, measured(samples, 0.003, block));
    }
  }

  @Test
  void aSpeedThatIsKnownForTooShortATimeGivesNoEnvelope() {
    double[] samples = Arrays.copyOf(beat(1, 3, 0, 1), (int) (8 * RATE));
    assertFalse(measured(samples, 0, 65_536).depth().known());
  }

  /** Only some of a long recording is heard, but that up to its end and all parts alike. */
  @Test
  void aBeatThatBeginsLateCountsByHowLongItLasts() {
    double rate = 8_000;
    int seconds = 1200;
    double b = Math.pow(10, -6.0 / 20);
    double[] time = {0, seconds};
    double[] rpm = {6240, 6240};
    EnvelopeMeter meter = new EnvelopeMeter(rate, new SpeedTrack(time, rpm, rpm, rpm), ORDER);
    Random random = new Random(8);
    double[] samples = new double[(int) rate];
    for (int s = 0; s < seconds; s++) {
      for (int i = 0; i < samples.length; i++) {
        double t = s + i / rate;
        double beside = t < seconds / 2.0 ? 0.0 : b;
        samples[i] =
            Math.sin(2 * Math.PI * ORDER * 104 * t)
                + beside * Math.sin(2 * Math.PI * (ORDER * 104 + 1.633) * t)
                + 0.1 * random.nextGaussian();
      }
      meter.accept(SampleBlock.of(samples, samples.length, rate, (long) (s * rate)));
    }
    Envelope envelope = meter.result();
    assertEquals(1.633, envelope.rateHz().value(), 0.02);
    // Half of the time the power's line is 2ab: its mean square is that of an amplitude of 2ab/√2,
    // beside a mean power of a² + b²/2.
    double modulation = 2 * b / Math.sqrt(2) / (1 + b * b / 2);
    double depth = 10 * Math.log10((1 + modulation) / (1 - modulation));
    assertEquals(depth, envelope.depth().value(), 0.06 * depth);
  }
}
