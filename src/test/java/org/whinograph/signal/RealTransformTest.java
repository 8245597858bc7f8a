package org.whinograph.signal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.apache.commons.math3.complex.Complex;
import org.apache.commons.math3.transform.DftNormalization;
import org.apache.commons.math3.transform.FastFourierTransformer;
import org.apache.commons.math3.transform.TransformType;
import org.junit.jupiter.api.Test;

class RealTransformTest {
  /** Second opinion: the transform of Apache Commons Math 3.6.1. */
  @Test
  void agreesWithCommonsMath() {
    int n = 1024;
    java.util.Random random = new java.util.Random(1);
    double[] samples = random.doubles(n, -1, 1).toArray();
    Complex[] expected =
        new FastFourierTransformer(DftNormalization.STANDARD)
            .transform(samples, TransformType.FORWARD);
    double[] lines = samples.clone();
    RealTransform transform = new RealTransform(n);
    transform.forward(lines);
    assertEquals(expected[0].getReal(), lines[0], 1e-11);
    assertEquals(expected[n / 2].getReal(), lines[1], 1e-11);
    for (int k = 1; k < n / 2; k++) {
      assertEquals(expected[k].getReal(), lines[2 * k], 1e-11);
      assertEquals(expected[k].getImaginary(), lines[2 * k + 1], 1e-11);
    }
    transform.inverse(lines);
    for (int i = 0; i < n; i++) {
      assertEquals(samples[i], lines[i], 1e-14);
    }
  }

  @Test
  void refusesOddLengths() {
    assertThrows(IllegalArgumentException.class, () -> new RealTransform(1023));
  }
}
