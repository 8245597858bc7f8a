package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** Orders are what stays when a shaft turns at another speed: their definition. */
class RunMultiplesTest {
  private static final int CYCLES = 512;
  private static final int WINDOWS = 6;

  private final Random random = new Random(83);

  /** Powers of noise, exponentially distributed, with lines at some orders of the comb. */
  private OrderPowers run(double... orders) {
    OrderPowers powers = new OrderPowers(CYCLES, 24 * CYCLES);
    for (int w = 0; w < WINDOWS; w++) {
      for (int k = 1; k < 24 * CYCLES; k++) {
        float power = (float) -Math.log(1.0 - random.nextDouble());
        for (double order : orders) {
          double off = Math.abs(k - order * CYCLES);
          power += off < 0.6 ? 60f : off < 1.6 ? 20f : 0f;
        }
        powers.add(k, power);
      }
    }
    return powers;
  }

  private static double factor(OrderPowers before, OrderPowers run) {
    return RunMultiples.match(before, run, 1.0).factor();
  }

  @Test
  void aRunOnTwiceTheCombIsPutBack() {
    OrderPowers before = run(1, 2, 7, 12, 14);
    assertEquals(0.5, factor(before, run(0.5, 1, 3.5, 6, 7)));
    assertEquals(2.0, factor(run(0.5, 1, 3.5, 6, 7), before));
  }

  @Test
  void theShaftsOwnCombIsPutOnBladePass() {
    assertEquals(9.0, factor(run(1, 2, 1.0 / 9, 2.0 / 9), run(1, 2, 9, 18)));
  }

  @Test
  void theSameCombStaysWhateverElseIsHeard() {
    OrderPowers before = run(1, 2, 3, 0.43, 1.77);
    assertEquals(1.0, factor(before, run(1, 2, 3, 0.39, 1.61)));
  }

  @Test
  void twoLinesThatMeetAreNoEvidence() {
    assertEquals(1.0, factor(run(1, 2), run(0.5, 1)));
    assertEquals(1.0, factor(run(1, 2, 7), run()));
  }

  @Test
  void wholeMultiplesAreAnyCombsAndTellNoShaft() {
    OrderPowers before = run(1, 2, 3, 1.0 / 7, 12.0 / 7);
    assertFalse(RunMultiples.match(before, run(1, 2, 3, 4), 1.0).isClear());
    assertTrue(RunMultiples.match(before, run(1, 1.0 / 7, 12.0 / 7), 1.0).isClear());
  }

  /** Three lines meet at twice the comb, two as they are: the speeds decide, or nothing does. */
  @Test
  void oneMoreLineLeavesTheMultipleOpen() {
    OrderPowers before = run(1, 2, 2.0 / 37, 8.0 / 37);
    OrderPowers twice = run(2, 2.0 / 37, 4.0 / 37, 16.0 / 37);
    RunMultiples.Match open = RunMultiples.match(before, twice, 1.0);
    assertEquals(1.0, open.factor());
    assertTrue(open.isOpen());
    RunMultiples.Match half = RunMultiples.match(before, twice, 0.6);
    assertEquals(2.0, half.factor());
    assertFalse(half.isOpen());
    assertFalse(RunMultiples.match(before, run(1, 2, 2.0 / 37, 8.0 / 37), 0.6).isOpen());
  }

  /** Of two combs alike, the one with an order that the other lacks is known by it. */
  @Test
  void aRunWithoutAClearLineOfThoseBeforeIsAnothers() {
    OrderPowers before = run(1, 2, 3, 1.0 / 13);
    assertTrue(RunMultiples.match(before, run(1, 2, 3, 0.97), 1.0).isAnothers());
    assertFalse(RunMultiples.match(before, run(1, 2, 3, 1.0 / 13), 1.0).isAnothers());
    // Whole multiples come and go with the level: they tell nothing.
    assertFalse(RunMultiples.match(run(1, 1, 2, 3), run(1, 1.0 / 13), 1.0).isAnothers());
    // But the strongest of all doesn't vanish while others stay.
    OrderPowers strong = run(1, 1, 1, 2, 0.4);
    assertTrue(RunMultiples.match(strong, run(2, 0.4, 4), 1.0).isAnothers());
    // What is far fainter than that one may be another's.
    OrderPowers beside = run(1, 1, 1, 1, 1, 1, 1, 1, 2, 7.24);
    assertFalse(RunMultiples.match(beside, run(1, 2), 1.0).isAnothers());
    // One of two lines that tell is enough.
    OrderPowers two = run(1, 2, 1.0 / 13, 2.0 / 13);
    assertFalse(RunMultiples.match(two, run(1, 2, 2.0 / 13), 1.0).isAnothers());
    assertFalse(RunMultiples.match(two, run(1, 2, 1.0 / 13), 1.0).isAnothers());
  }
}
