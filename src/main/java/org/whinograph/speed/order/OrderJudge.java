package org.whinograph.speed.order;

/**
 * Names tones that are whole multiples of the speed: shaft orders and blade-pass. How often an
 * unrelated line would be as near is held against it, and whether the tone moves as the speed does.
 */
final class OrderJudge extends ToneJudge {
  /**
   * A whole order counts if an unrelated line would be as near in fewer than this part of cases.
   */
  private static final double MOST_CHANCE = 0.1;

  /** The same of orders that neither the blades nor a plain imbalance explain. */
  private static final double MOST_CHANCE_FAR = 0.03;

  private static final int PLAIN_ORDERS = 12;

  private static final double TWO_SIDED_95 = 1.96;

  private final BladePassOdds odds;
  private final OrderNaming naming;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  OrderJudge(ToneView view, Verdicts verdicts) {
    super(view, verdicts);
    this.odds = new BladePassOdds(view);
    this.naming = new OrderNaming(view, verdicts);
  }

  @Override
  void judge(int i) {
    LineMotion line = view.line(i);
    boolean follows = line.slopeFollows() || line.comesWithTheOrder();
    boolean stays = view.slopeStays(i) || (line.soundsElsewhere() && !line.slopeFollows());
    int k = view.multiple(i);
    double bladePass = odds.probability(k);
    double most =
        k <= PLAIN_ORDERS || BladePassOdds.likely(bladePass) || follows
            ? MOST_CHANCE
            : MOST_CHANCE_FAR;
    if (stays || !view.whole(i) || view.chance(i) > most) {
      return;
    }
    if (!follows && view.disagrees(i)) {
      verdicts.say(
          i,
          Wording.format(
              "It is near %d%s, but no other line near a whole multiple agrees with it on that"
                  + " speed, as lines of one shaft do.",
              k, view.times()));
      return;
    }
    boolean supply = view.mains().has(i) && !follows;
    if (supply && !shaftExplainsMains(i)) {
      verdicts.name(i, Cause.UNKNOWN);
      verdicts.say(
          i,
          Wording.format(
              "It could be order %d of the shaft or %d times the supply's %.0f Hz: both lie here,"
                  + " and the speed moves too little to tell them apart.",
              k, view.mains().multiple(i), view.mains().supplyHz(i)));
      return;
    }
    verdicts.turnsWithTheFan(i, k);
    sayOrder(i, k);
    sayFollows(i, k);
    if (supply) {
      verdicts.say(
          i,
          Wording.format(
              "Against: it is %d times the supply's %.0f Hz too; but every tone that could be hum is"
                  + " an order of the shaft as well, and other orders are heard.",
              view.mains().multiple(i), view.mains().supplyHz(i)));
    }
    sayResonance(i);
    naming.name(i, k);
  }

  /** Whether the shaft explains all that could be hum, and more: then no hum need be there. */
  private boolean shaftExplainsMains(int i) {
    int beyond = 0;
    for (int j = 0; j < view.size(); j++) {
      if (view.mains().has(j)
          && view.mains().supplyHz(j) == view.mains().supplyHz(i)
          && !view.whole(j)) {
        return false;
      }
      beyond += !view.mains().has(j) && view.whole(j) && !view.disagrees(j) ? 1 : 0;
    }
    return beyond >= 2;
  }

  private void sayOrder(int i, int k) {
    if (view.claimed()) {
      verdicts.say(
          i,
          Wording.format(
              "Its frequency is %s%s: order %d within ±%s; an unrelated line would be as near"
                  + " to a whole order in %s of cases.",
              view.figure(i, view.ratio(i)),
              view.times(),
              k,
              view.figure(i, view.tolerance(i)),
              Wording.percent(view.chance(i))));
    } else {
      verdicts.say(
          i,
          Wording.format(
              "Its frequency is %s%s, a whole multiple within ±%s; an unrelated line would be"
                  + " as near to one in %s of cases.",
              view.figure(i, view.ratio(i)),
              view.times(),
              view.figure(i, view.tolerance(i)),
              Wording.percent(view.chance(i))));
    }
  }

  private void sayFollows(int i, int k) {
    LineMotion line = view.line(i);
    boolean said = false;
    if (line.slopeFollows()) {
      verdicts.say(
          i,
          Wording.format(
              "It moves with the speed: the slope of its frequency over the speed is %.2f ± %.2f,"
                  + " 1 for an order and 0 for a line that stays (logarithms of both).",
              line.slope(), TWO_SIDED_95 * line.slopeDeviation()));
      said = true;
    }
    if (line.comesWithTheOrder()) {
      verdicts.say(
          i,
          Wording.format(
              "It sounds in %d of %d frames in which order %d passes there and in %d of %d others.",
              line.predictedPresent(),
              line.predicted(),
              k,
              line.elsewherePresent(),
              line.elsewhere()));
      said = true;
    }
    if (!said) {
      verdicts.say(
          i,
          Wording.format(
              "Against: the speed moves too little (%s in all) to see the line move with it.",
              Wording.percent(view.motion().range())));
    }
  }

  private void sayResonance(int i) {
    if (view.sweep() == null) {
      return;
    }
    for (ResonanceCrossing resonance : view.sweep().resonances()) {
      if (resonance.orders().size() > 1 && ResonanceJudge.near(view, resonance, i)) {
        verdicts.say(
            i,
            Wording.format(
                "A resonance near %.0f Hz%s, where %d orders grow loud on their way, makes it"
                    + " louder.",
                resonance.frequencyHz(),
                ResonanceJudge.interval(resonance),
                resonance.orders().size()));
      }
    }
  }
}
