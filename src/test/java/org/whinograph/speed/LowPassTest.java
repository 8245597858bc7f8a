package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** The low-pass before every third sample is kept. */
class LowPassTest {
  private static final int BLOCK = 1000;

  private static double rms(double hz) {
    double[] in = new double[48_000];
    for (int i = 0; i < in.length; i++) {
      in[i] = Math.sin(2.0 * Math.PI * hz * i / 48_000.0);
    }
    float[] out = outputs(in, Integer.MAX_VALUE);
    double sum = 0.0;
    for (int i = 100; i < out.length; i++) {
      sum += out[i] * (double) out[i];
    }
    return Math.sqrt(2.0 * sum / (out.length - 100));
  }

  @Test
  void passesWhatIsLookedAtAndStopsWhatWouldFoldOntoIt() {
    assertEquals(1.0, rms(500), 0.01);
    assertEquals(1.0, rms(5500), 0.01);
    // 9.6 kHz folds to 6.4 kHz: 50 dB down by design (Kaiser 1974).
    assertTrue(rms(9600) < 0.005);
    assertTrue(rms(15_000) < 0.005);
  }

  /** What is skipped isn't made; what is made is the same as ever. */
  @Test
  void whatIsSkippedChangesNothingElse() {
    double[] in = new double[48_000];
    Arrays.setAll(in, i -> Math.sin(0.05 * i));
    float[] all = outputs(in, Integer.MAX_VALUE);
    float[] part = outputs(in, 9000);
    assertEquals(all.length, part.length);
    int zeros = 0;
    for (int i = 0; i < all.length; i++) {
      boolean zero = part[i] == 0f && all[i] != 0f;
      zeros += zero ? 1 : 0;
      assertEquals(zero ? 0f : all[i], part[i]);
      assertTrue(!zero || i >= 9000 - BLOCK);
    }
    assertTrue(zeros > all.length - 9000 - BLOCK);
  }

  /** Outputs, zeros for those from some number on, which are skipped. */
  private static float[] outputs(double[] in, int wanted) {
    float[] result = new float[in.length / 3];
    int count = 0;
    LowPass lowPass = new LowPass(3, 0.4, 0.6, 50.0);
    for (int from = 0; from < in.length; from += BLOCK) {
      int at = from;
      while (at < from + BLOCK) {
        at = lowPass.take(in, at, from + BLOCK);
        int ready = lowPass.ready();
        if (count + ready <= wanted) {
          System.arraycopy(lowPass.make(), 0, result, count, ready);
        } else {
          lowPass.skip();
        }
        count += ready;
      }
    }
    return Arrays.copyOf(result, count);
  }
}
