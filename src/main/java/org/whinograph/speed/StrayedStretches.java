package org.whinograph.speed;

import java.util.Arrays;

/**
 * Stretches in which a path has left its comb for the lines of another that goes on meanwhile: it
 * leaps there and back, and as long as it is there the other's spacing goes into its own, or its
 * own into the other's, without a rest. A comb that moves passes such places but doesn't leap to
 * them.
 *
 * <p>All thresholds are a judgement.
 */
final class StrayedStretches {
  private static final int SHORTEST = 6;

  /** Greatest multiple that a path may be of another comb or the other of it. */
  private static final int MOST_MULTIPLE = 16;

  /** How closely both keep it [1]. */
  private static final double CLOSE = 0.002;

  /** Least change of the spacing over the edge of such a stretch [1]. */
  private static final double LEAST_LEAP = 0.02;

  /** Frames before an edge, or after it, in which the spacing is sought. */
  private static final int EDGE = 4;

  private StrayedStretches() {}

  /**
   * Finds them.
   *
   * @param hz spacing of a path in each frame [Hz], NaN where unknown
   * @param other the same of another comb
   * @return first frame and end of each stretch, with a frame to either side; none if the path is
   *     on the other comb in most frames, since then it is the same machine
   */
  static int[][] of(double[] hz, double[] other) {
    boolean[] whole = new boolean[hz.length];
    int both = 0;
    int onIt = 0;
    for (int t = 0; t < hz.length; t++) {
      if (!Double.isNaN(hz[t] + other[t])) {
        both++;
        whole[t] = goesInto(Math.max(hz[t], other[t]) / Math.min(hz[t], other[t]));
        onIt += whole[t] ? 1 : 0;
      }
    }
    int[][] found = new int[hz.length / SHORTEST + 1][];
    int count = 0;
    int from = 0;
    while (from < hz.length && 2 * onIt < both) {
      int to = from;
      while (to < hz.length && (whole[to] || (to > from && to + 1 < hz.length && whole[to + 1]))) {
        to++;
      }
      if (to - from >= SHORTEST && leapsThereAndBack(hz, from, to)) {
        found[count++] = new int[] {Math.max(0, from - 1), Math.min(hz.length, to + 1)};
      }
      from = Math.max(from + 1, to);
    }
    return Arrays.copyOf(found, count);
  }

  private static boolean goesInto(double ratio) {
    double multiple = Math.rint(ratio);
    return multiple <= MOST_MULTIPLE && Math.abs(ratio / multiple - 1.0) < CLOSE;
  }

  private static boolean leapsThereAndBack(double[] hz, int from, int to) {
    int before = -1;
    for (int t = Math.max(0, from - EDGE); t < from; t++) {
      before = !Double.isNaN(hz[t]) && (before < 0 || t < from - 1) ? t : before;
    }
    int after = -1;
    for (int t = Math.min(hz.length, to + EDGE) - 1; t >= to; t--) {
      after = !Double.isNaN(hz[t]) && (after < 0 || t > to) ? t : after;
    }
    boolean leapsIn = before >= 0 && leaps(hz[before], hz[from + 1]);
    boolean leapsOut = after >= 0 && leaps(hz[to - 2], hz[after]);
    return (leapsIn || before < 0) && (leapsOut || after < 0) && (leapsIn || leapsOut);
  }

  private static boolean leaps(double oneHz, double otherHz) {
    return Math.abs(Math.log(otherHz / oneHz)) > LEAST_LEAP;
  }
}
