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
    double[] sum = new double[1];
    int[] count = new int[1];
    new LowPass(
            3,
            0.4,
            0.6,
            50.0,
            (samples, length) -> {
              for (int i = 0; i < length; i++) {
                if (count[0]++ > 100) {
                  sum[0] += samples[i] * (double) samples[i];
                }
              }
            })
        .accept(in, in.length);
    return Math.sqrt(2.0 * sum[0] / (count[0] - 101));
  }

  @Test
  void passesWhatIsLookedAtAndStopsWhatWouldFoldOntoIt() {
    assertEquals(1.0, rms(500), 0.01);
    assertEquals(1.0, rms(5500), 0.01);
    // 9.6 kHz folds to 6.4 kHz: 50 dB down by design (Kaiser 1974).
    assertTrue(rms(9600) < 0.005);
    assertTrue(rms(15_000) < 0.005);
  }

  /** What nobody wants isn't filtered; what is wanted is the same as ever. */
  @Test
  void whatIsNotWantedComesAsZeros() {
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

  private static float[] outputs(double[] in, int wanted) {
    float[] result = new float[in.length / 3];
    int[] count = new int[1];
    LowPass.Sink sink =
        new LowPass.Sink() {
          @Override
          public boolean wants(int length) {
            return count[0] + length <= wanted;
          }

          @Override
          public void accept(float[] samples, int length) {
            System.arraycopy(samples, 0, result, count[0], length);
            count[0] += length;
          }
        };
    LowPass lowPass = new LowPass(3, 0.4, 0.6, 50.0, sink);
    for (int from = 0; from < in.length; from += BLOCK) {
      lowPass.accept(Arrays.copyOfRange(in, from, from + BLOCK), BLOCK);
    }
    return Arrays.copyOf(result, count[0]);
  }
}
