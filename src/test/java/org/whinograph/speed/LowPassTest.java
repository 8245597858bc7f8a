package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** The low-pass before every third sample is kept. */
class LowPassTest {
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
}
