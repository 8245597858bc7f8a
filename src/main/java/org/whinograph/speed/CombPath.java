package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.Quantile;

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
  /** Least change from one frame to the next that is a leap (judgement) [1]. */
  private static final double LEAST_LEAP = 0.05;

  /** A line that stands still is found to move by less, if it is faint [1]. */
  private static final double DOUBTFUL_MOVEMENT = 0.02;

  /** Share of it that the changes beside a leap stay below [1]. */
  private static final double LEAP_SHARE = 0.25;

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

  /**
   * The same path without its short runs. A short piece that a run leaps to or from goes as well:
   * before a fan is heard, and after, a path may rest on noise. What is as long as a run stays,
   * since a speed may be switched.
   *
   * @param shortest fewest frames in a run
   */
  CombPath withoutShortRuns(int shortest) {
    double[] spacing = spacingHz.clone();
    int from = 0;
    while (from < spacing.length) {
      int to = runEnd(from);
      int first = to - from < shortest ? to : from;
      int last = to;
      for (int t = from + 2; t + 1 < to && to - from >= shortest; t++) {
        boolean leaps = leaps(t);
        first = leaps && t - from <= shortest ? t : first;
        last = leaps && to - t <= shortest && last == to ? t : last;
      }
      Arrays.fill(spacing, from, first, Double.NaN);
      Arrays.fill(spacing, last, to, Double.NaN);
      from = to;
    }
    return new CombPath(spacing, joined, confidence, score, harmonicEvidence, changes);
  }

  /** Whether the spacing changes at once while it rests before and after, as no rotor does. */
  private boolean leaps(int t) {
    double before = Math.abs(Math.log(spacingHz[t - 1] / spacingHz[t - 2]));
    double step = Math.abs(Math.log(spacingHz[t] / spacingHz[t - 1]));
    double after = Math.abs(Math.log(spacingHz[t + 1] / spacingHz[t]));
    return step > LEAST_LEAP && Math.max(before, after) < LEAP_SHARE * step;
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

  /** The same path with so much evidence of its harmonics [nat]. */
  CombPath of(double[] evidence) {
    return new CombPath(spacingHz, joined, confidence, score, evidence, changes);
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
    double[] known = known();
    int n = known.length;
    return n == 0
        ? 0.0
        : Quantile.ranked(known, n, (int) (0.95 * (n - 1)))
                / Quantile.ranked(known, n, (int) (0.05 * (n - 1)))
            - 1.0;
  }

  /** Median of the spacing [Hz], NaN if there is none. */
  double medianHz() {
    double[] known = known();
    return known.length == 0 ? Double.NaN : Quantile.median(known, known.length);
  }

  private double[] known() {
    double[] known = new double[framesOn()];
    int n = 0;
    for (double value : spacingHz) {
      if (!Double.isNaN(value)) {
        known[n++] = value;
      }
    }
    return known;
  }

  /** Whether another is the same path, whatever is known of its changes. */
  boolean isOf(CombPath other) {
    return spacingHz == other.spacingHz;
  }

  /** The same path where it is known more sharply [Hz, one a frame]. */
  CombPath along(double[] hz) {
    return new CombPath(hz, joined, confidence, score, harmonicEvidence, changes);
  }

  /** Number of its multiples that are heard all along. */
  int lines() {
    int lines = 0;
    for (double nats : harmonicEvidence) {
      if (nats > 1.5) {
        lines++;
      }
    }
    return lines;
  }

  /** Whether it is one line that moves by no more than noise may drive the search about. */
  boolean isDoubtful() {
    return lines() < 2 && movement() < DOUBTFUL_MOVEMENT;
  }

  /** Whether there is more to it than one line that stands still. */
  boolean isComb() {
    return lines() >= 2 || (movement() > 0.01 && jumps() == 0);
  }
}
