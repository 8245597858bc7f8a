package org.whinograph.rehearsal;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.apache.commons.math3.complex.Complex;
import org.apache.commons.math3.distribution.NormalDistribution;
import org.apache.commons.math3.stat.StatUtils;
import org.apache.commons.math3.transform.DftNormalization;
import org.apache.commons.math3.transform.FastFourierTransformer;
import org.apache.commons.math3.transform.TransformType;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;

/** The generator against statistics, transforms and distributions of Commons Math. */
class DeviceSourceTest {
  /** Reads a whole device in blocks of a size. */
  static double[] samples(Device device, long seed, int blockSize) {
    double[] all = new double[(int) device.frames()];
    int filled = 0;
    try (DeviceSource source = new DeviceSource(device, seed)) {
      for (SampleBlock block = source.read(blockSize);
          block != null;
          block = source.read(blockSize)) {
        assertEquals(filled, block.position());
        System.arraycopy(block.samples(), 0, all, filled, block.length());
        filled += block.length();
      }
    }
    assertEquals(all.length, filled);
    return all;
  }

  private static Device everything() {
    return Device.builder("everything")
        .duration(1.3)
        .fan(
            new Fan(
                7,
                SpeedProfile.of(0, 6000, 0.6, 9000).withJitter(0.2, 3).withDrift(1, 5),
                6000,
                NoiseShape.sloped(0, -3),
                55))
        .bladePass(40, 34, 30)
        .shaft(20, 18, 12)
        .motor(9, 8, 25)
        .drive(15_000, 25, 1, 12)
        .hum(50, 20, 25)
        .line(Line.load(9000, 500, 20, 6))
        .load(TimeProfile.of(0, 0, 1, 1))
        .resonance(800, 8, 9)
        .background(Devices.quietRoom())
        .selfNoise(Devices.selfNoise())
        .burst(new NoiseBurst(0.2, 0.5, NoiseShape.flat(10)))
        .response(ResponseCurve.of(100, 0, 10_000, 3))
        .levelAtFullScale(120)
        .quantisation(Quantisation.BITS_24)
        .build();
  }

  @ParameterizedTest
  @ValueSource(ints = {1, 7, 64, 1000, 8192, 65_536})
  void blockSizeNeverChangesABit(int blockSize) {
    assertArrayEquals(samples(everything(), 3, 8192), samples(everything(), 3, blockSize), 0.0);
  }

  @Test
  void seedsDiffer() {
    double[] a = samples(everything(), 3, 8192);
    double[] b = samples(everything(), 4, 8192);
    assertTrue(!Arrays.equals(a, b));
  }

  /**
   * Quantiles of the normal distribution turned back by the distribution function of Commons Math,
   * whose own quantiles come from a root finder and are coarse in the tails.
   */
  @Test
  void normalQuantileInvertsTheDistributionOfCommonsMath() {
    NormalDistribution normal = new NormalDistribution(null, 0, 1);
    for (double p = 1e-15; p < 1; p = p < 0.01 ? p * 1.5 : p + 0.001) {
      double turnedBack = normal.cumulativeProbability(Chance.normalQuantile(p));
      assertEquals(1, turnedBack / p, 2e-12, "p = " + p);
    }
  }

  /** Moments of a million normal numbers within four standard errors: 1/√n, √(2/n), √(24/n). */
  @Test
  void normalNumbersHaveNormalMomentsAndNoMemory() {
    int n = 1_000_000;
    double[] x = new double[n];
    double fourth = 0;
    double lagged = 0;
    for (int i = 0; i < n; i++) {
      x[i] = Chance.normal(11, i);
      fourth += Math.pow(x[i], 4) / n;
      lagged += i == 0 ? 0 : x[i] * x[i - 1] / n;
    }
    assertEquals(0, StatUtils.mean(x), 4 / Math.sqrt(n));
    assertEquals(1, StatUtils.variance(x), 4 * Math.sqrt(2.0 / n));
    assertEquals(3, fourth, 4 * Math.sqrt(96.0 / n));
    assertEquals(0, lagged, 4 / Math.sqrt(n));
  }

