package org.whinograph.speed.order;

import java.util.List;

/**
 * Names tones that are pieces of an order which the motion of the speed spreads over many lines: by
 * what the order leaves at their place, in time and level.
 */
final class PassingJudge extends ToneJudge {
  /** An order explains a tone that it makes at least this part of (−4 dB). */
  private static final double LEAST_PART = 0.4;

  /** An order that the blades don't explain must make more of it (−2 dB). */
  private static final double LEAST_PART_PLAIN = 0.6;

  /** Leaves an order much more than there is, then its level there isn't known (+6 dB). */
  private static final double MOST_PART = 4.0;

  /** Nor is it known which order it is if another leaves more than this part as much. */
  private static final double RIVAL_PART = 0.4;

  /** An order that is there for longer doesn't pass: its frequency must tell. */
  private static final double MOST_SHARE = 0.6;

  private final PassingOrders passing;
  private final OrderNaming naming;
  private final BladePassOdds odds;

  /**
   * Prepares.
   *
   * @param view the tones, with a speed and a spectrum
   * @param verdicts what was said of them so far
   * @param levels levels of the orders by speed, in order of speed
   */
  PassingJudge(ToneView view, Verdicts verdicts, List<SpeedLevels> levels) {
    super(view, verdicts);
    this.passing = new PassingOrders(view, levels);
    this.naming = new OrderNaming(view, verdicts);
    this.odds = new BladePassOdds(view);
  }

  @Override
  void judge(int i) {
    double f = view.tone(i).frequencyHz();
    if (view.mains().has(i) || Staying.known(view, i)) {
      return;
    }
    List<PassingOrders.Passing> orders = passing.at(f);
    if (orders.isEmpty()) {
      return;
    }
    PassingOrders.Passing order = orders.get(0);
    double measured = passing.measured(f);
    double least =
        BladePassOdds.likely(odds.probability(order.order())) ? LEAST_PART : LEAST_PART_PLAIN;
    boolean explains =
        order.meanSquare() >= least * measured
            && order.meanSquare() <= MOST_PART * measured
            && order.share() <= MOST_SHARE
            && passing.heardElsewhere(order.order(), f);
    boolean alone =
        orders.size() < 2 || orders.get(1).meanSquare() <= RIVAL_PART * order.meanSquare();
    if (!explains || !alone) {
      return;
    }
    verdicts.turnsWithTheFan(i, order.order());
    verdicts.say(
        i,
        Wording.format(
            "It is a piece of %s, which the motion of the speed spreads over many lines: that is"
                + " here for %s of the time and, as loud as it is when followed, leaves %.1f dB"
                + " here; %.1f dB are measured, noise and all.",
            view.claimed()
                ? Wording.format("order %d", order.order())
                : Wording.format("%d times the spacing of the fan's lines", order.order()),
            Wording.percent(order.share()),
            view.spectrum().unit().levelOf(order.meanSquare()),
            view.spectrum().unit().levelOf(measured)));
    naming.name(i, order.order());
  }
}
