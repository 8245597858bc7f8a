package org.whinograph.speed.order;

/** Names the cause of a tone that is known to be a whole multiple of the speed. */
final class OrderNaming {
  private final ToneView view;
  private final Verdicts verdicts;
  private final BladePassOdds odds;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  OrderNaming(ToneView view, Verdicts verdicts) {
    this.view = view;
    this.verdicts = verdicts;
    this.odds = new BladePassOdds(view);
  }

  /** Names blade-pass, the shaft or, where the number of blades leaves it open, neither. */
  void name(int i, int k) {
    double bladePass = odds.probability(k);
    if (!view.claimed()) {
      nameOfComb(i, bladePass);
      return;
    }
    verdicts.orderOfTheShaft(i, k);
    if (BladePassOdds.likely(bladePass)) {
      verdicts.name(i, Cause.BLADE_PASS);
      verdicts.say(i, odds.isOne(k, bladePass));
    } else {
      // As long as it may well be a blade-pass line, its order is known and its cause isn't.
      verdicts.name(i, BladePassOdds.ruledOut(bladePass) ? Cause.SHAFT : Cause.UNKNOWN);
      verdicts.say(i, odds.isNone(k));
    }
  }

  private void nameOfComb(int i, double bladePass) {
    if (BladePassOdds.likely(bladePass) && odds.combLooksLikeBlades()) {
      verdicts.name(i, Cause.BLADE_PASS);
      verdicts.say(
          i,
          Wording.format(
              "Nearly every number of blades that fits the lines makes it a blade-pass line"
                  + " (probability %.2f); which order of the shaft it is depends on their number.",
              bladePass));
    } else {
      verdicts.name(i, Cause.UNKNOWN);
      verdicts.say(
          i,
          "It belongs to the fan's lines, but which order of the shaft it is depends on the"
              + " number of blades, which isn't known.");
    }
  }
}