  @Test
  void sineIsThatOfJava() {
    for (double turns = -2; turns <= 2; turns += 0.00137) {
      assertEquals(Math.sin(2 * Math.PI * turns), DeviceSource.sineOfTurns(turns), 3e-15);
    }
  }

  /** A steady tone is A·sin(2π(f·n/fs + φ)) to rounding, by least squares over every sample. */
  @Test
  void steadyToneHasExactPhaseAndLevel() {
    Device device =
        Device.builder("tone")
            .duration(20)
            .line(Line.fixed(LineCause.FIXED, 1234.5678, 60))
            .levelAtFullScale(120)
            .build();
    double[] x = samples(device, 5, 4096);
    double phase = DeviceSource.startPhaseTurns(5, 0);
    // 60 dB below a full-scale sine, whose peak is 1.
    double worst = 0;
    for (int n = 0; n < x.length; n++) {
      double turns = 1234.5678 * n / 48_000 + phase;
      worst = Math.max(worst, Math.abs(x[n] - 1e-3 * Math.sin(2 * Math.PI * turns)));
    }
    assertTrue(worst < 1e-3 * 1e-9, "worst deviation " + worst);
  }

  /** On a linear ramp the phase is the order times (n₀ t + ½ a t²), in closed form. */
  @Test
  void rampedToneFollowsTheIntegralOfTheSpeed() {
    Device device =
        Device.builder("ramp")
            .duration(10)
            .fan(11, SpeedProfile.of(0, 3000, 10, 6000), 3000)
            .line(Line.order(LineCause.BLADE_PASS, 0, 11, 60).withSlope(0))
            .levelAtFullScale(120)
            .build();
    double[] x = samples(device, 6, 4096);
    double phase = DeviceSource.startPhaseTurns(6, 0);
    double worst = 0;
    for (int n = 0; n < x.length; n++) {
      double t = n / 48_000.0;
      double turns = 11 * (50 * t + 0.5 * 5 * t * t) + phase;
      worst = Math.max(worst, Math.abs(x[n] - 1e-3 * Math.sin(2 * Math.PI * turns)));
    }
    assertTrue(worst < 1e-3 * 1e-7, "worst deviation " + worst);
  }

