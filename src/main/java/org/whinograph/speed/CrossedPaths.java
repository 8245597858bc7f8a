package org.whinograph.speed;

import java.util.Arrays;
import java.util.stream.IntStream;

/**
 * Places where a path goes over from one machine's comb to another's. It leaps or turns there while
 * two combs are heard at once: the one that it takes up was there before, while the path was
 * elsewhere, or the one that it left goes on. One shaft has one speed: so the parts to either side
 * of such a place are two machines'.
 *
 * <p>All thresholds are a judgement. Immutable.
 */
final class CrossedPaths {
  /** Longest silence across which a path goes over to another comb [frames]. */
  private static final int MOST_GAP = 6;

  /** Change over a frame from which on a path leaps [ln 1]. */
  static final double LEAP = 0.03;

  /** Change from which on it can't have followed two combs that part [ln 1]. */
  static final double GREAT_LEAP = 0.1;

  /** Change of the slope from which on it may have met another comb [ln 1 a frame]. */
  private static final double KINK = 0.006;

  /** Frames that tell a slope. */
  private static final int SLOPE_FRAMES = 4;

  /** Frames from a place on in which the other comb is sought, but for the nearest. */
  private static final int LOOK_FRAMES = 20;

  private static final int NEAREST = 2;

  /** Frames in which it must lie apart from the path, and share of those in which it is heard. */
  private static final int FEWEST_APART = 8;

  private static final double HEARD = 0.55;

  /** Share of its usual evidence with which a comb is heard in a frame. */
  private static final double LEAST_SHARE = 0.5;

  /** Mean evidence of a line that a comb has [nat]. */
  private static final double LINE_NATS = 1.5;

  /** Mean evidence of all its lines from which on noise hardly ever makes half as much [nat]. */
  private static final double CLEAR_NATS = 10.0;

  /** Lines of a comb that tell it from a tone. */
  private static final int FEWEST_LINES = 2;

  /** How far a comb may move off its slope in a frame [cells], and what of it changes the slope. */
  private static final int OFF_CELLS = 2;

  private static final double BENDS = 0.3;

  /** Parts of the lower of two spacings that may be one shaft's, and multiples. */
  private static final int MOST_PARTS = 4;

  private static final int MOST_MULTIPLE = 24;

  /** How closely their ratio is then a whole one, over the root of its terms [1]. */
  private static final double CLOSE = 0.004;

  private final CombLines lines;

  /**
   * Prepares.
   *
   * @param lines the lines of a segment's combs
   */
  CrossedPaths(CombLines lines) {
    this.lines = lines;
  }

  /**
   * The frames from which on a path is on another comb than before.
   *
   * @param path the path
   * @return one entry a frame
   */
  boolean[] crossings(CombPath path) {
    double[] log = Arrays.stream(path.spacingHz()).map(Math::log).toArray();
    boolean[] crossings = new boolean[log.length];
    int before = -1;
    int last = -SLOPE_FRAMES;
    for (int t = 0; t < log.length; t++) {
      if (!Double.isNaN(log[t])) {
        // A leap may take some frames.
        boolean near = before >= 0 && t - before <= MOST_GAP + 1 && t - last > SLOPE_FRAMES;
        crossings[t] = near && crosses(path, log, before, t);
        last = crossings[t] ? t : last;
        before = t;
      }
    }
    return crossings;
  }

  /**
   * Those crossings at which the path leaves one comb for another without a great leap, though none
   * was heard beside it before: two combs that were one part there, and either may be the one
   * before.
   *
   * @param path the path
   * @param crossings the crossings
   * @return one entry a frame
   */
  boolean[] partings(CombPath path, boolean[] crossings) {
    double[] log = Arrays.stream(path.spacingHz()).map(Math::log).toArray();
    boolean[] partings = new boolean[log.length];
    for (int i = 1; i < log.length; i++) {
      int t = i;
      boolean known = crossings[t] && !leapsFar(path, log, t) && !goesOn(path, log, t, -1);
      // They are one for a while before; else the path was on the other one just now.
      partings[t] =
          known && IntStream.range(Math.max(0, t - LOOK_FRAMES), t).noneMatch(k -> crossings[k]);
    }
    return partings;
  }

  /** Whether a path leaps further about a frame than two combs that part. */
  private static boolean leapsFar(CombPath path, double[] log, int t) {
    boolean far = false;
    for (int k = t - SLOPE_FRAMES; k <= t + SLOPE_FRAMES; k++) {
      boolean known = k > 0 && k < log.length && !Double.isNaN(log[k - 1] + log[k]);
      far |= known && (!path.joined()[k] || Math.abs(log[k] - log[k - 1]) > GREAT_LEAP);
    }
    return far;
  }

  /** Whether a path leaps between two frames. */
  private static boolean leaps(CombPath path, double[] log, int before, int t) {
    return !path.joined()[t] || Math.abs(log[t] - log[before]) > LEAP * (t - before);
  }

  /** Whether a path turns sharply, as where it meets another comb. */
  private static boolean turns(double[] log, int t) {
    double turn = turn(log, t);
    boolean most = turn > KINK;
    for (int k = 1; most && k <= SLOPE_FRAMES; k++) {
      most = turn >= turn(log, t - k) && turn > turn(log, t + k);
    }
    return most;
  }

