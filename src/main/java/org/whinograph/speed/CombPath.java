package org.whinograph.speed;

import java.util.Arrays;

/**
 * One comb followed through a segment, as the search leaves it: coarse, frame by frame.
 *
 * @param spacingHz spacing of the comb, NaN where there is none [Hz, one a frame]
 * @param joined whether a frame continues the one before without a jump
 * @param confidence posterior probability of the neighbourhood of the path [1, one a frame]
 * @param score evidence for the path over all its frames against noise alone [nat]
 * @param harmonicEvidence mean evidence of harmonics 1 … over the path's frames [nat, index 0 is
 *     the fundamental]
 */
record CombPath(
    double[] spacingHz,
    boolean[] joined,
    double[] confidence,
    double score,
    double[] harmonicEvidence,
    int changes) {

  /**
   * End of the run of joined frames that begins at a frame; an unknown frame is a run of its own.
   */
  int runEnd(int from) {
    int to = from + 1;
    if (Double.isNaN(spacingHz[from])) {
      return to;
    }
    while (to < spacingHz.length && joined[to] && !Double.isNaN(spacingHz[to])) {
      to++;
    }
    return to;
  }

  /** Number of frames on the comb. */
  int framesOn() {
    int count = 0;
    for (double value : spacingHz) {
      if (!Double.isNaN(value)) {
        count++;
      }
    }
    return count;
  }

  /** The same path, known to change so many times. */
  CombPath withChanges(int count) {
    return new CombPath(spacingHz, joined, confidence, score, harmonicEvidence, count);
  }

  /** Number of jumps from one frame to the next without silence between. */
  int jumps() {
    int count = 0;
    for (int i = 1; i < spacingHz.length; i++) {
      if (!Double.isNaN(spacingHz[i]) && !Double.isNaN(spacingHz[i - 1]) && !joined[i]) {
        count++;
      }
    }
    return count;
  }

  /** Ratio of the 95th to the 5th percentile of the spacing, less 1: how far it moves [1]. */
  double movement() {
    double[] known = sorted();
    int n = known.length;
    return n == 0 ? 0.0 : known[(int) (0.95 * (n - 1))] / known[(int) (0.05 * (n - 1))] - 1.0;
  }

  /** Median of the spacing [Hz], NaN if there is none. */
  double medianHz() {
    double[] known = sorted();
    return known.length == 0 ? Double.NaN : known[known.length / 2];
  }

  private double[] sorted() {
    double[] known = new double[framesOn()];
    int n = 0;
    for (double value : spacingHz) {
      if (!Double.isNaN(value)) {
        known[n++] = value;
      }
    }
    Arrays.sort(known);
    return known;
  }

  /** Whether there is more to it than one line that stands still. */
  boolean isComb() {
    int lines = 0;
    for (double nats : harmonicEvidence) {
      if (nats > 1.5) {
        lines++;
      }
    }
    return lines >= 2 || (movement() > 0.01 && jumps() == 0);
  }
}
