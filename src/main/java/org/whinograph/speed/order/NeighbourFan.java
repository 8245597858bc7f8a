package org.whinograph.speed.order;

import java.util.List;

/**
 * A second fan of nearly the same speed: beside several orders of the first lie lines by the same
 * factor away. Immutable.
 */
final class NeighbourFan {
  /** How far a second fan may differ for its orders to be told from a shift in common [1]. */
  private static final double NEAR_FAN = 0.03;

  /** How closely the shifts of two orders must agree [1]. */
  private static final double MOST_SHIFT_DOUBT = 3e-4;

  private final ToneView view;
  private final FollowedNeighbour followed;
  private final double shift;

  /**
   * Looks for it.
   *
   * @param view the tones
   * @param bins the spectra that follow the speed
   */
  NeighbourFan(ToneView view, List<SpeedBin> bins) {
    this.view = view;
    boolean known = view.claimed() && view.motion() != null;
    this.followed = known ? new FollowedNeighbour(bins) : null;
    double plain = known ? findShift() : Double.NaN;
    this.shift = known && Double.isNaN(plain) ? followed.shift() : plain;
  }

  /** The factor in which two lines agree best. */
  private double findShift() {
    double found = Double.NaN;
    double bestAllowed = MOST_SHIFT_DOUBT;
    for (int i = 0; i < view.size(); i++) {
      int a = partner(i);
      for (int j = i + 1; a >= 0 && j < view.size(); j++) {
        int b = partner(j);
        if (b < 0 || view.multiple(a) == view.multiple(b)) {
          continue;
        }
        double allowed = 3.0 * Math.hypot(shiftDeviation(i, a), shiftDeviation(j, b)) + 2e-5;
        if (Math.abs(shift(i, a) - shift(j, b)) <= allowed
            && allowed < bestAllowed
            && allowed < 0.3 * Math.abs(shift(i, a))) {
          bestAllowed = allowed;
          found = 0.5 * (shift(i, a) + shift(j, b));
        }
      }
    }
    return found;
  }

  /** Whether there is one. */
  boolean found() {
    return !Double.isNaN(shift);
  }

  /** Its speed over that of the first, less 1; NaN without one. */
  double shift() {
    return shift;
  }

  /** Standard deviation of that where the speed is followed [1]; 0 if that didn't tell. */
  double followedDeviation() {
    return followed == null ? 0.0 : followed.deviation();
  }

  /**
   * Level of its line over that of the order beside it where the speed is followed [dB]; null where
   * they aren't told apart.
   */
  Double followedLevelDb(int order) {
    return followed == null ? null : followed.levelDb(order);
  }

  /** The tone that is the order beside which a tone lies without being it, or −1. */
  int partner(int i) {
    int k = view.multiple(i);
    if (k < 1
        || view.whole(i)
        || Math.abs(view.ratio(i) / k - 1.0) > NEAR_FAN
        || view.line(i).slopeFollows()
        || view.mains().has(i)) {
      return -1;
    }
    int best = -1;
    for (int p = 0; p < view.size(); p++) {
      if (view.whole(p)
          && view.multiple(p) == k
          && (best < 0 || Math.abs(view.ratio(p) - k) < Math.abs(view.ratio(best) - k))) {
        best = p;
      }
    }
    return best;
  }

  /** How far a tone lies from its partner, in parts of it [1]. */
  double shift(int i, int partner) {
    return view.tone(i).frequencyHz() / view.tone(partner).frequencyHz() - 1.0;
  }

  /** Standard deviation of that distance [1]. */
  double shiftDeviation(int i, int partner) {
    return Math.hypot(
            view.tone(i).frequencyUncertaintyHz(), view.tone(partner).frequencyUncertaintyHz())
        / view.tone(i).frequencyHz();
  }

  /** Whether a tone is an order of it. */
  boolean has(int i) {
    int p = Double.isNaN(shift) ? -1 : partner(i);
    return p >= 0 && Math.abs(shift(i, p) - shift) <= 3.0 * shiftDeviation(i, p) + MOST_SHIFT_DOUBT;
  }
}
