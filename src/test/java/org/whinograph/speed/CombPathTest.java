package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Which frames of a path are left; a rotor's speed is continuous in time. */
class CombPathTest {
  private static final int SHORTEST = 12;

  private static CombPath path(double... spacingHz) {
    int n = spacingHz.length;
    boolean[] joined = new boolean[n];
    for (int i = 1; i < n; i++) {
      joined[i] = !Double.isNaN(spacingHz[i]) && !Double.isNaN(spacingHz[i - 1]);
    }
    double[] sure = new double[n];
    Arrays.fill(sure, 1.0);
    return new CombPath(spacingHz, joined, sure, 100.0, new double[8], 0);
  }

  private static double[] steady(int n, double hz) {
    double[] result = new double[n];
    Arrays.fill(result, hz);
    return result;
  }

  private static int known(double[] hz, int from, int to) {
    return (int) Arrays.stream(hz, from, to).filter(each -> !Double.isNaN(each)).count();
  }

  @Test
  void aShortRunIsNoRotor() {
    double[] hz = steady(60, 300.0);
    Arrays.fill(hz, 10, 13, Double.NaN);
    Arrays.fill(hz, 30, 33, Double.NaN);
    double[] left = path(hz).withoutShortRuns(SHORTEST).spacingHz();
    assertEquals(0, known(left, 0, 10));
    assertEquals(17, known(left, 13, 30));
    assertEquals(27, known(left, 33, 60));
  }

  @Test
  void restsOnNoiseBeforeAndAfterARunAreNotIts() {
    double[] hz = steady(60, 316.0);
    Arrays.fill(hz, 0, 9, 343.0);
    Arrays.fill(hz, 53, 60, 290.0);
    double[] left = path(hz).withoutShortRuns(SHORTEST).spacingHz();
    assertEquals(0, known(left, 0, 9));
    assertEquals(44, known(left, 9, 53));
    assertEquals(0, known(left, 53, 60));
  }

  @Test
  void aSpeedThatIsSwitchedStays() {
    double[] hz = steady(60, 316.0);
    Arrays.fill(hz, 0, 30, 250.0);
    assertEquals(60, known(path(hz).withoutShortRuns(SHORTEST).spacingHz(), 0, 60));
  }

  @Test
  void aSteepRunUpStays() {
    double[] hz = steady(60, 400.0);
    for (int i = 0; i < 10; i++) {
      hz[i] = 200.0 + 20.0 * i;
    }
    assertEquals(60, known(path(hz).withoutShortRuns(SHORTEST).spacingHz(), 0, 60));
  }
}
