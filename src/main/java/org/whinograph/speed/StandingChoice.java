package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * Which of the lines that stand still is the fan's, where somebody says that there is a fan.
 *
 * <p>One line that stands still has nothing of its own that tells it from another one. The fan's
 * may be any of them, and the strongest as little as the next: so each gets a share, as far as it
 * suits what is known beforehand. A line that is alone, or the only one that suits, is told, unless
 * something faint smears beside it.
 *
 * <p>All weights are a judgement. Immutable.
 */
final class StandingChoice {
  /** Weight of the fan being heard in no line at all, beside 1 for a line that may be its. */
  private static final double NOT_HEARD = 1.0 / 9.0;

  /** Evidence by which no place of a whole stack stands out by chance [nat]. */
  static final double CLEAR_NATS = 18.0;

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

  private final OrderPowers stack;
  private final double spacingHz;
  private final SpeedHints hints;

  /**
   * Prepares.
   *
   * @param stack the stacked orders of a comb that stands still
   * @param spacingHz spacing of the comb [Hz]
   * @param hints what is known beforehand, not nothing
   */
  StandingChoice(OrderPowers stack, double spacingHz, SpeedHints hints) {
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
    double order = (double) reading.blades() / reading.combOrder();
    StackedLines.Line bladePass = lineAt(order, lines);
    if (bladePass != null && inTune(bladePass, lines) >= 2) {
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
      boolean own = bladePass != null && isOwn(line, bladePass, reading, lines.tolerance());
      if (!own && nats(line) > CLEAR_NATS) {
        double hz = line.order() * spacingHz;
        double weakerDb = bladePass == null ? 0.0 : bladePass.levelDb() - line.levelDb();
        others += weight(weakerDb) * hints.suits(hz);
        moving.removeIf(each -> Math.abs(each / hz - 1.0) < SAME);
      }
    }
    for (double hz : moving) {
      others += hints.suits(hz);
    }
    // What moves is a machine, though it be too faint to follow.
    others += new SmearedLines(stack, spacingHz, order).any() ? 1.0 : 0.0;
    boolean hidden = Double.isNaN(stack.power(order));
    double heard = bladePass != null || hidden ? 1.0 : 1.0 - CombScores.presence(1);
    double own = heard * hints.suits(order * spacingHz);
    return own / (NOT_HEARD + own + others);
  }

  /** Weight of a line that is weaker than blade-pass [dB]. */
  private static double weight(double weakerDb) {
    return Math.pow(10.0, -0.1 * Math.max(0.0, weakerDb - AS_LIKELY_DB));
  }

  /** The strongest line that stands out near an order, or null. */
  private StackedLines.Line lineAt(double order, StackedLines lines) {
    StackedLines.Line best = null;
    for (StackedLines.Line line : lines.lines()) {
      boolean here = Math.abs(line.order() / order - 1.0) < NEAR && nats(line) > HARMONIC_NATS;
      best = here && (best == null || line.power() > best.power()) ? line : best;
    }
    return best;
  }

  /**
   * Number of multiples of blade-pass that stand out and are in tune with it. Lines of several
   * sources fit a comb as nearly as the search looks, but hardly ever as the stack does.
   */
  private int inTune(StackedLines.Line bladePass, StackedLines lines) {
    int count = 0;
    for (StackedLines.Line line : lines.lines()) {
      double m = Math.rint(line.order() / bladePass.order());
      boolean fits = Math.abs(line.order() - m * bladePass.order()) < (1.0 + m) * lines.tolerance();
      count += fits && m >= 1.0 && m <= MOST_HARMONICS && nats(line) > HARMONIC_NATS ? 1 : 0;
    }
    return count;
  }

  private double nats(StackedLines.Line line) {
    double independent = Math.min(ShaftOrders.MOST_INDEPENDENT, stack.independent(line.order()));
    return LineEvidence.ofMean(line.power(), independent);
  }

  /** Whether a line is one of blade-pass, smeared or not, or an order of the shaft. */
  private static boolean isOwn(
      StackedLines.Line line,
      StackedLines.Line bladePass,
      ShaftOrders.Reading reading,
      double tolerance) {
    double m = line.order() / bladePass.order();
    double k = line.order() * reading.combOrder();
    return Math.abs(m / Math.max(1.0, Math.rint(m)) - 1.0) < NEAR
        || Math.abs(k - Math.max(1.0, Math.rint(k))) < tolerance * reading.combOrder();
  }
}
