package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.tone.ToneRatios;

/**
 * Whether an order is one that poles and slots of a motor make: by its number, and by how far it
 * stands above the shaft orders beside it. What makes plain shaft orders, an uneven rotor, makes
 * its neighbours too.
 *
 * <p>The levels are those of the spectra that follow the speed, so that motion doesn't matter. A
 * resonance that lifts an order at some speeds doesn't lift it at all: the margin must hold in the
 * slower half of the time and in the faster one. Without a second pass the plain spectrum must do,
 * while the speed rests. Immutable.
 */
final class MotorEvidence {
  private static final double MARGIN_DB = 6.0;

  /** Orders on either side that are compared. */
  private static final int BESIDE = 4;

  /** The cogging of a motor has overtones; higher ones are seldom strong (judgement). */
  private static final int MOST_OVERTONE = 3;

  private final ToneView view;
  private final List<List<SpeedLevels>> halves;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param levels levels of the orders by speed, in order of speed; empty without a second pass
   */
  MotorEvidence(ToneView view, List<SpeedLevels> levels) {
    this.view = view;
    int frames = levels.stream().mapToInt(SpeedLevels::frames).sum();
    int until = 0;
    int before = 0;
    while (2 * before < frames) {
      before += levels.get(until++).frames();
    }
    List<SpeedLevels> slow = levels.subList(0, until);
    List<SpeedLevels> fast = levels.subList(until, levels.size());
    this.halves = fast.isEmpty() ? List.of(slow) : List.of(slow, fast);
  }

  /**
   * What speaks for the motor.
   *
   * @param k order of the shaft that is no blade-pass line
   * @return a sentence, or null if the order isn't known to be the motor's
   */
  String of(int k) {
    if (!view.claimed() || view.speed().blades() == null || view.spectrum() == null) {
      return null;
    }
    int whole = 0;
    for (int times = 1; times <= MOST_OVERTONE && whole == 0; times++) {
      boolean own = k % times == 0 && !MotorOrders.pairs(k / times).isEmpty();
      whole = own && (times == 1 || margin(k / times) >= MARGIN_DB) ? k / times : 0;
    }
    double margin = whole == 0 ? Double.NEGATIVE_INFINITY : margin(k);
    if (!(margin >= MARGIN_DB) || Double.isInfinite(margin)) {
      return null;
    }
    String pairs = String.join(" or ", MotorOrders.pairs(whole));
    return whole == k
        ? Wording.format(
            "It stands at least %.0f dB above the shaft orders beside it, and %d is the least"
                + " common multiple of %s: the motor's poles pass its slots.",
            Math.floor(margin), k, pairs)
        : Wording.format(
            "It stands at least %.0f dB above the shaft orders beside it, and is %s order %d, which"
                + " does so too and is the least common multiple of %s: the motor's poles pass its"
                + " slots.",
            Math.floor(margin), k == 2 * whole ? "twice" : "three times", whole, pairs);
  }

  /** How far an order stands above those beside it [dB]; −∞ where blades explain it. */
  private double margin(int k) {
    if (nearBlades(k)) {
      return Double.NEGATIVE_INFINITY;
    }
    double margin = Double.POSITIVE_INFINITY;
    for (int half = 0; half < halves.size(); half++) {
      double own = levelDb(k, half);
      for (int other = Math.max(1, k - BESIDE); other <= k + BESIDE; other++) {
        if (other != k && !nearBlades(other)) {
          margin = Math.min(margin, own - levelDb(other, half));
        }
      }
    }
    return margin;
  }

  /** Blade-pass lines and the sidebands at the shaft's speed that uneven blades give them. */
  private boolean nearBlades(int k) {
    int blades = view.speed().blades();
    return Math.min(k % blades, blades - k % blades) <= 1;
  }

  /** Level of whatever lies at an order, noise and all [dB]; NaN if it isn't known. */
  private double levelDb(int k, int half) {
    List<SpeedLevels> levels = halves.get(half);
    if (levels.isEmpty()) {
      return plainLevelDb(k);
    }
    double sum = 0.0;
    int frames = 0;
    for (SpeedLevels each : levels) {
      if (k <= SpeedLevels.MOST_ORDERS && each.tone()[k] > 0.0) {
        sum += each.frames() * each.tone()[k];
        frames += each.frames();
      }
    }
    return frames == 0 ? Double.NaN : view.spectrum().unit().levelOf(sum / frames);
  }

  private double plainLevelDb(int k) {
    if (view.motion().range() > 0.005) {
      return Double.NaN;
    }
    double f = k * view.referenceHz();
    double half = 2.0 * view.spectrum().lineSpacingHz() + 0.5 * view.motion().range() * f;
    return view.spectrum()
        .unit()
        .levelOf(ToneRatios.bandMeanSquare(view.spectrum(), f - half, f + half));
  }
}
