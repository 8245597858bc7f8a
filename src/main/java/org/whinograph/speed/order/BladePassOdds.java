package org.whinograph.speed.order;

import org.whinograph.speed.SpeedCandidate;
import org.whinograph.speed.SpeedResult;

/** How probable it is that an order is a blade-pass line, and that in words. Immutable. */
final class BladePassOdds {
  private static final double LIKELY = 0.9;

  private final ToneView view;

  /**
   * Prepares.
   *
   * @param view the tones
   */
  BladePassOdds(ToneView view) {
    this.view = view;
  }

  /** Probability that an order (of the shaft, or of the comb) is a multiple of the blades. */
  double probability(int k) {
    if (view.claimed() && view.speed().blades() != null) {
      return k % view.speed().blades() == 0 ? 1.0 : 0.0;
    }
    double all = 0.0;
    double fits = 0.0;
    for (SpeedCandidate candidate : view.speed().candidates()) {
      double combs = 60.0 * view.referenceHz() / candidate.rpm();
      int orders = (int) Math.rint(combs);
      if (orders < 1 || Math.abs(combs - orders) > 0.02 || (view.claimed() && orders != 1)) {
        continue;
      }
      all += candidate.probability();
      if ((long) k * orders % candidate.blades() == 0) {
        fits += candidate.probability();
      }
    }
    return all > 0.0 ? fits / all : 0.0;
  }

  /** Whether a probability is enough to name blade-pass as the cause. */
  static boolean likely(double probability) {
    return probability > LIKELY;
  }

  /** Whether a probability is small enough to rule blade-pass out. */
  static boolean ruledOut(double probability) {
    return probability <= 1.0 - LIKELY;
  }

  /**
   * Whether the comb is likely that of the blades: it is likely a fan at all, and its loudest tone
   * is one of the first two. Where a high multiple is the loudest, the comb may be the shaft's.
   */
  boolean combLooksLikeBlades() {
    double heard = 0.0;
    for (SpeedCandidate candidate : view.speed().candidates()) {
      heard += candidate.probability();
    }
    int loudest = -1;
    for (int j : view.loudestFirst()) {
      if (view.whole(j)) {
        loudest = j;
        break;
      }
    }
    return heard > SpeedResult.CLAIM_SPEED && loudest >= 0 && view.multiple(loudest) <= 2.0;
  }

  /** Why an order is a blade-pass line. */
  String isOne(int k, double probability) {
    if (view.speed().blades() == null) {
      return Wording.format(
          "Every likely number of blades divides %d (probability %.2f).", k, probability);
    }
    int times = k / view.speed().blades();
    return times == 1
        ? Wording.format("%d is the number of blades.", k)
        : Wording.format(
            "%d is %d times the number of blades, %d.", k, times, view.speed().blades());
  }

  /** Why an order is none or may be one. */
  String isNone(int k) {
    return view.speed().blades() == null
        ? Wording.format(
            "The number of blades isn't known, so %d may be a multiple of it or not (probability"
                + " %.2f).",
            k, probability(k))
        : Wording.format("%d isn't a multiple of the %d blades.", k, view.speed().blades());
  }
}
