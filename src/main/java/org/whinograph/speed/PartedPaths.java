package org.whinograph.speed;

import java.util.Arrays;

/**
 * Two paths put each on one comb, where the first is known to go over to another machine and what
 * was left beside it was sought without the lines that it was on. Either may be on another multiple
 * of a shaft than the other: where one takes a comb over from the other, their spacings say on
 * which. Where they don't, the lesser part is left out.
 *
 * <p>All thresholds are a judgement.
 */
final class PartedPaths {
  /** Fewest frames of what is left beside a part that goes back to the path's own comb. */
  private static final int FEWEST_LEFT = 12;

  /** Longest silence across which one path takes a comb over from the other [frames]. */
  private static final int MOST_GAP = 6;

  /** Frames that tell a slope. */
  private static final int SLOPE_FRAMES = 4;

  private PartedPaths() {}

  /**
   * Two combs out of a path that is on both and what was left beside it.
   *
   * @param path the path
   * @param sides the comb that it is on in each frame, as {@link PathSides} has it
   * @param left a path beside it, null if there is none
   * @return the path's own comb, then the other one; their harmonics' evidence is still the paths'
   */
  static CombPath[] of(CombPath path, int[] sides, CombPath left) {
    int[] leftSides = left == null ? new int[sides.length] : leftSides(path, sides, left);
    return new CombPath[] {
      merged(path, sides, left, leftSides, PathSides.OWN),
      merged(path, sides, left, leftSides, PathSides.OTHER)
    };
  }

  private static CombPath merged(
      CombPath path, int[] sides, CombPath left, int[] leftSides, int side) {
    double[] fromPath = only(path.spacingHz(), sides, side);
    double[] fromLeft = new double[sides.length];
    Arrays.fill(fromLeft, Double.NaN);
    if (left != null) {
      fromLeft = only(left.spacingHz(), leftSides, side);
    }
    double[] joining = fromPath.clone();
    int ofPath = known(fromPath);
    if (known(fromLeft) > ofPath) {
      takeOver(joining, fromLeft, path);
    }
    // What the path was on is the surer of both.
    if (known(joining) == ofPath) {
      fromPath = joining;
    }
    if (known(joining) < ofPath || known(fromLeft) <= ofPath) {
      takeOver(fromLeft, fromPath, left);
    }
    int frames = sides.length;
    double[] hz = new double[frames];
    boolean[] joined = new boolean[frames];
    double[] confidence = new double[frames];
    for (int t = 0; t < frames; t++) {
      boolean isPath = !Double.isNaN(fromPath[t]);
      boolean isLeft = !isPath && !Double.isNaN(fromLeft[t]);
      hz[t] = isPath ? fromPath[t] : fromLeft[t];
      if (isPath || isLeft) {
        CombPath source = isPath ? path : left;
        double[] same = isPath ? fromPath : fromLeft;
        confidence[t] = source.confidence()[t];
        joined[t] = source.joined()[t] && t > 0 && !Double.isNaN(same[t - 1]);
      }
    }
    double score = path.score() * known(fromPath) / path.framesOn();
    if (left != null) {
      score += left.score() * known(fromLeft) / Math.max(1, left.framesOn());
    }
    CombPath whole = side == PathSides.OWN || left == null ? path : left;
    CombPath result =
        new CombPath(hz, joined, confidence, score, whole.harmonicEvidence(), whole.changes());
    return result.withChanges(Math.min(result.jumps(), whole.changes()));
  }

  private static double[] only(double[] hz, int[] sides, int side) {
    double[] result = hz.clone();
    for (int t = 0; t < result.length; t++) {
      result[t] = sides[t] == side ? result[t] : Double.NaN;
    }
    return result;
  }

  private static int known(double[] hz) {
    return (int) Arrays.stream(hz).filter(each -> !Double.isNaN(each)).count();
  }

  /**
   * Brings the runs of a path to the multiple of the shaft that a greater one is on, and leaves
   * those out of which that isn't known.
   *
   * @param hz the lesser one, changed [Hz]
   * @param base the greater one [Hz]
   * @param source the path that the lesser one is of
   */
  private static void takeOver(double[] hz, double[] base, CombPath source) {
    boolean alone = known(base) == 0;
    int from = 0;
    while (!alone && from < hz.length) {
      int to = from + 1;
      while (!Double.isNaN(hz[from])
          && to < hz.length
          && !Double.isNaN(hz[to])
          && goesOn(source, to)) {
        to++;
      }
      if (!Double.isNaN(hz[from])) {
        double factor = factor(hz, from, base, -1);
        factor = Double.isNaN(factor) ? factor(hz, to - 1, base, 1) : factor;
        for (int t = from; t < to; t++) {
          hz[t] *= factor;
        }
      }
      from = to;
    }
  }

  /**
   * By what the spacing of a run is to be multiplied to go on where another path is on the comb.
   *
   * @param edge first or last frame of the run
   * @param direction where the other path is, −1 for before, 1 for after
   */
  private static double factor(double[] hz, int edge, double[] base, int direction) {
    int inner = edge - direction * (SLOPE_FRAMES - 1);
    boolean sloped = inner >= 0 && inner < hz.length && !Double.isNaN(hz[inner]);
    double slope = sloped ? Math.log(hz[edge] / hz[inner]) / (SLOPE_FRAMES - 1) : 0.0;
    for (int k = 1; k <= MOST_GAP + 1; k++) {
      int t = edge + k * direction;
      if (t >= 0 && t < base.length && !Double.isNaN(base[t])) {
        double ratio = base[t] / (hz[edge] * Math.exp(k * slope));
        boolean same = Math.abs(Math.log(base[t] / hz[edge])) < CrossedPaths.LEAP * k;
        return same ? 1.0 : CombFrames.multiple(ratio);
      }
    }
    return Double.NaN;
  }

  /**
   * On which comb what is left is: the one that the path isn't on, unless it goes on as before. A
   * run of it that is beside the other comb of the path is the path's own.
   */
  private static int[] leftSides(CombPath path, int[] sides, CombPath left) {
    int[] result = new int[sides.length];
    int from = 0;
    while (from < sides.length) {
      int to = from + 1;
      while (to < sides.length && sides[to] == sides[from] && goesOn(left, to)) {
        to++;
      }
      int side = -sides[from];
      if (from > 0 && goesOn(left, from)) {
        side = result[from - 1];
      } else if (side == PathSides.OWN && !isApart(path, left, from, to)) {
        side = PathSides.OPEN;
      }
      Arrays.fill(result, from, to, side);
      from = to;
    }
    return result;
  }

  /** Whether a path goes on from the frame before without a leap. */
  private static boolean goesOn(CombPath path, int t) {
    double[] hz = path.spacingHz();
    return path.joined()[t] && Math.abs(Math.log(hz[t] / hz[t - 1])) < CrossedPaths.LEAP;
  }

  /** Whether what is left is for most of a run on another shaft than a path. */
  private static boolean isApart(CombPath path, CombPath left, int from, int to) {
    int apart = 0;
    for (int t = from; t < to; t++) {
      double ratio = left.spacingHz()[t] / path.spacingHz()[t];
      apart += CrossedPaths.areApart(ratio) ? 1 : 0;
    }
    return apart >= FEWEST_LEFT && 2 * apart > to - from;
  }
}
