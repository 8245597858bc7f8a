package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * Which of the lines that stand still is the fan's, where somebody says that there is a fan.
 *
 * <p>One line that stands still has nothing of its own that tells it from another one. The fan's
 * may be any of them, and the strongest as little as the next: so each gets a share, as far as it
 * suits what is known beforehand. A line that is alone, or the only one that suits, is told.
 *
 * <p>All weights are a judgement. Immutable.
 */
final class StandingChoice {
  /** Weight of the fan being heard in no line at all, beside 1 for a line that may be its. */
  private static final double NOT_HEARD = 1.0 / 9.0;

  /** Evidence by which no place of a whole stack stands out by chance [nat]. */
  private static final double CLEAR_NATS = 18.0;

  /** Evidence by which a multiple of the comb is there [nat], and the highest looked at. */
  private static final double HARMONIC_NATS = 7.0;

  private static final double MOST_HARMONICS = 8.0;

  /** Power of a place that is worth looking at [1 under noise]. */
  private static final double LEAST_POWER = 6.0;

  /** A line weaker than the comb by this is as likely the fan's; from there on ever less [dB]. */
  private static final double AS_LIKELY_DB = 10.0;

  /** Nearer to a multiple of the comb than this a line may be part of a smeared one [1]. */
  private static final double NEAR = 0.001;

  /** A line that was followed is one of the stack's if it lies as near [1]. */
  private static final double SAME = 0.01;

  private final OrderStack stack;
  private final double spacingHz;
  private final SpeedHints hints;

  /**
   * Prepares.
   *
   * @param stack the stacked orders of a comb that stands still
   * @param spacingHz spacing of the comb [Hz]
   * @param hints what is known beforehand, not nothing
   */
  StandingChoice(OrderStack stack, double spacingHz, SpeedHints hints) {
    this.stack = stack;
    this.spacingHz = spacingHz;
    this.hints = hints;
  }

  /**
   * Probability that the comb is the fan's.
   *
   * @param reading what it is read as
   * @param left spacings of what else was followed [Hz]
   */
  double fan(ShaftOrders.Reading reading, List<Double> left) {
    StackedLines lines = new StackedLines(stack, stack.highestOrder(), LEAST_POWER);
    if (inTune(lines) >= 2) {
      return 1.0;
    }
    if (hints.taggedHz() != null) {
      // Whoever names a line has chosen.
      double own = hints.density(60.0 * spacingHz / reading.combOrder());
      return own / (NOT_HEARD + own);
    }
    double others = 0.0;
    List<Double> moving = new ArrayList<>(left);
    for (StackedLines.Line line : lines.lines()) {
      if (isOther(line, reading, lines.tolerance())) {
        double hz = line.order() * spacingHz;
        others += weight(ownDb(lines) - line.levelDb()) * hints.suits(hz);
        moving.removeIf(each -> Math.abs(each / hz - 1.0) < SAME);
      }
    }
    for (double hz : moving) {
      others += hints.suits(hz);
    }
    double own = hints.suits(spacingHz);
    return own / (NOT_HEARD + own + others);
  }

  /** Level of the comb's strongest line [dB]. */
  private static double ownDb(StackedLines lines) {
    double result = Double.NEGATIVE_INFINITY;
    for (StackedLines.Line line : lines.lines()) {
      if (isOrder(line.order(), 1, NEAR)) {
        result = Math.max(result, line.levelDb());
      }
    }
    return result;
  }

  /** Weight of a line that is weaker than the comb's strongest [dB]. */
  private static double weight(double weakerDb) {
    return Math.pow(10.0, -0.1 * Math.max(0.0, weakerDb - AS_LIKELY_DB));
  }

  /**
   * Number of multiples of the comb that stand out and are in tune with its first. Lines of several
   * sources fit a comb as nearly as the search looks, but hardly ever as the stack does.
   */
  private int inTune(StackedLines lines) {
    StackedLines.Line first = null;
    int count = 0;
    for (StackedLines.Line line : lines.lines()) {
      double m = Math.rint(line.order());
      if (m >= 1.0 && m <= MOST_HARMONICS && nats(line) > HARMONIC_NATS) {
        if (m == 1.0 && Math.abs(line.order() - m) < NEAR) {
          first = line;
        }
        boolean fits =
            first != null
                && Math.abs(line.order() - m * first.order()) < (1.0 + m) * lines.tolerance();
        count += fits ? 1 : 0;
      }
    }
    return count;
  }

  private double nats(StackedLines.Line line) {
    double independent = Math.min(ShaftOrders.MOST_INDEPENDENT, stack.independent(line.order()));
    return LineEvidence.ofMean(line.power(), independent);
  }

  /** Whether a line stands out and isn't the comb's. */
  private boolean isOther(StackedLines.Line line, ShaftOrders.Reading reading, double tolerance) {
    return nats(line) > CLEAR_NATS
        && !isOrder(line.order(), 1, NEAR)
        && !isOrder(line.order(), reading.combOrder(), tolerance / line.order());
  }

  /** Whether an order of the comb is one of a part of it, within a relative tolerance. */
  private static boolean isOrder(double order, int part, double tolerance) {
    double nearest = Math.max(1.0, Math.rint(order * part)) / part;
    return Math.abs(order - nearest) < tolerance * order;
  }
}
