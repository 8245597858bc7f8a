package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** A path that is the low orders of a comb's own shaft is told from another shaft's. */
class SameShaftTest {
  private static double[] comb() {
    double[] hz = new double[100];
    for (int i = 0; i < hz.length; i++) {
      hz[i] = 700.0 + 0.3 * i;
    }
    return hz;
  }

  private static double[] times(double[] hz, double factor) {
    return Arrays.stream(hz).map(each -> factor * each).toArray();
  }

  private static CombPath path(double[] hz, double... evidence) {
    boolean[] joined = new boolean[hz.length];
    Arrays.fill(joined, 1, hz.length, true);
    double[] sure = new double[hz.length];
    Arrays.fill(sure, 1.0);
    return new CombPath(hz, joined, sure, 100.0, evidence, 0);
  }

  @Test
  void aWholePartIsTheSameShaft() {
    assertEquals(11, SameShaft.multiple(comb(), times(comb(), 1.0 / 11)));
    double[] leaps = times(comb(), 1.0 / 11);
    Arrays.fill(leaps, 0, 40, 615.0);
    assertEquals(11, SameShaft.multiple(comb(), leaps));
    assertTrue(SameShaft.areOne(path(times(comb(), 1.0 / 11)), path(comb())));
  }

  @Test
  void anyOtherRatioIsNot() {
    assertEquals(0, SameShaft.multiple(comb(), times(comb(), 1.0 / 11.1)));
    assertEquals(0, SameShaft.multiple(comb(), comb()));
    double[] rests = new double[100];
    Arrays.fill(rests, 64.5);
    assertEquals(0, SameShaft.multiple(comb(), rests));
    assertFalse(SameShaft.areOne(path(rests), path(comb())));
  }

  @Test
  void itsLinesAreTheLowOrdersAndWhatElseIsHeard() {
    CombPath path = path(times(comb(), 1.0 / 11), 9, 9, 0, 0, 0, 8, 0, 0);
    double[][] lines = SameShaft.lines(comb(), path, 11);
    assertEquals(4, lines.length);
    assertEquals(700.0 * 6 / 11, lines[3][0], 1e-9);
  }
}
