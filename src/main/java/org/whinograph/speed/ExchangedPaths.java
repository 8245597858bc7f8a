package org.whinograph.speed;

import java.util.Arrays;

/**
 * Two paths put right where each leaps to where the other one was. So it is when one signal drives
 * two fans: both turn at once, and the search, which follows one comb after the other, may go on
 * from either to either. Two shafts don't exchange their speeds within a moment, though one may run
 * past another that rests.
 *
 * <p>All thresholds are a judgement.
 */
final class ExchangedPaths {
  /** Spacings further apart than this aren't the same multiple of like fans [ln 1]. */
  private static final double MOST_APART = 0.1;

  /** Longest moment in which two paths exchange their combs [frames]. */
  private static final int MOMENT = 4;

  /** Frames that tell a slope. */
  private static final int SLOPE_FRAMES = 4;

  /** Share of the paths' own motion to each other that is left without the exchange, at most. */
  private static final double FAR_LESS = 1.0 / 3.0;

  /** Share of it by which each path leaves its way at least; in an exchange it is a half. */
  private static final double LEAVES = 0.25;

  /** Motion to each other that a cell's width may feign [ln 1]. */
  private static final double LEAST_MOTION = 4.0 * CombSearch.CELL_WIDTH;

  private final double[] one;
  private final double[] other;

  private ExchangedPaths(CombPath path, CombPath left) {
    this.one = Arrays.stream(path.spacingHz()).map(Math::log).toArray();
    this.other = Arrays.stream(left.spacingHz()).map(Math::log).toArray();
  }

  /**
   * Undoes exchanges.
   *
   * @param path a path
   * @param left another one beside it
   * @return both, each on one comb there; null if nothing is exchanged
   */
  static CombPath[] undone(CombPath path, CombPath left) {
    boolean[] exchanged = new ExchangedPaths(path, left).exchanged();
    if (exchanged == null) {
      return null;
    }
    return new CombPath[] {merged(path, left, exchanged), merged(left, path, exchanged)};
  }

  /** The frames in which each path is on the other's comb, null without any. */
  private boolean[] exchanged() {
    boolean[] exchanged = new boolean[one.length];
    boolean any = false;
    int last = 0;
    for (int t = 1; t < one.length; t++) {
      exchanged[t] = exchanged[t - 1];
      for (int from = t - 1; from >= Math.max(last, t - MOMENT); from--) {
        if (isExchange(from, t)) {
          Arrays.fill(exchanged, (from + t + 1) / 2, t, !exchanged[from]);
          exchanged[t] = !exchanged[from];
          last = t;
          any = true;
          break;
        }
      }
    }
    return any ? exchanged : null;
  }

  private boolean isExchange(int from, int to) {
    double before = other[from] - one[from];
    double after = other[to] - one[to];
    double motion = Math.abs(after - before);
    boolean like = Math.max(Math.abs(before), Math.abs(after)) < MOST_APART;
    return like
        && before * after < 0.0
        && motion > LEAST_MOTION
        && Math.abs(after + before) < FAR_LESS * motion
        && leaves(one, from, to) > LEAVES * motion
        && leaves(other, from, to) > LEAVES * motion;
  }

  /** By how much a path's change is outside of what its slopes before and after may give [ln 1]. */
  private static double leaves(double[] log, int from, int to) {
    double before = slope(log, from - SLOPE_FRAMES, from) * (to - from);
    double after = slope(log, to, to + SLOPE_FRAMES) * (to - from);
    double low = Math.min(0.0, Math.min(before, after));
    double high = Math.max(0.0, Math.max(before, after));
    double change = log[to] - log[from];
    return Math.max(low - change, change - high);
  }

  /** Change a frame between two frames, 0 where it isn't known or a leap is between. */
  private static double slope(double[] log, int from, int to) {
    if (from < 0 || to >= log.length) {
      return 0.0;
    }
    double least = Double.POSITIVE_INFINITY;
    double most = Double.NEGATIVE_INFINITY;
    for (int t = from + 1; t <= to; t++) {
      // NaN stays.
      least = Math.min(least, log[t] - log[t - 1]);
      most = Math.max(most, log[t] - log[t - 1]);
    }
    boolean even = Math.abs(most) < CrossedPaths.LEAP && Math.abs(least) < CrossedPaths.LEAP;
    return even ? (log[to] - log[from]) / (to - from) : 0.0;
  }

  /** A path that is taken from another where both are exchanged. */
  private static CombPath merged(CombPath path, CombPath other, boolean[] exchanged) {
    int frames = exchanged.length;
    double[] hz = new double[frames];
    boolean[] joined = new boolean[frames];
    double[] confidence = new double[frames];
    for (int t = 0; t < frames; t++) {
      CombPath source = exchanged[t] ? other : path;
      hz[t] = source.spacingHz()[t];
      confidence[t] = source.confidence()[t];
      boolean turns = t > 0 && exchanged[t] != exchanged[t - 1];
      joined[t] = turns ? !Double.isNaN(hz[t - 1] + hz[t]) : source.joined()[t];
    }
    CombPath result =
        new CombPath(hz, joined, confidence, path.score(), path.harmonicEvidence(), path.changes());
    return result.withChanges(Math.min(result.jumps(), path.changes()));
  }
}
