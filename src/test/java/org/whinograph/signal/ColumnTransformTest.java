package org.whinograph.signal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.Random;
import org.jtransforms.fft.DoubleFFT_1D;
import org.junit.jupiter.api.Test;

/** Columns in single precision against the double-precision transform of JTransforms. */
class ColumnTransformTest {
  private static final int WIDTH = 5;

  @Test
  void agreesWithTheDoubleTransform() {
    for (int length : new int[] {2, 4, 64, 256}) {
      check(length, false);
      check(length, true);
    }
  }

  private static void check(int length, boolean padded) {
    Random random = new Random(length);
    float[][] re = new float[length][WIDTH];
    float[][] im = new float[length][WIDTH];
    double[][] expected = new double[WIDTH][2 * length];
    for (int n = 0; n < length; n++) {
      for (int c = 0; c < WIDTH; c++) {
        re[n][c] = (float) random.nextGaussian();
        im[n][c] = (float) random.nextGaussian();
        // What is said to be zero may hold anything.
        boolean counts = !padded || n < length / 2;
        expected[c][2 * n] = counts ? re[n][c] : 0.0;
        expected[c][2 * n + 1] = counts ? im[n][c] : 0.0;
      }
    }
    ColumnTransform transform = new ColumnTransform(length);
    if (padded) {
      transform.forwardPadded(re, im, WIDTH);
    } else {
      transform.forward(re, im, WIDTH);
    }
    double tolerance = 2e-6 * Math.sqrt(length);
    for (int c = 0; c < WIDTH; c++) {
      new DoubleFFT_1D(length).complexForward(expected[c]);
      for (int k = 0; k < length; k++) {
        assertEquals(expected[c][2 * k], re[k][c], tolerance, length + ", line " + k);
        assertEquals(expected[c][2 * k + 1], im[k][c], tolerance, length + ", line " + k);
      }
    }
  }

  @Test
  void wrongArgumentsAreNamed() {
    assertThrows(IllegalArgumentException.class, () -> new ColumnTransform(100));
    assertThrows(IllegalArgumentException.class, () -> new ColumnTransform(1));
  }
}
