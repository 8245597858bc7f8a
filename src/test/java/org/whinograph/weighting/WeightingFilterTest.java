package org.whinograph.weighting;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class WeightingFilterTest {
  @ParameterizedTest
  @ValueSource(doubles = {44_100, 48_000, 192_000})
  void constantInputIsRejectedExactly(double rate) {
    WeightingFilter filter = new WeightingFilter(rate);
    double[] x = new double[(int) rate];
    Arrays.fill(x, 0.123_456_789);
    double[] c = new double[x.length];
    double[] a = new double[x.length];
    // From rest the step decays, then nothing is left of it: the state falls to exactly 0.
    filter.process(x, 0, x.length, c, a);
    filter.quench();
    filter.process(x, 0, x.length, c, a);
    filter.quench();
    filter.process(x, 0, x.length, c, a);
    assertArrayEquals(new double[x.length], c);
    assertArrayEquals(new double[x.length], a);
  }

  @Test
  void settledFilterDoesNotHearAConstant() {
    WeightingFilter filter = new WeightingFilter(48_000);
    filter.settle(0.5);
    double[] x = new double[4800];
    Arrays.fill(x, 0.5);
    double[] c = new double[x.length];
    double[] a = new double[x.length];
    filter.process(x, 0, x.length, c, a);
    // From rest the first sample would read 0.5 times the section's gain; here a rounding of it.
    assertTrue(Arrays.stream(c).map(Math::abs).max().orElseThrow() < 1e-15);
    assertTrue(Arrays.stream(a).map(Math::abs).max().orElseThrow() < 1e-15);
  }

  /** Where poles come closest to 1: the same recursion in 40 digits as the reference. */
  @Test
  void roundingStaysFarBelowAnyConverter() {
    double rate = 192_000;
    int n = 6000;
    double[] x = new Random(5).doubles(n, -1.0, 1.0).map(v -> v + 3.0).toArray();
    double[] c = new double[n];
    double[] a = new double[n];
    new WeightingFilter(rate).process(x, 0, n, c, a);
    double[] exact = exactA(rate, x);
    double worst = 0.0;
    for (int i = 0; i < n; i++) {
      worst = Math.max(worst, Math.abs(a[i] - exact[i]));
    }
    // 24 bits resolve 1.2e-7.
    assertEquals(0.0, worst, 1e-13);
  }

  private static double[] exactA(double rate, double[] x) {
    MathContext digits = new MathContext(40);
    WeightingDesign design = WeightingDesign.forRate(rate);
    double gain = design.cGain();
    double[] zeros = design.section().zeros();
    BigDecimal[] b = {
      new BigDecimal(gain),
      new BigDecimal(gain * zeros[0]),
      new BigDecimal(gain * zeros[1]),
      new BigDecimal(gain * zeros[2])
    };
    BigDecimal a1 = new BigDecimal(design.section().poles()[0]);
    BigDecimal a2 = new BigDecimal(design.section().poles()[1]);
    double[] poles = {
      FrequencyWeighting.F1_HZ, FrequencyWeighting.F1_HZ,
      FrequencyWeighting.F2_HZ, FrequencyWeighting.F3_HZ
    };
    BigDecimal[] in = {BigDecimal.ZERO, BigDecimal.ZERO, BigDecimal.ZERO, BigDecimal.ZERO};
    BigDecimal y1 = BigDecimal.ZERO;
    BigDecimal y2 = BigDecimal.ZERO;
    BigDecimal[] before = new BigDecimal[4];
    BigDecimal[] state = new BigDecimal[4];
    Arrays.fill(before, BigDecimal.ZERO);
    Arrays.fill(state, BigDecimal.ZERO);
    double[] out = new double[x.length];
    for (int i = 0; i < x.length; i++) {
      System.arraycopy(in, 0, in, 1, 3);
      in[0] = new BigDecimal(x[i]);
      BigDecimal y = BigDecimal.ZERO;
      for (int k = 0; k < 4; k++) {
        y = y.add(b[k].multiply(in[k]), digits);
      }
      y = y.subtract(a1.multiply(y1), digits).subtract(a2.multiply(y2), digits);
      y2 = y1;
      y1 = y;
      BigDecimal v = y;
      for (int k = 0; k < 4; k++) {
        BigDecimal difference = v.subtract(before[k], digits);
        before[k] = v;
        BigDecimal pole = new BigDecimal(design.pole(poles[k]));
        state[k] = pole.multiply(state[k]).add(difference, digits);
        v = state[k];
      }
      out[i] = v.multiply(new BigDecimal(design.aGain()), digits).doubleValue();
    }
    return out;
  }

  @Test
  void runsOfAnyLengthGiveTheSameBits() {
    double[] x = new Random(2).doubles(5000, -1.0, 1.0).toArray();
    double[] c = new double[x.length];
    double[] a = new double[x.length];
    new WeightingFilter(48_000).process(x, 0, x.length, c, a);
    WeightingFilter filter = new WeightingFilter(48_000);
    double[] oneC = new double[1];
    double[] oneA = new double[1];
    for (int i = 0; i < x.length; i++) {
      filter.process(x, i, 1, oneC, oneA);
      assertEquals(c[i], oneC[0], 0.0);
      assertEquals(a[i], oneA[0], 0.0);
    }
  }
}
