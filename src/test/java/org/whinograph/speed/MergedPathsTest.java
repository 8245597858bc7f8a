package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** What two paths that are one for a while tell afterwards: logic, no source. */
class MergedPathsTest {
  private static final int FRAMES = 200;
  private static final double HZ = 600.0;

  /** A path on other spacings in some frames. */
  private static double[] path(double... fromAndHz) {
    double[] result = new double[FRAMES];
    for (int i = 0; i < fromAndHz.length; i += 2) {
      Arrays.fill(result, (int) fromAndHz[i], FRAMES, fromAndHz[i + 1]);
    }
    return result;
  }

  @Test
  void afterAStayTogetherEitherMayBeEither() {
    double[] rests = path(0, HZ);
    double[] comes = path(0, 1.2 * HZ, 60, 1.01 * HZ, 90, 0.8 * HZ);
    assertEquals(90, MergedPaths.lostFrom(rests, comes, 0));
    // One that is heard from there on only may have been the other before.
    double[] begins = path(0, Double.NaN, 60, 1.01 * HZ, 90, 0.8 * HZ);
    assertEquals(90, MergedPaths.lostFrom(rests, begins, 0));
    // What was told by the segment before stays so.
    assertEquals(FRAMES, MergedPaths.lostFrom(rests, path(0, HZ, 30, 0.8 * HZ), 60));
  }

  @Test
  void whoRunsPastGoesOn() {
    double[] rests = path(0, HZ);
    double[] passes = new double[FRAMES];
    for (int t = 0; t < FRAMES; t++) {
      passes[t] = HZ * (1.0 + 0.003 * (t - 100));
    }
    assertEquals(FRAMES, MergedPaths.lostFrom(rests, passes, 0));
  }

  @Test
  void whatStaysTogetherIsNotLost() {
    double[] one = path(0, HZ, 80, 0.7 * HZ);
    double[] along = path(0, 1.01 * HZ, 80, 1.01 * 0.7 * HZ);
    assertEquals(FRAMES, MergedPaths.lostFrom(one, along, 0));
    assertEquals(FRAMES, MergedPaths.lostFrom(one, path(0, 1.3 * HZ), 0));
    assertEquals(FRAMES, MergedPaths.lostFrom(one, path(0, Double.NaN), 0));
  }
}
