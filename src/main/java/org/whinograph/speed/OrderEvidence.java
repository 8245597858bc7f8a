package org.whinograph.speed;

import java.util.Arrays;
import java.util.Comparator;
import java.util.List;

/**
 * What a stack of orders says of single lines, sharp or smeared.
 *
 * <p>All thresholds are a judgement. Not safe for use by several threads.
 */
final class OrderEvidence {
  /** A line of the shaft is off its place by less [bins]. */
  private static final int LINE_REACH = 2;

  /** Orders up to here are known so well, and how far off a line may seem by noise [bins]. */
  private static final double LOW_ORDER = 0.5;

  private static final double MOST_OFF = 0.75;

  /** How far a line that doesn't move with the comb is looked for beside a place [bins]. */
  private static final int SKIRT_REACH = 10;

  /** Farthest reach of a smeared line [bins], and where it ends: in noise, or where power rises. */
  private static final int SMEAR_REACH = 24;

  private static final double SKIRT_END = 2.0;
  private static final double RISES = 2.5;

  /** Part of its own order over which a line may be smeared [1]. */
  private static final double SMEAR = 0.004;

  /** Energy over power of a line that isn't smeared: a Hann window gives 1.5 [1]. */
  private static final double SHARP = 4.0;

  /** How much more smeared than the comb's own line a line of the shaft may be [1]. */
  private static final double MORE_SMEARED = 1.5;

  /**
   * What is so much rarer than the strongest of all bins is no noise, whose floor is known by
   * thirty bins only [nat].
   */
  private static final double RARE_NATS = 6.0;

  /** Least power of a line that is looked at [1 under noise]. */
  private static final double LEAST_POWER = 6.0;

  private final OrderPowers stack;

  /**
   * Prepares.
   *
   * @param stack the stacked orders
   */
  OrderEvidence(OrderPowers stack) {
    this.stack = stack;
  }

  /**
   * Evidence of a line at an order of the comb. At a whole multiple it may be smeared: where the
   * speed wanders faster than it can be followed, the power is spread over many bins.
   *
   * @param order order of the comb, inside the stack
   * @return evidence [nat]
   */
  double nats(double order) {
    double most = ShaftOrders.MOST_INDEPENDENT;
    double independent = Math.min(most, stack.independent(order));
    double sharp = LineEvidence.ofMean(stack.power(order), independent);
    int reach = (int) Math.min(SMEAR_REACH, SMEAR * order * stack.cycles());
    if (reach <= LINE_REACH || order != Math.rint(order)) {
      return sharp;
    }
    double count = Math.min(most, 0.5 * (2 * reach + 1) * stack.count(order));
    return Math.max(sharp, LineEvidence.ofMean(stack.meanAround(order, reach), count));
  }

  /**
   * Number of multiples of the comb that stand out.
   *
   * @param last highest multiple looked at
   * @param leastNats evidence that one must have more of [nat]
   */
  int multiples(int last, double leastNats) {
    int count = 0;
    for (int m = 1; m <= last; m++) {
      count += !Double.isNaN(stack.power(m)) && nats(m) > leastNats ? 1 : 0;
    }
    return count;
  }

  /**
   * Lines that stand out between the multiples of the comb.
   *
   * @param highest highest order looked at
   * @param leastNats evidence that one must have more of [nat]
   * @return their orders of the comb
   */
  double[] between(double highest, double leastNats) {
    int cycles = stack.cycles();
    int last = (int) (Math.min(highest, stack.highestOrder()) * cycles) - SKIRT_REACH;
    double[] result = new double[Math.max(0, last)];
    int count = 0;
    for (int k = SKIRT_REACH; k < last; k++) {
      int apart = Math.min(k % cycles, cycles - k % cycles);
      if (apart > SKIRT_REACH && isTop(k) && nats((double) k / cycles) > leastNats) {
        result[count++] = (double) k / cycles;
      }
    }
    return Arrays.copyOf(result, count);
  }

  /** Whether no bin that a smeared line would fill is greater. */
  private boolean isTop(int k) {
    double here = stack.mean(k);
    for (int d = 1; d <= SKIRT_REACH; d++) {
      if (stack.mean(k - d) >= here || stack.mean(k + d) > here) {
        return false;
      }
    }
    return true;
  }

  /**
   * Whether a place is but beside a line: one that doesn't move with the comb is smeared over many.
   *
   * @param order order of the comb
   * @param apart distance of the next place [orders of the comb]
   */
  boolean isSkirt(double order, double apart) {
    int reach = (int) Math.min(SKIRT_REACH, 0.5 * apart * stack.cycles());
    return reach > LINE_REACH && stack.distance(order, reach) > LINE_REACH;
  }

  /**
   * Whether the line at a low order is another's next to it: where the shaft's own would be is
   * known to a small part of a bin, however little the comb's error is at higher orders.
   *
   * @param order order of the comb
   */
  boolean isBeside(double order) {
    return order < LOW_ORDER && stack.distance(order, LINE_REACH) > MOST_OFF;
  }

  /**
   * Whether a line that stands still would be smeared away while the comb moves.
   *
   * @param order where it would be [orders of the comb]
   * @param movement how far the comb moves, over its spacing [1]
   */
  boolean wouldSmear(double order, double movement) {
    return order * movement * stack.cycles() > SKIRT_REACH;
  }

  /** Whether hardly any stack of noise has a line as strong as that anywhere. */
  boolean isBeyondChance(double line) {
    return nats(line) > Math.log(stack.highestOrder() * stack.cycles()) + RARE_NATS;
  }

  /** Whether a line is at an order. */
  boolean isAt(double line, double order) {
    return Math.abs(line - order) * stack.cycles() < LINE_REACH;
  }

  /**
   * Power of a line with what is smeared about it.
   *
   * @param order order of the comb
   * @return sum over its bins [1 under noise]
   */
  double energy(double order) {
    int middle = (int) Math.rint(order * stack.cycles());
    return stack.mean(middle) + skirt(middle, 1) + skirt(middle, -1);
  }

  /** Sum of the powers beside a line until they are noise or rise to the next line. */
  private double skirt(int middle, int direction) {
    double sum = 0.0;
    double least = stack.mean(middle);
    for (int d = 1; d <= SMEAR_REACH; d++) {
      double power = stack.mean(middle + d * direction);
      if (power < SKIRT_END || power > RISES * least) {
        break;
      }
      least = Math.min(least, power);
      sum += power;
    }
    return sum;
  }

  /**
   * The strongest of all lines that may be a shaft's, multiples of the comb or not.
   *
   * @param most how many
   * @return orders of the comb, the strongest first
   */
  List<Double> strongest(int most) {
    return new StackedLines(stack, stack.highestOrder(), LEAST_POWER)
        .lines().stream()
            .filter(this::mayBeShafts)
            .sorted(
                Comparator.comparingDouble((StackedLines.Line line) -> energy(line.order()))
                    .reversed())
            .limit(most)
            .map(StackedLines.Line::order)
            .toList();
  }

  private boolean mayBeShafts(StackedLines.Line line) {
    double m = Math.rint(line.order());
    boolean multiple = m >= 1.0 && isAt(line.order(), m);
    if (nats(multiple ? m : line.order()) <= ShaftOrders.CHANCE_LINE_NATS) {
      return false;
    }
    // What the comb's own line isn't smeared by, a lower one of the shaft isn't either.
    double own = energy(1.0) / stack.mean(stack.cycles());
    double smeared = energy(line.order()) / line.power();
    return multiple || smeared < Math.max(SHARP, MORE_SMEARED * own);
  }
}
