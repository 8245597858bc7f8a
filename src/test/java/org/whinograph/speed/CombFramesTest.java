package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;

/** Lines of one shaft are whole orders of it, by definition: the ratio of two combs is rational. */
class CombFramesTest {
  private static final int SHARED = 48;
  private static final double HZ = 677.2;

  private final CombFrames frames = new CombFrames();

  private static double[] steady(double hz) {
    double[] result = new double[SHARED];
    Arrays.fill(result, hz);
    return result;
  }

  @BeforeEach
  void remember() {
    frames.remember(steady(HZ), 0, SHARED);
  }

  @Test
  void oneCombGoesOn() {
    assertEquals(1.0, frames.link(steady(1.002 * HZ)));
    assertTrue(frames.shares(steady(HZ)));
  }

  @Test
  void anotherMultipleOfAShaftIsPutOnTheOneBefore() {
    assertEquals(2.0, frames.link(steady(HZ / 2.0)));
    assertEquals(4.5, frames.link(steady(HZ * 2.0 / 9.0)));
    assertEquals(2.0 / 3.0, frames.link(steady(HZ * 1.5)), 1e-15);
    assertEquals(1.0 / 13.0, frames.link(steady(HZ * 13.0)), 1e-15);
  }

  /** As the blade-pass lines of two fans alike, 15 to 8, 12 to 13 or any other. */
  @Test
  void twoMachinesAreNotOneByTheRatioOfLargeNumbers() {
    for (double ratio : new double[] {15.0 / 8.0, 12.0 / 13.0, 7.0 / 5.0, 23.0 / 19.0, 1.137}) {
      assertTrue(Double.isNaN(frames.link(steady(HZ / ratio))), "ratio " + ratio);
    }
  }

  @Test
  void withoutSharedFramesNothingIsKnown() {
    assertEquals(1.0, frames.link(steady(Double.NaN)));
    assertFalse(frames.shares(steady(Double.NaN)));
    frames.remember(null, 0, SHARED);
    assertFalse(frames.shares(steady(HZ)));
  }
}
