package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Clock;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.whinograph.calibration.ArraySource;
import org.whinograph.calibration.CalibrationRequest;
import org.whinograph.calibration.CalibrationResult;
import org.whinograph.calibration.Calibrator;
import org.whinograph.calibration.SineFit;
import org.whinograph.calibration.ToneBench;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RefusedException;

/** The reference tone against IEC 60942, IEEE Std 1057 and the Cramér–Rao bound. */
class ReferenceToneVerificationTest {
  private static final double RATE = 48_000;
  private static final Calibrator CALIBRATOR = new Calibrator(Clock.systemUTC());

  private static CalibrationResult measure(ToneBench bench, double level, double frequency)
      throws RefusedException {
    return CALIBRATOR.calibrate(bench.source(), CalibrationRequest.of(level, frequency));
  }

  /** The limit of a quantity in the table of IEC 60942. */
  private static double limit(String quantity, String edition, String column) {
    for (Map<String, String> row : ReferenceTable.read("iec60942/limits.csv").rows()) {
      if (row.get("quantity").equals(quantity) && row.get("edition").equals(edition)) {
        return ReferenceTable.number(row, column);
      }
    }
    throw new IllegalArgumentException("quantity: no " + quantity + " in " + edition);
  }

  /** ISO 1683:2015 fixes 20 µPa: 1 Pa is 93.98 dB, 10 Pa are 113.98 dB (computed). */
  @Test
  void onePascalIs94Decibels() {
    assertEquals(93.98, LevelUnit.SOUND_PRESSURE.levelOf(1), 0.005);
    assertEquals(113.98, LevelUnit.SOUND_PRESSURE.levelOf(100), 0.005);
  }

  /** Tones of 94 and 114 dB at any gain, with the dirt of real recordings. */
  @Test
  void levelsAtAnyGain() throws RefusedException {
    VerificationReport report =
        new VerificationReport(
            "reference-tone-levels",
            "Reference tone: level at full scale",
            "analytic: reference level minus 20 lg of the amplitude; tolerance 0.01 dB (project)",
            "level [dB re 20 µPa]",
            "tone [dB re full scale]",
            "frequency [Hz]",
            "bits",
            "error [dB]",
            "frequency error [mHz]");
    double worst = 0;
    double worstHz = 0;
    for (double level : new double[] {94, 114}) {
      for (double db : new double[] {-0.5, -6, -18, -26, -37, -50}) {
        for (double nominal : level == 94 ? new double[] {1000} : new double[] {250, 1000}) {
          int bits = level == 94 ? 24 : 16;
          double amplitude = Math.pow(10, db / 20);
          double hz = nominal * 1.0031;
          ToneBench bench =
              new ToneBench(RATE, 4)
                  .tone(hz, amplitude)
                  .tone(2 * hz, amplitude * 0.004)
                  .tone(50, amplitude * 0.002)
                  .noise(amplitude * 0.001, 11)
                  .quantise(bits);
          CalibrationResult result = measure(bench, level, nominal);
          double error = result.calibration().levelAtFullScaleDb() - (level - db);
          double errorHz = result.calibration().frequencyHz() - hz;
          report.row(level, db, hz, bits, error, 1000 * errorHz);
          worst = Math.max(worst, Math.abs(error));
          worstHz = Math.max(worstHz, Math.abs(errorHz));
        }
      }
    }
    report.save();
    assertTrue(worst <= 0.01, "level error " + worst);
    assertTrue(worstHz <= 1e-3, "frequency error " + worstHz);
  }

