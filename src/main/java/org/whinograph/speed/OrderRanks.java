package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;
import org.apache.commons.math3.util.ArithmeticUtils;

/**
 * How well the ranks of the strongest lines suit a reading of the comb: the probability that those
 * of them that are orders of the shaft come in the order they do, if each is next with a
 * probability that goes with its weight (R. D. Luce, Individual Choice Behavior, 1959; R. L.
 * Plackett, Applied Statistics 24(2), 1975, both from memory). Which lines are there is judged
 * elsewhere.
 *
 * <p>Weights are beside 1 for blade-pass: imbalance is heard once and twice a turn, sidebands stand
 * beside blade-pass, motors have orders of their own (common practice, no source; the weights are a
 * judgement). Immutable.
 */
final class OrderRanks {
  private static final int STRONGEST_LINES = 6;

  /** The same where each that is heard counts. */
  private static final int MOST_LINES = 64;

  private static final double ONCE = 0.2;
  private static final double TWICE = 0.1;
  private static final double MOTOR = 0.1;
  private static final double BESIDE = 0.07;

  /** How often any other order is stronger than all of blade-pass (judgement). */
  private static final double STRANGE = 0.15;

  /**
   * How probable a reading is whose strongest lines are multiples of one order, where the comb is
   * no whole order of the faster shaft with fewer blades that has the same lines (judgement).
   */
  private static final double TOO_FINE = 0.02;

  private static final int FEWEST_BLADES = 3;

  /** So many of the strongest must be such orders: one of the weaker may stand there by chance. */
  private static final int LINES_OF_DIVISOR = 3;

  /** Multiples of blade-pass beyond this one are hardly ever strong (judgement). */
  private static final double FALL_OFF = 3.0;

  /**
   * How often a line that goes along with a comb that moves is no order of its shaft (judgement).
   */
  private static final double STRAY = 0.05;

  private final OrderEvidence evidence;
  private final List<Double> lines;
  private final double movement;

  /**
   * Prepares.
   *
   * @param evidence evidence of the stacked orders
   * @param movement how far the comb moved through the recording, over its spacing [1]
   */
  OrderRanks(OrderEvidence evidence, double movement) {
    this.evidence = evidence;
    this.movement = movement;
    this.lines = evidence.strongest(STRONGEST_LINES);
  }

  /**
   * Logarithm of the probability of the ranks.
   *
   * @param q which order of the shaft the comb's spacing is
   * @param blades number of blades
   * @return at most 0 [nat]
   */
  double log(int q, int blades) {
    List<Double> weights = new ArrayList<>();
    double total = 0.0;
    boolean led = false;
    int divisor = blades;
    int orders = 0;
    for (double line : lines) {
      double k = Math.max(1.0, Math.rint(line * q));
      double m = Math.max(1.0, Math.rint(line * q / blades));
      if (evidence.isAt(line, k / q) && orders++ < LINES_OF_DIVISOR) {
        divisor = ArithmeticUtils.gcd(divisor, (int) k);
      }
      if (evidence.isAt(line, m * blades / q)) {
        weights.add(bladePassWeight(m));
        led = true;
      } else if (evidence.isAt(line, k / q)) {
        double weight = otherWeight((int) k, blades);
        if (weight > 0.0) {
          weights.add(weight);
        } else if (!led) {
          total += Math.log(STRANGE);
        }
      } else if (evidence.wouldSmear(line, movement) && evidence.isBeyondChance(line)) {
        total += Math.log(STRAY);
      }
    }
    if (divisor > 1 && blades / divisor >= FEWEST_BLADES && q % divisor != 0) {
      total += Math.log(TOO_FINE);
    }
    double left = 0.0;
    for (int i = weights.size() - 1; i >= 0; i--) {
      left += weights.get(i);
      total += Math.log(weights.get(i) / left);
    }
    return total;
  }

  /**
   * Whether all lines of the shaft that are heard, the comb's own not among them, are multiples of
   * one order of it: then the shaft turns faster by as much.
   *
   * @param q which order of the shaft the comb's spacing is
   */
  boolean isTooFine(int q) {
    int divisor = 0;
    int orders = 0;
    for (double line : evidence.strongest(MOST_LINES)) {
      int k = (int) Math.rint(line * q);
      if (k > 0 && evidence.isAt(line, (double) k / q)) {
        divisor = ArithmeticUtils.gcd(k, divisor);
        orders++;
      }
    }
    return orders >= LINES_OF_DIVISOR && q % divisor != 0;
  }

  /**
   * How many of the lines that stand out are orders of the shaft.
   *
   * @param q which order of the shaft the comb's spacing is
   */
  int ordersHeard(int q) {
    int orders = 0;
    for (double line : evidence.strongest(MOST_LINES)) {
      int k = (int) Math.rint(line * q);
      orders += k > 0 && evidence.isAt(line, (double) k / q) ? 1 : 0;
    }
    return orders;
  }

  private static double bladePassWeight(double multiple) {
    double beyond = Math.max(1.0, multiple / FALL_OFF);
    return 1.0 / Math.pow(multiple * beyond, 2);
  }

  /** Weight of an order that is no multiple of blade-pass, 0 if it has none of its own. */
  private static double otherWeight(int k, int blades) {
    if (k <= 2) {
      return k == 1 ? ONCE : TWICE;
    }
    return ShaftOrders.motorOrder(k) ? MOTOR : Math.abs(k - blades) == 1 ? BESIDE : 0.0;
  }
}
