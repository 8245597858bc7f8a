package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;
import java.util.NavigableMap;
import java.util.TreeMap;

/**
 * The lines of a second rotor whose speed rests: whole multiples of one frequency, in the pattern
 * that blades make. Low multiples come of an uneven rotor, the others are multiples of the number
 * of blades and the sidebands beside them. A distorted oscillator has multiples too, but not that
 * pattern; so without it nothing is found. Immutable.
 */
final class SecondComb {
  private static final double LOWEST_HZ = 10.0;
  private static final double HIGHEST_HZ = 350.0;
  private static final int FEWEST_LINES = 4;

  /** A line of a speed that rests sounds in so many of the frames at least [1]. */
  private static final double LEAST_SHARE = 0.7;

  private static final int LEAST_BLADES = 5;
  private static final int MOST_BLADES = 60;

  /** Multiples up to here are an uneven rotor's, as its imbalance. */
  private static final int LOW = 3;

  /** How closely the lines of a rotor agree on its speed, beside what is uncertain of them [1]. */
  private static final double AGREE = 1e-4;

  /** A line whose multiple could be another by chance in more than this part says nothing. */
  private static final double MOST_CHANCE = 0.1;

  /** Combs this near to the supply's frequency or its double are hum [1]. */
  private static final double NEAR_SUPPLY = 0.003;

  private final NavigableMap<Integer, Integer> lines;
  private final double spacingHz;
  private final double deviationHz;
  private final int blades;

  private SecondComb(
      NavigableMap<Integer, Integer> lines, double spacingHz, double deviationHz, int blades) {
    this.lines = lines;
    this.spacingHz = spacingHz;
    this.deviationHz = deviationHz;
    this.blades = blades;
  }

  /**
   * Looks for it among the tones that nobody has named.
   *
   * @param view the tones, with a speed
   * @param verdicts what was said of them so far
   * @return the comb with the most lines, or null if there is none
   */
  static SecondComb of(ToneView view, Verdicts verdicts) {
    List<Integer> free = new ArrayList<>();
    for (int i = 0; i < view.size(); i++) {
      if (verdicts.open(i) && !view.mains().has(i) && view.line(i).presentShare() > LEAST_SHARE) {
        free.add(i);
      }
    }
    SecondComb best = null;
    for (int i : free) {
      double f = view.tone(i).frequencyHz();
      for (int m = (int) Math.ceil(f / HIGHEST_HZ); f / m >= LOWEST_HZ; m++) {
        SecondComb comb = with(view, free, i, m);
        boolean better =
            comb != null
                && (best == null
                    || comb.lines.size() > best.lines.size()
                    || (comb.lines.size() == best.lines.size()
                        && comb.spacingHz > best.spacingHz * 1.01));
        best = better ? comb : best;
      }
    }
    return best;
  }

  /** The comb of which a tone is a given multiple, or null. */
  private static SecondComb with(ToneView view, List<Integer> free, int i, int m) {
    double f = view.tone(i).frequencyHz();
    double spacing = f / m;
    double known = view.tone(i).frequencyUncertaintyHz() / f + AGREE;
    for (double supply : new double[] {50.0, 60.0, 100.0, 120.0}) {
      if (Math.abs(spacing / supply - 1.0) < NEAR_SUPPLY) {
        return null;
      }
    }
    NavigableMap<Integer, Integer> lines = new TreeMap<>();
    double deviation = 0.0;
    for (int j : free) {
      double g = view.tone(j).frequencyHz() / spacing;
      int k = (int) Math.rint(g);
      double own = view.tone(j).frequencyUncertaintyHz() / view.tone(j).frequencyHz();
      double allowed = 3.0 * g * Math.hypot(own, known);
      if (k >= 1 && 2.0 * allowed < MOST_CHANCE && Math.abs(g - k) <= allowed) {
        lines.put(k, j);
        deviation = Math.max(deviation, spacing * Math.hypot(own, AGREE));
      }
    }
    int blades = lines.size() < FEWEST_LINES ? 0 : blades(lines);
    return blades == 0 ? null : new SecondComb(lines, spacing, deviation, blades);
  }

  /** The number of blades whose pattern the multiples have, or 0. */
  private static int blades(NavigableMap<Integer, Integer> lines) {
    for (int blades = LEAST_BLADES; blades <= MOST_BLADES; blades++) {
      int passes = 0;
      boolean low = false;
      boolean fits = lines.containsKey(blades);
      for (int k : lines.keySet()) {
        int beside = Math.min(k % blades, blades - k % blades);
        passes += beside == 0 ? 1 : 0;
        low |= k <= LOW;
        fits &= k <= LOW || beside <= 1;
      }
      // Without a low multiple or a sideband, the spacing could as well be finer.
      if (fits && passes >= 2 && (low || passes < lines.size())) {
        return blades;
      }
    }
    return 0;
  }

  /** Whether a tone is one of its lines. */
  boolean has(int tone) {
    return lines.containsValue(tone);
  }

  /** The fan, too far from the first in speed to beat with it. */
  TwoFans fan() {
    return new TwoFans(60.0 * spacingHz, 60.0 * deviationHz, null, null, List.of());
  }

  /** What speaks for it, in words. */
  String told(ToneView view, int tone) {
    int k =
        lines.entrySet().stream()
            .filter(entry -> entry.getValue() == tone)
            .findFirst()
            .orElseThrow()
            .getKey();
    List<String> others =
        lines.entrySet().stream()
            .filter(entry -> entry.getValue() != tone)
            .map(
                entry ->
                    Wording.format(
                        "%.1f Hz (%d)", view.tone(entry.getValue()).frequencyHz(), entry.getKey()))
            .limit(5)
            .toList();
    return Wording.format(
        "It is %d times %.3f Hz, as the lines at %s are whole multiples of it, in the pattern of"
            + " %d blades at %.1f 1/min: no order of the first fan.",
        k, spacingHz, String.join(", ", others), blades, 60.0 * spacingHz);
  }
}