  /** Known distortion and noise are found, and refused beyond class 1 of IEC 60942:2003. */
  @Test
  void distortionAgainstIec60942() throws RefusedException {
    double limit = limit("total distortion+noise incl uncertainty", "2003", "class1");
    VerificationReport report =
        new VerificationReport(
            "reference-tone-distortion",
            "Reference tone: distortion plus noise",
            "analytic ratio; IEC 60942:2003 class 1 limit " + limit + " % (from memory)",
            "kind",
            "put in [%]",
            "found [%]",
            "verdict");
    double worst = 0;
    for (double percent : new double[] {0.1, 0.5, 1, 2, 2.9, 3.1, 5, 20}) {
      for (String kind : new String[] {"2nd harmonic", "3rd harmonic", "white noise", "hum"}) {
        double part = 0.1 * percent / 100;
        ToneBench bench = new ToneBench(RATE, 6).tone(1000.7, 0.1);
        switch (kind) {
          case "2nd harmonic" -> bench.tone(2001.4, part);
          case "3rd harmonic" -> bench.tone(3002.1, part);
          case "white noise" ->
              // Of white noise up to 24 kHz only the part from 30 Hz to 20 kHz counts.
              bench.noise(part / Math.sqrt(2) * Math.sqrt(24_000.0 / 19_970), 5);
          default -> bench.tone(50, part);
        }
        if (percent > limit) {
          String message =
              assertThrows(RefusedException.class, () -> measure(bench, 94, 1000)).getMessage();
          report.row(kind, percent, message.replaceAll(".* is ([0-9.]+) %.*", "$1"), "refused");
          assertTrue(message.contains("distortion plus noise"), message);
        } else {
          double found = 100 * measure(bench, 94, 1000).calibration().distortionPlusNoise();
          report.row(kind, percent, found, "taken");
          worst = Math.max(worst, Math.abs(found / percent - 1));
        }
      }
    }
    report.save();
    assertTrue(worst <= 0.02, "ratio off by " + worst);
  }

  /** Frequency and fluctuation limits of IEC 60942:2003 decide, at either side of them. */
  @Test
  void limitsOfIec60942() throws RefusedException {
    double percent = limit("frequency deviation incl uncertainty", "2003", "class2");
    double steady = limit("short-term level fluctuation incl uncertainty", "2003", "class1");
    for (double sign : new double[] {-1, 1}) {
      double inside = 1000 * (1 + sign * (percent - 0.02) / 100);
      double outside = 1000 * (1 + sign * (percent + 0.02) / 100);
      assertEquals(
          inside,
          measure(new ToneBench(RATE, 4).tone(inside, 0.1), 94, 1000).calibration().frequencyHz(),
          1e-3);
      assertThrows(
          RefusedException.class,
          () -> measure(new ToneBench(RATE, 4).tone(outside, 0.1), 94, 1000));
    }
    // Amplitude modulation at 1 Hz: half the difference of its extremes is the fluctuation.
    double within = Math.pow(10, 0.9 * steady / 20) - 1;
    double beyond = Math.pow(10, 1.2 * steady / 20) - 1;
    ToneBench calm =
        new ToneBench(RATE, 8).tone(1000, 0.1, t -> 1 + within * Math.sin(2 * Math.PI * t));
    assertEquals(
        0.9 * steady, measure(calm, 94, 1000).calibration().fluctuationDb(), 0.03 * steady);
    ToneBench moved =
        new ToneBench(RATE, 8).tone(1000, 0.1, t -> 1 + beyond * Math.sin(2 * Math.PI * t));
    String message =
        assertThrows(RefusedException.class, () -> measure(moved, 94, 1000)).getMessage();
    assertTrue(message.contains("fluctuation 0.12 dB"), message);
  }

  /**
   * The four-parameter fit reaches the Cramér–Rao bound: var(f) ≥ 6σ²·fs²/(π²A²N(N²−1)), var(A) ≥
   * 2σ²/N (Rife and Boorstyn, IEEE Trans. Inf. Theory 20, 1974, 591–598; from memory). 400 fits
   * know their spread within 3.5 % (1/√(2·400)); four of these are allowed.
   */
  @Test
  void fitReachesTheCramerRaoBound() {
    int length = 4800;
    double sigma = 0.003;
    double amplitude = 0.1;
    int runs = 400;
    ToneBench noise = new ToneBench(RATE, runs * 0.1).noise(sigma, 99);
    double squaresHz = 0;
    double squaresA = 0;
    double control = 0;
    double hz = 997.3;
    for (int run = 0; run < runs; run++) {
      double[] samples = new double[length];
      for (int i = 0; i < length; i++) {
        samples[i] =
            0.02
                + amplitude * Math.cos(2 * Math.PI * hz * i / RATE + run)
                + noise.samples[run * length + i];
      }
      SineFit fit = SineFit.fourParameters(samples, 0, length, RATE, hz + 3);
      squaresHz += Math.pow(fit.frequencyHz() - hz, 2);
      squaresA += Math.pow(fit.amplitude() - amplitude, 2);
      control += SineFit.threeParameters(samples, 0, length, RATE, hz + 3).amplitude();
    }
    double boundHz =
        Math.sqrt(6)
            * sigma
            * RATE
            / (Math.PI * amplitude * Math.sqrt((double) length * ((double) length * length - 1)));
    double boundA = sigma * Math.sqrt(2.0 / length);
    VerificationReport report =
        new VerificationReport(
            "sine-fit-bound",
            "Four-parameter sine fit over 0.1 s at 27 dB",
            "IEEE Std 1057-2017 annex B; Cramér–Rao bound (Rife and Boorstyn 1974)",
            "quantity",
            "rms error",
            "bound");
    report.row("frequency [Hz]", Math.sqrt(squaresHz / runs), boundHz);
    report.row("amplitude [1]", Math.sqrt(squaresA / runs), boundA);
    report.save();
    assertEquals(1, Math.sqrt(squaresHz / runs) / boundHz, 0.14);
    assertEquals(1, Math.sqrt(squaresA / runs) / boundA, 0.14);
    // Negative control: held 3 Hz off, the amplitude falls by sin(x)/x, x = π·3 Hz·0.1 s.
    double x = Math.PI * 3 * 0.1;
    assertEquals(Math.sin(x) / x, control / runs / amplitude, 0.002);
  }