  /** Density of shaped noise by averaged periodograms of Commons Math against the description. */
  @Test
  void shapedNoiseHasItsDensity() {
    NoiseShape shape = NoiseShape.of(50, 30, 1000, 10, 2000, 20, 20_000, -10);
    Device device = Device.builder("noise").duration(60).background(shape).build();
    double[] x = samples(device, 7, 4096);
    int length = 4096;
    double[] density = new double[length / 2];
    FastFourierTransformer transformer = new FastFourierTransformer(DftNormalization.STANDARD);
    int frames = 0;
    for (int start = 0; start + length <= x.length; start += length) {
      double[] frame = new double[length];
      double windowPower = 0;
      for (int i = 0; i < length; i++) {
        double window = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / length);
        windowPower += window * window;
        frame[i] = x[start + i] * window;
      }
      Complex[] lines = transformer.transform(frame, TransformType.FORWARD);
      for (int k = 0; k < density.length; k++) {
        double magnitude = lines[k].abs();
        density[k] += 2 * magnitude * magnitude / (windowPower * 48_000);
      }
      frames++;
    }
    // Groups of lines: each frame and line is one exponential variate, σ = 4.34 dB / √(count).
    for (double f : new double[] {100, 300, 1000, 2000, 5000, 10_000, 18_000}) {
      int width = (int) Math.max(1, 0.02 * f / 48_000 * length);
      int centre = (int) Math.round(f / 48_000 * length);
      double measured = 0;
      double wanted = 0;
      for (int k = centre - width; k <= centre + width; k++) {
        // Full scale is 120 dB re 20 µPa for a sine of mean square 1/2.
        measured += density[k] / frames * 2e12;
        wanted += Math.pow(10, shape.densityDb(k * 48_000.0 / length) / 10);
      }
      double sigma = 4.34 / Math.sqrt(frames * (2 * width + 1) / 1.5);
      assertEquals(
          10 * Math.log10(wanted), 10 * Math.log10(measured), 4 * sigma + 0.08, "at " + f + " Hz");
    }
  }

  /** Rounding with triangular dither errs by q²/4, independent of what is rounded. */
  @Test
  void ditheredRoundingErrsByItsMeanSquare() {
    Device.Builder tone =
        Device.builder("quiet tone")
            .duration(10)
            .line(Line.fixed(LineCause.FIXED, 997, 33))
            .levelAtFullScale(120);
    double[] exact = samples(tone.build(), 8, 4096);
    double[] rounded = samples(tone.quantisation(Quantisation.BITS_16).build(), 8, 4096);
    double error = 0;
    for (int i = 0; i < exact.length; i++) {
      error += Math.pow(rounded[i] - exact[i], 2) / exact.length;
      assertEquals(Math.rint(rounded[i] * 32_768), rounded[i] * 32_768, 0.0);
    }
    assertEquals(1, error / Quantisation.BITS_16.errorMeanSquare(), 0.01);
    assertEquals(0.25 / 32_768 / 32_768, Quantisation.BITS_16.errorMeanSquare(), 1e-20);
  }

  @Test
  void clippingIsFlagged() {
    Device device =
        Device.builder("loud")
            .duration(0.1)
            .line(Line.fixed(LineCause.FIXED, 100, 126))
            .quantisation(Quantisation.BITS_24)
            .build();
    long flagged = 0;
    long atEnd = 0;
    try (DeviceSource source = new DeviceSource(device, 9)) {
      for (SampleBlock block = source.read(100); block != null; block = source.read(100)) {
        for (Span span : block.overloads()) {
          assertTrue(span.position() >= block.position());
          assertTrue(span.end() <= block.position() + block.length());
          flagged += span.length();
        }
        for (int i = 0; i < block.length(); i++) {
          atEnd += block.samples()[i] == -1 || block.samples()[i] == 1 - 0x1p-23 ? 1 : 0;
        }
      }
      assertNull(source.read(1));
    }
    // A sine of twice full scale is beyond it for 2/3 of the time.
    assertEquals(2.0 / 3, flagged / 4800.0, 0.01);
    assertEquals(flagged, atEnd);
  }

  /** Jitter has the rms that was asked for, and the mean speed that the phase integrates to. */
  @Test
  void jitterHasItsSize() {
    Device device =
        Device.builder("jitter")
            .duration(600)
            .fan(7, SpeedProfile.steady(6000).withJitter(0.3, 2), 6000)
            .build();
    SpeedTrack track = SpeedTrack.of(device, 10, 0, 0.01);
    // 2π · 2 Hz · 600 s / 2 independent values: σ of the rms is 1/√(2 · 3770).
    assertEquals(0.3, 100 * Math.sqrt(StatUtils.variance(track.rpm())) / 6000, 4 * 0.3 / 86.8);
    double mean = StatUtils.mean(track.rpm());
    assertEquals(mean, track.meanRpm(0, 600), 0.05);
  }

  @Test
  void stoppedFanIsSilent() {
    Device device =
        Device.builder("stop")
            .duration(3)
            .fan(new Fan(7, SpeedProfile.of(1, 6000, 1.5, 0), 6000, NoiseShape.flat(20), 55))
            .bladePass(50)
            .build();
    double[] x = samples(device, 12, 4096);
    assertTrue(StatUtils.sumSq(x, 0, 48_000) > 0);
    assertEquals(0, StatUtils.sumSq(x, 80_000, 60_000), 1e-30);
  }
}
