package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * The lines that stand out of a stack, each with its exact place. Only where a comb stands still
 * are they sharp, those of other sources too: the stack is a long spectrum then.
 *
 * <p>Immutable.
 */
final class StackedLines {
  /** Nearer to a stronger line than this a line may be its side lobe [bins]. */
  private static final int APART = 6;

  /** The whitened floor is hardly anywhere lower than this [1]. */
  private static final double LEAST_FLOOR = 0.5;

  /** Weaker lines say nothing: side lobes of strong ones are among them [dB]. */
  private static final double WEAKEST_DB = -30.0;

  /**
   * A line of the stack.
   *
   * @param order order of the comb, interpolated [1]
   * @param power mean power over the noise floor [1]
   * @param levelDb level below the strongest line [dB, at most 0]
   */
  record Line(double order, double power, double levelDb) {}

  private final List<Line> lines = new ArrayList<>();
  private final double toleranceOrders;
  private final double leastDb;

  /**
   * Collects the lines.
   *
   * @param stack the stack
   * @param highestOrder orders above are left out
   * @param leastPower lines below are left out [1 under noise]
   */
  StackedLines(OrderPowers stack, double highestOrder, double leastPower) {
    int cycles = stack.cycles();
    int last = (int) (Math.min(highestOrder, stack.highestOrder()) * cycles);
    double[] mean = new double[last + APART + 1];
    for (int k = 3; k < mean.length; k++) {
      mean[k] = stack.mean(k);
    }
    List<double[]> found = new ArrayList<>();
    double greatest = 0.0;
    for (int k = APART; k <= last; k++) {
      if (mean[k] >= LEAST_FLOOR * leastPower && isGreatest(mean, k)) {
        double power = stack.power((double) k / cycles);
        if (power >= leastPower) {
          found.add(new double[] {(k + offset(mean, k)) / cycles, power});
          greatest = Math.max(greatest, power);
        }
      }
    }
    for (double[] each : found) {
      double levelDb = 10.0 * Math.log10(each[1] / greatest);
      if (levelDb > WEAKEST_DB) {
        lines.add(new Line(each[0], each[1], levelDb));
      }
    }
    this.toleranceOrders = 0.35 / cycles;
    this.leastDb = Math.max(WEAKEST_DB, 10.0 * Math.log10(leastPower / greatest));
  }

  private static boolean isGreatest(double[] power, int k) {
    for (int d = 1; d <= APART; d++) {
      if (power[k - d] > power[k] || power[k + d] > power[k]) {
        return false;
      }
    }
    return true;
  }

  /** Two-line interpolation of a Hann window: (2b − a)/(a + b) of the two greatest amplitudes. */
  private static double offset(double[] power, int k) {
    boolean up = power[k + 1] > power[k - 1];
    double a = Math.sqrt(power[k]);
    double b = Math.sqrt(up ? power[k + 1] : power[k - 1]);
    double offset = Math.max(0.0, Math.min(0.5, (2.0 * b - a) / (a + b)));
    return up ? offset : -offset;
  }

  /** The lines, by rising order. */
  List<Line> lines() {
    return lines;
  }

  /** Within this a line is on a place [orders of the comb]. */
  double tolerance() {
    return toleranceOrders;
  }

  /** Level of the weakest line that would be among them [dB below the strongest]. */
  double leastDb() {
    return leastDb;
  }

  /**
   * Order of the shaft that a line stands on, 0 if none.
   *
   * @param line the line
   * @param q which order of the shaft the comb's spacing is
   */
  int order(Line line, int q) {
    double k = Math.rint(line.order() * q);
    return Math.abs(line.order() - k / q) < toleranceOrders ? (int) k : 0;
  }

  /**
   * Order of the shaft that is nearest to the highest line, 0 without lines.
   *
   * @param q which order of the shaft the comb's spacing is
   */
  int lastOrder(int q) {
    return lines.isEmpty() ? 0 : (int) Math.rint(lines.get(lines.size() - 1).order() * q);
  }
}
