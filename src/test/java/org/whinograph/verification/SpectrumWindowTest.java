package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.spectrum.FrameStream;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.spectrum.SpectrumAverager;
import org.whinograph.spectrum.Window;

/**
 * Window constants against Harris, Proc. IEEE 66 (1978), table I, and against Heinzel, Rüdiger and
 * Schilling (2002), section D.3.4 (HFT95); both from memory. Energy against Parseval's theorem.
 */
class SpectrumWindowTest {
  private record Published(
      Window window,
      double coherentGain,
      double noiseBandwidth,
      double scallopingDb,
      double halfOverlap) {}

  /** Half-overlap correlation of the flat top isn't in the table: NaN. */
  private static final Published[] TABLE = {
    new Published(Window.RECTANGULAR, 1.00, 1.00, 3.92, 0.500),
    new Published(Window.HANN, 0.50, 1.50, 1.42, 0.167),
    new Published(Window.BLACKMAN_HARRIS, 0.36, 2.00, 0.83, 0.038),
    new Published(Window.FLAT_TOP, 1.00, 3.8112, 0.0044, Double.NaN)
  };

  @Test
  void constantsAreThePublishedOnes() {
    VerificationReport report =
        new VerificationReport(
            "windows",
            "Windows",
            "Harris 1978, table I; Heinzel, Rüdiger, Schilling 2002, D.3.4 (from memory)",
            "window",
            "coherent gain [1]",
            "noise bandwidth [lines]",
            "scalloping loss [dB]",
            "correlation at half overlap [1]");
    for (Published row : TABLE) {
      report.row(
          row.window,
          row.window.coherentGain(),
          row.window.noiseBandwidthLines(),
          scalloping(row.window),
          row.window.overlapCorrelation(4096, 2048));
    }
    report.save();
    for (Published row : TABLE) {
      // The flat top is published with five digits, the others with three.
      double rounding = row.window == Window.FLAT_TOP ? 0.00005 : 0.005;
      assertEquals(row.coherentGain, row.window.coherentGain(), 0.005);
      assertEquals(row.noiseBandwidth, row.window.noiseBandwidthLines(), rounding);
      assertEquals(row.scallopingDb, scalloping(row.window), rounding);
      if (!Double.isNaN(row.halfOverlap)) {
        assertEquals(row.halfOverlap, row.window.overlapCorrelation(4096, 2048), 0.0005);
      }
    }
  }

  /** Largest error of a line's level for a tone up to half a line away. */
  private static double scalloping(Window window) {
    double largest = 0.0;
    for (int i = 0; i <= 500; i++) {
      largest = Math.max(largest, Math.abs(Decibels.ofAmplitudeRatio(window.response(i / 1000.0))));
    }
    return largest;
  }

  @Test
  void samplesHaveTheGainAndBandwidthOfTheFormulas() {
    for (Window window : Window.values()) {
      double[] w = window.samples(256);
      double sum = 0.0;
      double energy = 0.0;
      for (double sample : w) {
        sum += sample;
        energy += sample * sample;
      }
      assertEquals(window.coherentGain(), sum / 256, 1e-12);
      assertEquals(window.noiseBandwidthLines(), 256 * energy / (sum * sum), 1e-9);
    }
  }

  @Test
  void aToneReadsItsMeanSquareAndTheBandItsEnergy() {
    int n = 4096;
    double line = 200.25;
    for (Window window : Window.values()) {
      double[] samples = new double[n];
      for (int i = 0; i < n; i++) {
        samples[i] = 3.0 * Math.sin(2.0 * Math.PI * 200.0 * i / n + 0.3);
      }
      assertEquals(4.5, spectrum(window, samples).meanSquare()[200], 1e-9);
      for (int i = 0; i < n; i++) {
        samples[i] = 3.0 * Math.sin(2.0 * Math.PI * line * i / n + 0.3);
      }
      double expected = 4.5 * Math.pow(window.response(0.25), 2);
      assertEquals(expected, spectrum(window, samples).meanSquare()[200], 0.01);
    }
  }

  /** Parseval: Σ of the lines over the noise bandwidth is the windowed frame's mean square. */
  @Test
  void energyIsKept() {
    Random random = new Random(5);
    int n = 2048;
    double[] samples = random.doubles(n, -1.0, 1.0).toArray();
    for (Window window : Window.values()) {
      double[] w = window.samples(n);
      double energy = 0.0;
      double weight = 0.0;
      for (int i = 0; i < n; i++) {
        energy += w[i] * w[i] * samples[i] * samples[i];
        weight += w[i] * w[i];
      }
      Spectrum spectrum = spectrum(window, samples);
      double sum = 0.0;
      for (double line : spectrum.meanSquare()) {
        sum += line;
      }
      assertEquals(energy / weight, sum / spectrum.noiseBandwidthLines(), 1e-12);
    }
  }

  /**
   * Negative control: averaging decibels instead of energy reads Gaussian noise low by 10 lg e^γ =
   * 2.507 dB (γ Euler's constant: the mean of ln of an exponential variable is −γ).
   */
  @Test
  void averagingDecibelsWouldReadNoiseLow() {
    int n = 1024;
    Random random = new Random(9);
    double[] samples = new double[n * 400];
    for (int i = 0; i < samples.length; i++) {
      samples[i] = random.nextGaussian();
    }
    double[] energy = new double[n / 2];
    double[] decibels = new double[n / 2];
    FrameStream stream = new FrameStream(Window.HANN, n, n / 2, 0);
    stream.addListener(
        (index, lines) -> {
          for (int k = 1; k < n / 2; k++) {
            double power = lines[2 * k] * lines[2 * k] + lines[2 * k + 1] * lines[2 * k + 1];
            energy[k] += power;
            decibels[k] += Decibels.ofEnergyRatio(power);
          }
        });
    stream.accept(SampleBlock.of(samples, samples.length, 48_000, 0));
    double difference = 0.0;
    for (int k = 1; k < n / 2; k++) {
      difference +=
          Decibels.ofEnergyRatio(energy[k] / stream.frames()) - decibels[k] / stream.frames();
    }
    double expected = 10.0 * 0.5772156649 / Math.log(10.0);
    assertEquals(2.51, expected, 0.005);
    assertEquals(expected, difference / (n / 2 - 1), 0.03);
  }

  @Test
  void overlappingFramesAreWorthFewer() {
    SpectrumAverager averager = new SpectrumAverager(Window.HANN, 1024, 512, 48_000);
    FrameStream stream = new FrameStream(Window.HANN, 1024, 512, 0);
    stream.addListener(averager);
    double[] samples = new Random(3).doubles(1024 * 100, -1, 1).toArray();
    stream.accept(SampleBlock.of(samples, samples.length, 48_000, 0));
    Spectrum spectrum = averager.spectrum(LevelUnit.FULL_SCALE);
    // Welch 1967: 1 + 2 (1/6)² in the limit of many frames.
    assertEquals(spectrum.frames() / (1.0 + 2.0 / 36.0), spectrum.independentFrames(), 0.1);
    assertTrue(spectrum.independentFrames() < spectrum.frames());
  }

  private static Spectrum spectrum(Window window, double[] samples) {
    int n = samples.length;
    FrameStream stream = new FrameStream(window, n, n / 2, 0);
    SpectrumAverager averager = new SpectrumAverager(window, n, n / 2, 48_000);
    stream.addListener(averager);
    stream.accept(SampleBlock.of(samples, n, 48_000, 0));
    return averager.spectrum(LevelUnit.FULL_SCALE);
  }
}
