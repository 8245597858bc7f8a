package org.whinograph.floor;

import java.util.Arrays;

/**
 * Whether a noise is steady enough that its energy may be subtracted from another recording.
 *
 * <p>The level that 10 % of all seconds exceed and the level that 90 % exceed must not lie more
 * than 3 dB apart beyond chance (judgement, no source: a change of the background by 3 dB turns the
 * correction at a difference of 6 dB into one at 3 dB or 9 dB, 1.3 dB into 3.0 dB or 0.6 dB). By
 * chance, noise of bandwidth B over T = 1 s spreads with a standard deviation of 4.34/√(BT) dB, and
 * the two levels of a normal distribution are 2.56 of them apart; the two parts add by squares.
 */
final class Steadiness {
  /** Most difference beyond chance [dB]. */
  static final double MOST_DB = 3.0;

  /** Fewest seconds that can show it. */
  static final int LEAST_SECONDS = 5;

  private Steadiness() {}

  /**
   * Judges levels of one second.
   *
   * @param levels1s levels [dB, one for each second]; NaN is left out
   * @param bandwidthHz bandwidth of the noise [Hz], for chance
   * @return true if steady, or if there are fewer than 5 seconds to tell
   */
  static boolean steady(double[] levels1s, double bandwidthHz) {
    double[] sorted = Arrays.stream(levels1s).filter(Double::isFinite).sorted().toArray();
    if (sorted.length < LEAST_SECONDS) {
      return true;
    }
    double spread = quantile(sorted, 0.9) - quantile(sorted, 0.1);
    double chance = 2.56 * 4.34 / Math.sqrt(bandwidthHz);
    return spread * spread - chance * chance <= MOST_DB * MOST_DB;
  }

  private static double quantile(double[] sorted, double part) {
    double at = part * (sorted.length - 1);
    int below = (int) at;
    int above = Math.min(sorted.length - 1, below + 1);
    return sorted[below] + (at - below) * (sorted[above] - sorted[below]);
  }
}