  /**
   * A pure sine through the fit with whole and broken numbers of periods: exact to rounding, where
   * the rms of the samples is not.
   */
  @Test
  void fitIsExactForAnyNumberOfPeriods() {
    for (double hz : new double[] {250, 251.7, 1000, 1013.77, 4999}) {
      ToneBench bench = new ToneBench(RATE, 0.1).tone(hz, 0.25).offset(-0.1);
      SineFit fit = SineFit.fourParameters(bench.samples, 0, bench.samples.length, RATE, hz + 2.2);
      assertEquals(0.25, fit.amplitude(), 1e-10);
      assertEquals(hz, fit.frequencyHz(), 1e-7);
      assertEquals(-0.1, fit.offset(), 1e-10);
    }
  }

  /** Without the trim of handling noise the level of a knocked tone would be wrong. */
  @Test
  void handlingNoiseIsLeftOut() throws RefusedException {
    ToneBench bench = new ToneBench(RATE, 10).tone(1000, 0.1, 0.5, 9.5);
    for (double at : new double[] {0.4, 1.1, 2.0, 8.0, 9.2}) {
      bench.knock(at, 0.5, (long) (10 * at));
    }
    assertEquals(114, measure(bench, 94, 1000).calibration().levelAtFullScaleDb(), 0.005);
    double energy = 0;
    for (int i = (int) (0.5 * RATE); i < 9.5 * RATE; i++) {
      energy += bench.samples[i] * bench.samples[i];
    }
    double naive = LevelUnit.FULL_SCALE.levelOf(energy / (9 * RATE));
    assertTrue(naive + 20 > 0.1, "rms over all of it reads high by " + (naive + 20) + " dB");
  }

  /** A gain control of any strength would move the reference by what it rode, hence the refusal. */
  @Test
  void gainControlIsRefused() {
    VerificationReport report =
        new VerificationReport(
            "reference-tone-gain-control",
            "Reference tone under gain control that rides down and rests",
            "simulated; a record must not be off by more than 0.1 dB",
            "excess [dB]",
            "time constant [s]",
            "error if the end were taken [dB]",
            "verdict");
    int taken = 0;
    for (double excess : new double[] {0.5, 1, 2, 4, 8, 15}) {
      for (double tau : new double[] {0.02, 0.1, 0.3, 1, 2}) {
        ToneBench bench =
            new ToneBench(RATE, 12)
                .tone(1000, 0.03, t -> t < 1 ? 0 : 1)
                .noise(1e-5, 4)
                .gain(t -> Math.pow(10, excess * (t < 1 ? 1 : Math.exp(-(t - 1) / tau)) / 20));
        boolean refused;
        try {
          measure(bench, 94, 1000);
          refused = false;
        } catch (RefusedException e) {
          refused = true;
        }
        taken += refused || excess * tau < 0.015 ? 0 : 1;
        report.row(excess, tau, -excess, refused ? "refused" : "taken");
      }
    }
    report.save();
    assertEquals(0, taken);
  }

  /** The source is read in the order and lengths that it likes. */
  @Test
  void sourceOfAnotherRate() throws RefusedException {
    for (double rate : new double[] {44_100, 96_000, 192_000}) {
      ToneBench bench = new ToneBench(rate, 4).tone(1000.2, 0.1);
      CalibrationResult result =
          CALIBRATOR.calibrate(
              new ArraySource(bench.samples, rate), CalibrationRequest.of(94, 1000));
      assertEquals(114, result.calibration().levelAtFullScaleDb(), 1e-6);
      assertEquals(1000.2, result.calibration().frequencyHz(), 1e-6);
    }
  }
}
