package org.whinograph.signal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** Powers in single precision against those of the double-precision library transform. */
class PowerTransformTest {
  @Test
  void agreesWithTheDoubleTransformToAMillionth() {
    Random random = new Random(31);
    for (int length : new int[] {64, 128, 1024, 2048, 32_768}) {
      for (int batch : new int[] {1, 2, 3}) {
        float[] samples = new float[3 * length];
        for (int i = 0; i < samples.length; i++) {
          samples[i] = (float) (random.nextGaussian() + 3.0 + Math.sin(0.3 * i));
        }
        float[] window = new float[length];
        for (int i = 0; i < length; i++) {
          window[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length));
        }
        int[] starts = new int[batch];
        for (int b = 0; b < batch; b++) {
          starts[b] = random.nextInt(2 * length);
        }
        float[][] powers = new float[batch][length / 2];
        new PowerTransform(length, batch).powers(samples, starts, window, powers);
        for (int b = 0; b < batch; b++) {
          check(samples, starts[b], window, powers[b]);
        }
      }
    }
  }

  private static void check(float[] samples, int start, float[] window, float[] powers) {
    int length = window.length;
    double[] lines = new double[length];
    double energy = 0.0;
    for (int i = 0; i < length; i++) {
      lines[i] = (double) samples[start + i] * window[i];
      energy += lines[i] * lines[i];
    }
    new RealTransform(length).forward(lines);
    double strongest = Math.abs(lines[0]);
    for (int k = 1; k < length / 2; k++) {
      strongest = Math.max(strongest, Math.hypot(lines[2 * k], lines[2 * k + 1]));
    }
    // The square root of the energy is what a line of white noise would have.
    double tolerance = 1e-6 * (strongest + Math.sqrt(energy));
    assertEquals(Math.abs(lines[0]), Math.sqrt(powers[0]), tolerance);
    for (int k = 1; k < length / 2; k++) {
      double expected = Math.hypot(lines[2 * k], lines[2 * k + 1]);
      assertEquals(expected, Math.sqrt(powers[k]), tolerance, length + ", line " + k);
    }
  }

  @Test
  void wrongArgumentsAreNamed() {
    assertThrows(IllegalArgumentException.class, () -> new PowerTransform(1000, 1));
    assertThrows(IllegalArgumentException.class, () -> new PowerTransform(32, 1));
    assertThrows(IllegalArgumentException.class, () -> new PowerTransform(64, 0));
  }
}
