package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** What a segment may take over from the one before: a rotor's speed is continuous in time. */
class EarlierSegmentsTest {
  private static final int FRAMES = 200;
  private static final int APART = 152;
  private static final double LINE_HZ = 2.0;

  private final EarlierSegments earlier = new EarlierSegments(APART, LINE_HZ);

  private static double[] steady(double hz) {
    double[] result = new double[FRAMES];
    Arrays.fill(result, hz);
    return result;
  }

  private static CombPath path(double[] hz) {
    double[] sure = new double[hz.length];
    Arrays.fill(sure, 1.0);
    return new CombPath(hz, new boolean[hz.length], sure, 100.0, new double[8], 0);
  }

  @Test
  void aCombGoesOnWhereTheFanWas() {
    double[] before = steady(400.0);
    Arrays.fill(before, APART, FRAMES, 500.0);
    double[] after = steady(700.0);
    Arrays.fill(after, 0, FRAMES - APART, 501.0);
    earlier.keep(before, true);
    assertTrue(earlier.continues(path(after)));
  }

  @Test
  void elsewhereItIsAnother() {
    earlier.keep(steady(500.0), true);
    assertFalse(earlier.continues(path(steady(505.0))));
    assertFalse(earlier.continues(path(steady(1000.0))));
  }

  @Test
  void aFewFramesInCommonDecideNothing() {
    double[] short23 = steady(Double.NaN);
    Arrays.fill(short23, 0, 23, 500.0);
    earlier.keep(steady(500.0), true);
    assertFalse(earlier.continues(path(short23)));
  }

  /** What never moved may be anything, and all that was settled beside it as well. */
  @Test
  void withoutAFanNothingIsKept() {
    earlier.settleStill(1000.0);
    earlier.settleBeside(List.of(1000.0, 2000.0));
    earlier.settleNotTheShafts(5000.0);
    earlier.keep(steady(500.0), false);
    assertFalse(earlier.continues(path(steady(500.0))));
    assertEquals(List.of(), earlier.still());
    assertEquals(List.of(), earlier.beside());
    assertFalse(earlier.isNotTheShafts(5000.0));
  }

  @Test
  void aLineIsKeptOnce() {
    earlier.keep(steady(500.0), true);
    earlier.settleStill(1000.0);
    earlier.settleStill(1001.0);
    assertEquals(List.of(1000.0), earlier.still());
  }

  /** A path is known to a cell, 0.27 % wide, so that a ratio to it is no better. */
  @Test
  void aLineThatDoesNotGoAlongIsKnownByItsPlace() {
    earlier.keep(steady(500.0), true);
    earlier.settleNotTheShafts(5000.0);
    assertTrue(earlier.isNotTheShafts(5010.0));
    assertFalse(earlier.isNotTheShafts(5020.0));
  }

  /** Which fan was first stays so though the other one gets louder. */
  @Test
  void bothFansAreKnownAgain() {
    earlier.keep(steady(500.0), true);
    earlier.keepSecond(steady(362.0));
    assertEquals(2, earlier.asFirst(steady(501.0)));
    assertEquals(-1, earlier.asSecond(steady(501.0)));
    assertEquals(2, earlier.asSecond(steady(361.5)));
    assertEquals(-1, earlier.asFirst(steady(361.5)));
  }

  /** Seven times the shaft's frequency and 21 times are one fan's, but so may others be. */
  @Test
  void anotherMultipleIsLessSure() {
    earlier.keep(steady(1500.0), true);
    earlier.keepSecond(steady(500.0));
    assertEquals(1, earlier.asFirst(steady(500.0)));
    assertEquals(2, earlier.asSecond(steady(500.0)));
  }

  /** After a silence only the same place tells anything. */
  @Test
  void afterASilenceTheLastPlaceTells() {
    double[] before = steady(Double.NaN);
    Arrays.fill(before, 0, 20, 362.0);
    earlier.keep(steady(500.0), true);
    earlier.keepSecond(before);
    assertEquals(1, earlier.asSecond(steady(362.5)));
    assertEquals(0, earlier.asSecond(steady(2 * 362.0)));
  }

  /** Where no frame in common says which is which, the lines that each has may. */
  @Test
  void theLinesTellOrNothing() {
    double[] three = {9, 8, 7, 0, 0, 0, 0, 0};
    double[] two = {9, 8, 0, 0, 0, 0, 0, 0};
    assertEquals(0, earlier.pairing(three, two), "nothing is known yet");
    earlier.keepLevels(three, two);
    earlier.keepLevels(null, null);
    assertEquals(1, earlier.pairing(three, two));
    assertEquals(-1, earlier.pairing(two, three));
    assertEquals(-1, earlier.pairing(two, null));
    assertEquals(0, earlier.pairing(new double[] {9, 8, 3.5, 0, 0, 0, 0, 0}, null), "between both");
    assertEquals(0, earlier.pairing(new double[] {9, 0, 0, 0, 0, 0, 0, 0}, null), "unlike both");
  }
}
