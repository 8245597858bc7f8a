package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;
import org.whinograph.speed.WaySearch.Way;

/** Steps of half a frame, an eighth of a second. */
class RunEndsTest {
  private static final double HZ = 327.0;

  /** Number of steps that are kept of some. */
  private static int kept(double... hz) {
    Way way = null;
    for (double each : hz) {
      way = new Way(way, each, 0.0, 1.0, 0.0);
    }
    return RunEnds.withoutLeap(way, hz.length - 1).length;
  }

  /** Beside an eleventh order that rests lies the twelfth. */
  @Test
  void aLeapToAnotherLineEndsTheRun() {
    double twelfth = HZ * 12.0 / 11.0;
    assertEquals(3, kept(HZ, HZ, HZ, twelfth, twelfth, twelfth, twelfth));
    assertEquals(1, kept(HZ, twelfth, twelfth, twelfth));
    assertEquals(2, kept(HZ, HZ * 0.995, twelfth * 0.99, twelfth * 0.985, twelfth * 0.98));
  }

  /** A shaft that is let go or driven follows an exponential, however soon. */
  @Test
  void whatIsLetGoIsFollowed() {
    double[] down = new double[20];
    double[] up = new double[20];
    for (int i = 0; i < down.length; i++) {
      double time = 0.128 * Math.max(0, i - 4);
      down[i] = HZ * Math.exp(-time / 0.4);
      up[i] = HZ * (1.5 - 0.5 * Math.exp(-time / 0.2));
    }
    assertEquals(down.length, kept(down));
    assertEquals(up.length, kept(up));
    assertEquals(0, RunEnds.withoutLeap(null, 0).length);
  }
}
