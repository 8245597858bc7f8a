package org.whinograph.speed;

import java.util.Arrays;
import java.util.stream.IntStream;

/**
 * Places where two paths meet and part again, or where one is held to go over to the other's comb:
 * whether each stays on its own comb there. Their speeds say nothing if both turn at once, as where
 * one fan comes to rest at the speed that another leaves. But each comb has its own lines, before
 * and after.
 *
 * <p>All thresholds are a judgement. Immutable.
 */
final class MetPaths {
  /** Spacings nearer than this are one place [ln 1]. */
  private static final double NEAR = 0.03;

  /** Spacings further apart are rather of different multiples of their shafts [ln 1]. */
  private static final double MOST_APART = 0.7;

  /** Frames to either side whose lines are compared, at most and at least. */
  private static final int MOST_FRAMES = 80;

  private static final int FEWEST_FRAMES = 12;

  private final CombPath path;
  private final CombPath left;
  private final CombLines lines;

  /**
   * Prepares.
   *
   * @param path a path
   * @param left another one beside it
   * @param lines the lines of their segment
   */
  MetPaths(CombPath path, CombPath left, CombLines lines) {
    this.path = path;
    this.left = left;
    this.lines = lines;
  }

  /**
   * Strikes out those crossings at which the lines stay the paths', and adds where they are
   * exchanged.
   *
   * @param crossings the frames from which on the path is on another comb than before; changed
   * @return the frames of which the lines tell
   */
  boolean[] judge(boolean[] crossings) {
    boolean[] places = crossings.clone();
    int from = -1;
    for (int t = 1; t < places.length; t++) {
      if (isNear(t)) {
        from = from < 0 && isApart(t - 1) ? t : from;
      } else {
        if (from > 0 && isApart(t)) {
          int middle = (from + t) / 2;
          places[middle] |= !isAnywhere(crossings, from - FEWEST_FRAMES, t + FEWEST_FRAMES);
        }
        from = -1;
      }
    }
    boolean[] told = new boolean[places.length];
    int[] all = IntStream.range(0, places.length).filter(t -> places[t]).toArray();
    for (int i = 0; i < all.length; i++) {
      int first = Math.max(i == 0 ? 0 : all[i - 1], all[i] - MOST_FRAMES);
      int end = Math.min(i + 1 == all.length ? places.length : all[i + 1], all[i] + MOST_FRAMES);
      int pairing = pairing(first, all[i], end);
      told[all[i]] = pairing != 0;
      crossings[all[i]] = pairing < 0 || (pairing == 0 && crossings[all[i]]);
    }
    return told;
  }

  /** How the combs before a place pair with those after it. */
  private int pairing(int first, int at, int end) {
    double[][] before = {levels(true, first, at), levels(false, first, at)};
    double[][] after = {levels(true, at, end), levels(false, at, end)};
    // One of both may be silent, or at the other's speed, to one side of the place.
    return CombLines.pairing(before, after);
  }

  /**
   * Mean evidence of each multiple of the path, or of what is left where that is another machine's
   * [nat]; null if it is known too shortly.
   */
  private double[] levels(boolean ofPath, int from, int to) {
    double[] hz = new double[path.spacingHz().length];
    Arrays.fill(hz, Double.NaN);
    for (int t = from; t < to; t++) {
      double beside = left.spacingHz()[t] / path.spacingHz()[t];
      boolean counts = !isNear(t) && (ofPath || isComparable(beside));
      double own = ofPath ? path.spacingHz()[t] : left.spacingHz()[t];
      hz[t] = counts ? own : Double.NaN;
    }
    return lines.meansAtRest(hz, from, to);
  }

  /** Whether what is left, at a ratio to the path, is another machine's on the same multiple. */
  private static boolean isComparable(double ratio) {
    return Math.abs(Math.log(ratio)) < MOST_APART && CrossedPaths.areApart(ratio);
  }

  private boolean isNear(int t) {
    return Math.abs(Math.log(path.spacingHz()[t] / left.spacingHz()[t])) < NEAR;
  }

  private boolean isApart(int t) {
    return Math.abs(Math.log(path.spacingHz()[t] / left.spacingHz()[t])) >= NEAR;
  }

  private static boolean isAnywhere(boolean[] frames, int from, int to) {
    return IntStream.range(Math.max(0, from), Math.min(frames.length, to)).anyMatch(t -> frames[t]);
  }
}
