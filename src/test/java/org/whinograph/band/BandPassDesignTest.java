package org.whinograph.band;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.apache.commons.math3.analysis.polynomials.PolynomialFunction;
import org.apache.commons.math3.complex.Complex;
import org.apache.commons.math3.transform.DftNormalization;
import org.apache.commons.math3.transform.FastFourierTransformer;
import org.apache.commons.math3.transform.TransformType;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.Decibels;
import org.whinograph.verification.BandMask;
import org.whinograph.verification.VerificationReport;

/** The designs alone, over all places that a band can take below half the rate. */
class BandPassDesignTest {
  private static final Band THIRD = Band.thirdOctaves().get(17);
  private static final Band OCTAVE = Band.octaves().get(5);

  /**
   * Whatever the rate, and so wherever the upper edge lies between half the highest place and the
   * highest: class 1 (IEC 61260-1:2014, table 1) and the effective bandwidth (5.12) within 0.001
   * dB.
   */
  @Test
  void everyPlaceBelowHalfTheRateGivesClass1() {
    VerificationReport report =
        new VerificationReport(
            "band-design",
            "Designs over all places of the upper band edge",
            "IEC 61260-1:2014, 5.10 to 5.12, class 1",
            "bandwidth",
            "upper edge/rate",
            "least margin to the mask [dB]",
            "effective bandwidth [dB]");
    double worst = Double.POSITIVE_INFINITY;
    double worstWidth = 0.0;
    for (Band band : List.of(THIRD, OCTAVE)) {
      for (int i = 0; i <= 24; i++) {
        double place = BandPassDesign.HIGHEST_EDGE * Math.pow(2.0, -i / 24.0);
        double rate = band.upperHz() / place * (1 + 1e-12);
        BandPassDesign design = BandPassDesign.of(band, rate, false, null);
        BandMask mask = new BandMask(band);
        double margin = Double.POSITIVE_INFINITY;
        double width = 0.0;
        int points = 4000;
        double low = Math.log(band.midbandHz() / 40.0);
        double step = (Math.log(0.5 * rate * (1 - 1e-9)) - low) / points;
        for (int n = 0; n <= points; n++) {
          double f = Math.exp(low + n * step);
          double gain = design.response(f).abs();
          margin = Math.min(margin, mask.margin(f, -Decibels.ofAmplitudeRatio(gain)));
          width += gain * gain * step;
        }
        double deviation =
            Decibels.ofEnergyRatio(width / Math.log(band.upperHz() / band.lowerHz()));
        report.row(
            band.designator() == 1 ? "octave" : "one-third octave", place, margin, deviation);
        worst = Math.min(worst, margin);
        worstWidth = Math.max(worstWidth, Math.abs(deviation));
      }
    }
    report.save();
    assertTrue(worst > 0.1, "margin of " + worst + " dB");
    assertTrue(worstWidth < 0.001, "effective bandwidth off by " + worstWidth + " dB");
  }

  /**
   * Negative control: the same poles fitted to the Butterworth filter whose 3 dB points are the
   * band edges. Noise then reads high by 10 lg[(π/6)/sin(π/6)] = 0.200 dB, the ratio of the noise
   * bandwidth of an order-3 Butterworth response to its 3 dB bandwidth (∫dx/(1 + x⁶) over all x =
   * (π/3)/sin(π/6), against 2).
   */
  @Test
  void withoutBandwidthMatchingNoiseReadsHigh() {
    double theory = Decibels.ofEnergyRatio((Math.PI / 6.0) / Math.sin(Math.PI / 6.0));
    assertEquals(0.200, theory, 0.0005);
    double rate = THIRD.upperHz() / 0.3;
    double width = 2.0 * Math.sinh(0.5 * THIRD.logWidth());
    double[] poles = BandPassDesign.matchedPoles(THIRD.midbandHz(), width, rate);
    new SkirtFit(THIRD, rate, THIRD.midbandHz(), width).improve(poles);
    double[] errors = new BandwidthIntegral(THIRD, rate, false).errors(poles);
    assertEquals(theory, errors[0], 0.02);
    assertEquals(theory, errors[1], 0.02);
    double[] matched =
        new BandwidthIntegral(THIRD, rate, false)
            .errors(BandPassDesign.of(THIRD, rate, false, null).denominators());
    assertEquals(0.0, matched[0], 0.0003);
    assertEquals(0.0, matched[1], 0.0003);
  }

