package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.tone.ToneRatios;

/** Names shaft orders that poles and slots of the motor make. */
final class MotorJudge {
  private static final double MOTOR_MARGIN_DB = 6.0;

  private final ToneView view;
  private final Verdicts verdicts;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  MotorJudge(ToneView view, Verdicts verdicts) {
    this.view = view;
    this.verdicts = verdicts;
  }

  /** Judges the tones that are shaft orders so far. */
  void judge() {
    if (!view.claimed()
        || view.speed().blades() == null
        || view.spectrum() == null
        || view.motion().range() > 0.005) {
      return;
    }
    int blades = view.speed().blades();
    for (int i = 0; i < view.size(); i++) {
      if (verdicts.cause(i) != Cause.SHAFT || !view.tone(i).level().known()) {
        continue;
      }
      int k = view.multiple(i);
      List<String> pairs = MotorOrders.pairs(k);
      int beside = Math.min(k % blades, blades - k % blades);
      if (pairs.isEmpty() || beside <= 1) {
        continue;
      }
      double margin = Double.POSITIVE_INFINITY;
      for (int other = Math.max(1, k - 4); other <= k + 4; other++) {
        if (other != k && Math.min(other % blades, blades - other % blades) > 1) {
          margin = Math.min(margin, view.tone(i).level().value() - levelAt(other));
        }
      }
      if (margin >= MOTOR_MARGIN_DB && !Double.isInfinite(margin)) {
        verdicts.name(i, Cause.MOTOR);
        verdicts.say(
            i,
            Wording.format(
                "It stands at least %.0f dB above the shaft orders beside it, and %d is the least"
                    + " common multiple of %s: the motor's poles pass its slots.",
                Math.floor(margin), k, String.join(" or ", pairs)));
      }
    }
  }

  /** Level of whatever lies at an order, noise and all [dB]. */
  private double levelAt(int k) {
    double f = k * view.referenceHz();
    double half = 2.0 * view.spectrum().lineSpacingHz() + 0.5 * view.motion().range() * f;
    return view.spectrum()
        .unit()
        .levelOf(ToneRatios.bandMeanSquare(view.spectrum(), f - half, f + half));
  }
}