  /** Change of the slope at a frame, 0 where it isn't known. */
  private static double turn(double[] log, int t) {
    if (t < SLOPE_FRAMES || t + SLOPE_FRAMES >= log.length) {
      return 0.0;
    }
    double turn = Math.abs(log[t + SLOPE_FRAMES] - 2.0 * log[t] + log[t - SLOPE_FRAMES]);
    return Double.isNaN(turn) ? 0.0 : turn / SLOPE_FRAMES;
  }

  /** Whether what a path is on from a frame on was there before, or what it was on goes on. */
  private boolean crosses(CombPath path, double[] log, int before, int t) {
    return (leaps(path, log, before, t) || turns(log, t))
        && (goesOn(path, log, t, -1) || goesOn(path, log, before, 1));
  }

  /**
   * Whether the comb that a path is on at a frame goes on beside it.
   *
   * @param edge the frame
   * @param direction 1 for onwards, −1 for backwards
   */
  private boolean goesOn(CombPath path, double[] log, int edge, int direction) {
    int inner = edge;
    while (inner - direction >= 0
        && inner - direction < log.length
        && Math.abs(inner - edge) < LOOK_FRAMES
        && Math.abs(log[inner - direction] - log[inner]) < LEAP) {
      inner -= direction;
    }
    int run = Math.abs(inner - edge);
    if (run < SLOPE_FRAMES) {
      return false;
    }
    double[] usual =
        lines.means(path.spacingHz(), Math.min(inner, edge), Math.max(inner, edge) + 1);
    for (int m = 0; m < usual.length; m++) {
      usual[m] = usual[m] > LINE_NATS ? usual[m] : 0.0;
    }
    if (Arrays.stream(usual).filter(nats -> nats > 0.0).count() < FEWEST_LINES
        || Arrays.stream(usual).sum() < CLEAR_NATS) {
      return false;
    }
    int skip = Math.min(NEAREST, run - SLOPE_FRAMES + 1);
    int start = edge - direction * skip;
    double slope = (log[start] - log[start - direction * (SLOPE_FRAMES - 1)]) / (SLOPE_FRAMES - 1);
    double level = log[start] + skip * slope;
    int apart = 0;
    int heard = 0;
    double[] own = new double[usual.length];
    for (int k = 1; k <= LOOK_FRAMES; k++) {
      int t = edge + k * direction;
      if (t < 0 || t >= log.length) {
        break;
      }
      level += slope;
      int off = offCells(usual, t, level, path.spacingHz()[t]);
      level += off * CombSearch.CELL_WIDTH;
      slope += BENDS * off * CombSearch.CELL_WIDTH;
      double ratio = Math.exp(level) / path.spacingHz()[t];
      if (k > NEAREST && areApart(ratio)) {
        apart++;
        heard += share(usual, t, level, path.spacingHz()[t]) > LEAST_SHARE ? 1 : 0;
        addOwn(own, t, path.spacingHz()[t], Math.exp(level));
      }
    }
    return apart >= FEWEST_APART && heard >= HEARD * apart && isClear(own, apart);
  }

  /** Adds what a path's own lines are heard with in a frame, but for those that are another's. */
  private void addOwn(double[] sums, int t, double spacingHz, double besideHz) {
    for (int m = 1; m <= sums.length; m++) {
      double hz = m * spacingHz;
      if (!isShared(hz, besideHz)) {
        sums[m - 1] += lines.nats(t, hz);
      }
    }
  }

  /** Whether a path is on a comb at all: on its way from one to another it may rest on noise. */
  private static boolean isClear(double[] sums, int frames) {
    double clear = Arrays.stream(sums).filter(sum -> sum > LINE_NATS * frames).sum();
    return clear >= CLEAR_NATS * frames;
  }

  /** Whether two combs whose ratio is given aren't readings of one shaft; not if one is unknown. */
  static boolean areApart(double ratio) {
    double greater = Math.max(ratio, 1.0 / ratio);
    boolean apart = !Double.isNaN(ratio);
    for (int q = 1; q <= MOST_PARTS; q++) {
      double p = Math.rint(greater * q);
      apart &= p > MOST_MULTIPLE || Math.abs(greater * q / p - 1.0) * Math.sqrt(p * q) > CLOSE;
    }
    return apart;
  }

  /** Where about a level the comb is heard best [cells]. */
  private int offCells(double[] usual, int t, double level, double besideHz) {
    int best = 0;
    double most = Math.max(LEAST_SHARE, share(usual, t, level, besideHz));
    for (int off = -OFF_CELLS; off <= OFF_CELLS; off++) {
      double share = share(usual, t, level + off * CombSearch.CELL_WIDTH, besideHz);
      if (share > most) {
        most = share;
        best = off;
      }
    }
    return best;
  }

  /** Share of its usual evidence that a comb has in a frame, by lines that aren't another's. */
  private double share(double[] usual, int t, double level, double besideHz) {
    double spacing = Math.exp(level);
    double all = 0.0;
    double found = 0.0;
    for (int m = 1; m <= usual.length; m++) {
      double hz = m * spacing;
      if (usual[m - 1] > 0.0 && !isShared(hz, besideHz)) {
        all += usual[m - 1];
        found += Math.min(usual[m - 1], lines.nats(t, hz));
      }
    }
    return all > 0.0 ? found / all : 0.0;
  }

  /** Whether a line lies on one of another comb. */
  private boolean isShared(double hz, double besideHz) {
    double ratio = hz / besideHz;
    return ratio > 0.5 && Math.abs(ratio - Math.rint(ratio)) * besideHz < 2.0 * lines.reach(hz);
  }
}
