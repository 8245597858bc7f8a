package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;

/** Orders that the spectrum that follows the speed shows and no tone of the plain one tells of. */
final class FollowedJudge {
  private final ToneView view;
  private final Verdicts verdicts;
  private final BladePassOdds odds;
  private final MotorEvidence motor;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them
   * @param motor what speaks for the motor
   */
  FollowedJudge(ToneView view, Verdicts verdicts, MotorEvidence motor) {
    this.motor = motor;
    this.view = view;
    this.verdicts = verdicts;
    this.odds = new BladePassOdds(view);
  }

  /**
   * Finds and judges them.
   *
   * @param bins the spectra that follow the speed
   */
  List<FollowedOrder> orders(List<SpeedBin> bins) {
    List<FollowedOrder> result = new ArrayList<>();
    if (view.motion() == null || view.spectrum() == null) {
      return result;
    }
    for (FollowedOrders.Found found : FollowedOrders.find(bins, view.motion())) {
      boolean told = false;
      for (int i = 0; i < view.size(); i++) {
        double apart = Math.abs(view.tone(i).frequencyHz() - found.tone().frequencyHz());
        told |=
            verdicts.ofTheFan(i)
                ? verdicts.multiple(i) == found.multiple()
                : apart <= 2.0 * view.spectrum().lineSpacingHz();
      }
      if (!told) {
        result.add(followed(found));
      }
    }
    return result;
  }

  private FollowedOrder followed(FollowedOrders.Found found) {
    int k = found.multiple();
    List<String> told = new ArrayList<>();
    told.add(
        Wording.format(
            "It stands out of the spectrum that follows the speed, at %.4f%s: %d within ±%.4f; an"
                + " unrelated line would be as near to a whole multiple in %s of cases.",
            found.ratio(), view.times(), k, found.reach(), Wording.percent(found.chance())));
    if (found.movesClearly(view.spectrum().lineSpacingHz())) {
      told.add(
          Wording.format(
              "It moves with the speed: over %.1f Hz in the plain spectrum, while a line that stays"
                  + " would be smeared as far in this one.",
              found.smearHz()));
    }
    double bladePass = odds.probability(k);
    Cause why = Cause.UNKNOWN;
    if (BladePassOdds.likely(bladePass) && (view.claimed() || odds.combLooksLikeBlades())) {
      why = Cause.BLADE_PASS;
    } else if (view.claimed() && BladePassOdds.ruledOut(bladePass)) {
      why = Cause.SHAFT;
    }
    if (view.claimed()) {
      told.add(BladePassOdds.likely(bladePass) ? odds.isOne(k, bladePass) : odds.isNone(k));
    } else {
      told.add(
          "It belongs to the fan's lines, but which order of the shaft it is depends on the number"
              + " of blades, which isn't known.");
    }
    String ofTheMotor = why == Cause.SHAFT ? motor.of(k) : null;
    if (ofTheMotor != null) {
      why = Cause.MOTOR;
      told.add(ofTheMotor);
    }
    return new FollowedOrder(view.claimed() ? (double) k : null, found.tone(), why, told);
  }
}
