package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

class OrderRanksTest {
  private static final int CYCLES = 1024;
  private static final int WINDOWS = 8;

  /** Noise with lines, each given as an order of the comb, a power and its width in bins. */
  private static OrderPowers stack(double[]... lines) {
    return stack(WINDOWS, lines);
  }

  private static OrderPowers stack(int windows, double[]... lines) {
    Random random = new Random(29);
    OrderPowers powers = new OrderPowers(CYCLES, 8 * CYCLES);
    for (int w = 0; w < windows; w++) {
      for (int k = 1; k < 8 * CYCLES; k++) {
        double power = -Math.log(1.0 - random.nextDouble());
        for (double[] line : lines) {
          double off = (k - line[0] * CYCLES) / line[2];
          power += line[1] * Math.exp(-off * off);
        }
        powers.add(k, (float) power);
      }
    }
    return powers;
  }

  private static double log(OrderPowers stack, int q, int blades) {
    return log(stack, q, blades, 0.0);
  }

  private static double log(OrderPowers stack, int q, int blades, double movement) {
    return new OrderRanks(new OrderEvidence(stack), movement).log(q, blades);
  }

  /** Each next line by its weight over the weights that are left (Luce 1959, Plackett 1975). */
  @Test
  void ranksFollowTheClosedForm() {
    OrderPowers stack =
        stack(new double[] {1, 90, 1}, new double[] {2, 60, 1}, new double[] {1.0 / 7, 40, 1});
    double expected = Math.log(1.0 / 1.45) + Math.log(0.25 / 0.45);
    assertEquals(expected, log(stack, 7, 7), 1e-9);
    // Read as the shaft's own comb, two unequal orders and none of blade-pass are left.
    assertEquals(Math.log(0.2 / 0.3), log(stack, 1, 3), 1e-9);
  }

  @Test
  void aLoudLineOnNoOrderSaysNothing() {
    OrderPowers with = stack(new double[] {1, 90, 1}, new double[] {0.4321, 200, 1});
    OrderPowers without = stack(new double[] {1, 90, 1});
    assertEquals(log(without, 7, 7), log(with, 7, 7), 1e-9);
    // A comb that moves would have smeared a fixed line away: that one is the shaft's.
    assertTrue(log(with, 7, 7, 0.1) < log(without, 7, 7, 0.1) - 2.0);
  }

  /** Of n bins of one window of noise, the greatest power is about ln n (extreme values). */
  @Test
  void aFaintLineOnNoOrderIsChance() {
    double greatest = Math.log(8 * CYCLES);
    OrderPowers with =
        stack(1, new double[] {1, 90, 1}, new double[] {3514.0 / CYCLES, greatest + 1.0, 0.4});
    OrderPowers without = stack(1, new double[] {1, 90, 1});
    assertEquals(log(without, 7, 7, 0.1), log(with, 7, 7, 0.1), 1e-9);
  }

  /**
   * Every fifth order of a slow shaft of 55 blades is as well the order of one five times as fast
   * with 11, of which this comb is no whole order.
   */
  @Test
  void aReadingFinerThanItsLinesIsDoubted() {
    OrderPowers stack =
        stack(
            new double[] {5, 90, 1},
            new double[] {5.0 / 11, 60, 1},
            new double[] {10.0 / 11, 40, 1});
    assertTrue(log(stack, 11, 55) < -3.0, "all lines on every fifth order");
    OrderPowers finer =
        stack(
            new double[] {5, 90, 1},
            new double[] {1.0 / 11, 60, 1},
            new double[] {2.0 / 11, 40, 1});
    assertEquals(
        Math.log(1.0 / 1.3) + Math.log(0.2 / 0.3), log(finer, 11, 55), 1e-9, "the shaft's own");
  }

  /** A line that doesn't move with the comb is smeared, and its skirt covers places. */
  @Test
  void aSmearedLineIsNoOrder() {
    double near = 1.0 / 7 + 5.0 / CYCLES;
    OrderEvidence evidence =
        new OrderEvidence(stack(new double[] {1, 90, 1}, new double[] {near, 60, 6}));
    assertEquals(1, evidence.strongest(6).size());
    assertTrue(evidence.isSkirt(1.0 / 7, 1.0 / 7));
    assertFalse(evidence.isSkirt(2.0 / 7, 1.0 / 7) && evidence.nats(2.0 / 7) > 2.0);
  }

  /** A multiple of the comb may be smeared by the speed's own motion: its bins add up. */
  @Test
  void aSmearedMultipleIsHeard() {
    OrderEvidence evidence = new OrderEvidence(stack(new double[] {4, 3, 14}));
    assertTrue(evidence.nats(4.0) > 15.0, evidence.nats(4.0) + " nat");
    assertTrue(evidence.nats(5.0) < 0.0);
  }

  /** Orders 2, 4 and 6 of a shaft are 1, 2 and 3 of one twice as fast. */
  @Test
  void aCombThatIsHalfOfWhatIsHeardIsTooFine() {
    double[][] even = {{2, 90, 1}, {4, 60, 1}, {6, 60, 1}};
    double[][] whole = {{1, 90, 1}, {2, 60, 1}, {3, 60, 1}};
    double[][] odd = {{2, 90, 1}, {4, 60, 1}, {6, 60, 1}, {1, 30, 1}};
    assertTrue(new OrderRanks(new OrderEvidence(stack(even)), 0.0).isTooFine(1));
    assertFalse(new OrderRanks(new OrderEvidence(stack(whole)), 0.0).isTooFine(2));
    assertFalse(new OrderRanks(new OrderEvidence(stack(odd)), 0.0).isTooFine(1));
  }
}
