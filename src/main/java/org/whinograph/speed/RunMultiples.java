package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * Which multiple of the comb heard so far the comb of a new run is. After a silence the search may
 * take up another multiple of the shaft, and the speed may be another too: what stays are the
 * orders. The run's lines are laid over those of all runs before at every ratio at which some line
 * meets another, and the ratio at which clearly more of them meet than at one to one is taken.
 *
 * <p>All thresholds are a judgement.
 */
final class RunMultiples {
  private static final double LEAST_POWER = 6.0;

  /** Evidence of a line that counts, and what one may say [nat]. */
  private static final double LINE_NATS = 7.0;

  private static final int MOST_LINES = 10;

  /** Lines meet if their orders differ by no more than each may be off: a part of it [1]. */
  private static final double NEAR = 0.0005;

  /** And a part of a bin. */
  private static final double BINS = 0.4;

  /** Lines that must meet, and how many more than at one to one. */
  private static final int FEWEST = 3;

  private static final int MORE = 2;

  /** Logarithm by which speeds are less apart from which on one more is enough. */
  private static final double NEARER = 0.2;

  /** Lines between multiples of the comb that must meet to tell a shaft by themselves. */
  private static final int FEWEST_TELLING = 2;

  /** Part of a line's power that may be left at another speed. */
  private static final double FADED = 0.25;

  /**
   * Part of the strongest line's power from which on a line is the shaft's rather than another
   * machine's that rested beside it.
   */
  private static final double STRONG = 0.2;

  /** Evidence below which a line isn't heard [nat]. */
  private static final double UNHEARD_NATS = 1.0;

  /** Greatest of the smaller number of a ratio: an order of the shaft that a comb may be. */
  private static final int MOST_PARTS = 12;

  private RunMultiples() {}

  /**
   * What was found.
   *
   * @param factor what the run's spacing is to be multiplied by, 1 without evidence
   * @param telling number of the run's lines that then meet one of those before which is no whole
   *     multiple of the comb: whole ones are any comb's
   * @param isOpen whether more lines would meet at another ratio, though not clearly more
   * @param lacksTelling whether the strongest such line of those before would be heard in the run
   *     even if it faded, and isn't
   * @param lacksStrongest the same of the strongest line of all
   */
  record Match(
      double factor, int telling, boolean isOpen, boolean lacksTelling, boolean lacksStrongest) {
    /** Whether the lines by themselves say that the run is another shaft's. */
    boolean isAnothers() {
      return lacksStrongest || (telling == 0 && lacksTelling);
    }

    /** Whether the lines by themselves say that the run is the same shaft's. */
    boolean isClear() {
      return telling >= FEWEST_TELLING;
    }
  }

  /**
   * Finds the ratio.
   *
   * @param before orders of all runs before
   * @param run orders of the run
   * @param apart spacing of the run over that of those before [1]
   */
  static Match match(OrderPowers before, OrderPowers run, double apart) {
    List<Line> known = lines(before);
    List<Line> fresh = lines(run);
    double best = 1.0;
    int asTheyAre = meeting(known, fresh, best);
    int most = 0;
    boolean open = false;
    for (Line a : known) {
      for (Line b : fresh) {
        double ratio = simple(b.order / a.order, a.uncertain() + b.uncertain());
        int count = Double.isNaN(ratio) ? 0 : meeting(known, fresh, ratio);
        open |= count >= FEWEST && count > asTheyAre;
        int needed = asTheyAre + (isNearer(apart, ratio) ? 1 : MORE);
        if (count >= Math.max(FEWEST, needed) && count > most) {
          most = count;
          best = ratio;
        }
      }
    }
    List<Line> between =
        known.stream().filter(a -> !a.meets(Math.max(1.0, Math.rint(a.order)))).toList();
    return new Match(
        best,
        meeting(between, fresh, best),
        open && best == 1.0,
        !between.isEmpty()
            && between.get(0).power > STRONG * known.get(0).power
            && lacks(run, between.get(0), best),
        !known.isEmpty() && lacks(run, known.get(0), best));
  }

  /** Whether a line would be heard in a run even if it faded, and isn't. */
  private static boolean lacks(OrderPowers run, Line line, double factor) {
    double order = line.order * factor;
    double power = run.power(order);
    if (Double.isNaN(power)) {
      return false;
    }
    double independent = Math.min(ShaftOrders.MOST_INDEPENDENT, run.independent(order));
    return LineEvidence.ofMean(FADED * line.power, independent) > LINE_NATS
        && LineEvidence.ofMean(power, independent) < UNHEARD_NATS;
  }

  /** Whether the speeds are clearly less apart at a ratio than at one to one. */
  private static boolean isNearer(double apart, double ratio) {
    return Math.abs(Math.log(apart * ratio)) < Math.abs(Math.log(apart)) - NEARER;
  }

  /** A line of a stack, its power and the width of its bins [orders of the comb]. */
  private record Line(double order, double power, double bin) {
    /** How far the order may be off [1]. */
    double uncertain() {
      return NEAR + BINS * bin / order;
    }

    boolean meets(double other) {
      return Math.abs(other / order - 1.0) < uncertain();
    }
  }

  /** The strongest lines, the strongest first. */
  private static List<Line> lines(OrderPowers stack) {
    List<StackedLines.Line> found = new ArrayList<>();
    for (StackedLines.Line line :
        new StackedLines(stack, stack.highestOrder(), LEAST_POWER).lines()) {
      double independent = Math.min(ShaftOrders.MOST_INDEPENDENT, stack.independent(line.order()));
      if (LineEvidence.ofMean(line.power(), independent) > LINE_NATS) {
        found.add(line);
      }
    }
    return found.stream()
        .sorted(Comparator.comparingDouble(StackedLines.Line::power).reversed())
        .limit(MOST_LINES)
        .map(line -> new Line(line.order(), line.power(), 1.0 / stack.cycles()))
        .toList();
  }

  /** Number of a run's lines that meet one of those before. */
  private static int meeting(List<Line> known, List<Line> fresh, double factor) {
    int count = 0;
    for (Line b : fresh) {
      boolean meets = false;
      for (Line a : known) {
        meets |= Math.abs(b.order / factor / a.order - 1.0) < a.uncertain() + b.uncertain();
      }
      count += meets ? 1 : 0;
    }
    return count;
  }

  /** The ratio of small whole numbers next to a ratio, NaN if none is near. */
  private static double simple(double ratio, double uncertain) {
    for (int q = 1; q <= MOST_PARTS; q++) {
      for (int p = 1; p <= ShaftOrders.MOST_BLADES; p++) {
        if (Math.abs(ratio * q / p - 1.0) < uncertain) {
          return (double) p / q;
        }
        if (Math.abs(ratio * p / q - 1.0) < uncertain) {
          return (double) q / p;
        }
      }
    }
    return Double.NaN;
  }
}