  /**
   * Second opinion: a direct-form filter of the multiplied-out polynomials (Commons Math), its
   * impulse response transformed by Commons Math's own FFT, agrees with the response of the design.
   */
  @Test
  void anIndependentDirectFormAgrees() {
    double rate = 48_000;
    int length = 1 << 14;
    for (Band band :
        List.of(Band.thirdOctaves().get(30), Band.thirdOctaves().get(28), Band.octaves().get(9))) {
      BandPassDesign design = BandPassDesign.of(band, rate, false, null);
      double[] a = design.denominators();
      PolynomialFunction denominator = new PolynomialFunction(new double[] {1.0});
      for (int i = 0; i < a.length; i += 2) {
        denominator =
            denominator.multiply(new PolynomialFunction(new double[] {1.0, a[i], a[i + 1]}));
      }
      PolynomialFunction difference = new PolynomialFunction(new double[] {1.0, -1.0});
      PolynomialFunction numerator =
          difference
              .multiply(difference)
              .multiply(difference)
              .multiply(new PolynomialFunction(new double[] {1.0, 1.0}));
      double[] b = numerator.getCoefficients();
      double[] d = denominator.getCoefficients();
      double[] y = new double[length];
      for (int n = 0; n < length; n++) {
        double sum = n < b.length ? b[n] : 0.0;
        for (int k = 1; k < d.length && k <= n; k++) {
          sum -= d[k] * y[n - k];
        }
        y[n] = sum;
      }
      Complex[] lines =
          new FastFourierTransformer(DftNormalization.STANDARD).transform(y, TransformType.FORWARD);
      double scale = 1.0 / Math.sqrt(design.midbandPower());
      for (int k = 1; k < length / 2; k += 7) {
        double expected = lines[k].abs() * scale;
        assertEquals(expected, design.response(k * rate / length).abs(), 1e-9, band.label());
      }
    }
  }

  /** The half-band filter: flat below its passband's end, 85 dB down from its stopband's start. */
  @Test
  void theDecimatorIsFlatAndRejectsImages() {
    double ripple = 0.0;
    double leak = Double.NEGATIVE_INFINITY;
    for (int i = 0; i <= 5000; i++) {
      double f = 0.5 * i / 5000;
      double level = Decibels.ofAmplitudeRatio(HalfBandDecimator.response(f).abs() + 1e-12);
      if (f <= HalfBandDecimator.PASS) {
        ripple = Math.max(ripple, Math.abs(level));
      } else if (f >= HalfBandDecimator.STOP) {
        leak = Math.max(leak, level);
      }
    }
    assertTrue(ripple < 1e-6, "ripple of " + ripple + " dB");
    assertTrue(leak < -85.0, "images at " + leak + " dB");
  }

  /** The running decimator has the response that its design states, in runs of any length. */
  @Test
  void theRunningDecimatorHasItsStatedResponse() {
    int length = 4096;
    double[] impulse = new double[length];
    impulse[1] = 1.0;
    List<double[]> outputs = new ArrayList<>();
    for (int run : new int[] {length, 1, 7}) {
      HalfBandDecimator decimator = new HalfBandDecimator();
      double[] out = new double[length];
      int written = 0;
      for (int i = 0; i < length; i += run) {
        written += decimator.decimate(impulse, i, Math.min(run, length - i), out, written);
      }
      assertEquals(length / 2, written);
      outputs.add(out);
    }
    assertEquals(0, java.util.Arrays.compare(outputs.get(0), outputs.get(1)));
    assertEquals(0, java.util.Arrays.compare(outputs.get(0), outputs.get(2)));
    // Even and odd impulses together give the response at the input rate.
    double[] shifted = new double[length];
    shifted[2] = 1.0;
    double[] even = new double[length];
    new HalfBandDecimator().decimate(shifted, 0, length, even, 0);
    for (double f : new double[] {0.01, 0.2, 0.234, 0.3, 0.45}) {
      Complex sum = Complex.ZERO;
      for (int m = 0; m < length / 2; m++) {
        // Output m is complete with input 2m + 1; h at lag 2m from the odd impulse, 2m − 1 from
        // the even one.
        sum = sum.add(turned(f, 2 * m, outputs.get(0)[m]));
        sum = sum.add(turned(f, 2 * m - 1, even[m]));
      }
      assertEquals(HalfBandDecimator.response(f).abs(), sum.abs(), 1e-10);
    }
  }

  private static Complex turned(double f, int lag, double value) {
    double angle = -2.0 * Math.PI * f * lag;
    return new Complex(value * Math.cos(angle), value * Math.sin(angle));
  }

  @Test
  void aBandTooHighForTheRateIsRefused() {
    assertThrows(
        IllegalArgumentException.class,
        () -> BandPassDesign.of(Band.thirdOctaves().get(30), 44_100, false, null));
  }
}
