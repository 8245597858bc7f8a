package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Where a path is on another comb's lines, and where it only passes them. */
class StrayedStretchesTest {
  private static double[] steady(double hz) {
    double[] result = new double[100];
    Arrays.fill(result, hz);
    return result;
  }

  @Test
  void aLeapToAnotherCombAndBackIsFound() {
    double[] hz = steady(800.0);
    double[] other = steady(71.8);
    Arrays.fill(hz, 40, 60, 13 * 71.8);
    int[][] found = StrayedStretches.of(hz, other);
    assertEquals(1, found.length);
    assertArrayEquals(new int[] {39, 61}, found[0]);
    Arrays.fill(hz, 60, 100, Double.NaN);
    assertEquals(1, StrayedStretches.of(hz, other).length, "it may end there");
  }

  @Test
  void whatSpeedsUpPassesOtherLinesWithoutALeap() {
    double[] hz = steady(800.0);
    for (int i = 0; i < hz.length; i++) {
      hz[i] = 800.0 * Math.exp(0.0002 * i);
    }
    // Eleven times 73.2 Hz are 805.2 Hz: it is that near to it for 20 frames.
    assertEquals(0, StrayedStretches.of(hz, steady(73.2)).length);
  }

  @Test
  void aWholeRatioInMostFramesIsTheSameMachine() {
    double[] hz = steady(11 * 71.8);
    Arrays.fill(hz, 0, 30, 765.0);
    assertEquals(0, StrayedStretches.of(hz, steady(71.8)).length);
  }
}
