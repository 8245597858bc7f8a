package org.whinograph.signal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.Random;
import org.jtransforms.fft.DoubleFFT_1D;
import org.junit.jupiter.api.Test;

/** Long complex signals in single precision against the double-precision library transform. */
class ComplexTransformTest {
  @Test
  void agreesWithTheDoubleTransform() {
    for (int length : new int[] {32, 64, 512, 8192}) {
      Random random = new Random(length);
      float[] re = new float[length];
      float[] im = new float[length];
      double[] expected = new double[2 * length];
      for (int n = 0; n < length; n++) {
        re[n] = (float) random.nextGaussian();
        im[n] = (float) random.nextGaussian();
        expected[2 * n] = re[n];
        expected[2 * n + 1] = im[n];
      }
      new ComplexTransform(length).forward(re, im);
      new DoubleFFT_1D(length).complexForward(expected);
      // A line of white noise is as great as the root of its length.
      double tolerance = 2e-6 * Math.sqrt(length);
      for (int k = 0; k < length; k++) {
        assertEquals(expected[2 * k], re[k], tolerance, length + ", line " + k);
        assertEquals(expected[2 * k + 1], im[k], tolerance, length + ", line " + k);
      }
    }
  }

  @Test
  void wrongLengthsAreNamed() {
    assertThrows(IllegalArgumentException.class, () -> new ComplexTransform(100));
    assertThrows(IllegalArgumentException.class, () -> new ComplexTransform(16));
  }
}
