package org.whinograph.speed;

import java.util.Arrays;

/**
 * Two paths put each on one comb, where the first is known to go over to another machine and what
 * was left beside it was sought without the lines that it was on.
 *
 * <p>All thresholds are a judgement.
 */
final class PartedPaths {
  /** Fewest frames of what is left beside a part that goes back to the path's own comb. */
  private static final int FEWEST_LEFT = 12;

  private PartedPaths() {}

  /**
   * Two combs out of a path that is on both and what was left beside it.
   *
   * @param path the path
   * @param crossings the frames from which on it is on another comb than before
   * @param left a path beside it, null if there is none
   * @return the comb of which the path has more, then the other one; their harmonics' evidence is
   *     still the paths'
   */
  static CombPath[] of(CombPath path, boolean[] crossings, CombPath left) {
    boolean[] foreign = foreign(path, crossings);
    boolean[] back = left == null ? new boolean[foreign.length] : goingBack(path, foreign, left);
    return new CombPath[] {
      merged(path, foreign, left, back, true), merged(path, foreign, left, back, false)
    };
  }

  /** The frames in which a path is on the comb of which it has less. */
  private static boolean[] foreign(CombPath path, boolean[] crossings) {
    boolean[] second = new boolean[crossings.length];
    boolean on = false;
    int seconds = 0;
    for (int t = 0; t < second.length; t++) {
      on ^= crossings[t];
      second[t] = on;
      seconds += on && !Double.isNaN(path.spacingHz()[t]) ? 1 : 0;
    }
    if (2 * seconds > path.framesOn()) {
      for (int t = 0; t < second.length; t++) {
        second[t] ^= true;
      }
    }
    return second;
  }

  private static CombPath merged(
      CombPath path, boolean[] foreign, CombPath left, boolean[] back, boolean own) {
    int frames = foreign.length;
    double[] hz = new double[frames];
    boolean[] joined = new boolean[frames];
    double[] confidence = new double[frames];
    int fromPath = 0;
    int fromLeft = 0;
    boolean wasPath = false;
    boolean wasLeft = false;
    for (int t = 0; t < frames; t++) {
      boolean ofPath = foreign[t] != own;
      boolean ofLeft = left != null && !ofPath && back[t] == own;
      hz[t] = Double.NaN;
      if (ofPath || ofLeft) {
        CombPath source = ofPath ? path : left;
        hz[t] = source.spacingHz()[t];
        confidence[t] = source.confidence()[t];
        joined[t] = source.joined()[t] && (ofPath ? wasPath : wasLeft);
      }
      fromPath += ofPath && !Double.isNaN(hz[t]) ? 1 : 0;
      fromLeft += ofLeft && !Double.isNaN(hz[t]) ? 1 : 0;
      wasPath = ofPath;
      wasLeft = ofLeft;
    }
    double score = path.score() * fromPath / path.framesOn();
    if (left != null) {
      score += left.score() * fromLeft / Math.max(1, left.framesOn());
    }
    CombPath whole = own || left == null ? path : left;
    CombPath result =
        new CombPath(hz, joined, confidence, score, whole.harmonicEvidence(), whole.changes());
    return result.withChanges(Math.min(result.jumps(), whole.changes()));
  }

  /** Runs of what is left that are the path's own comb while the path is on the other one. */
  private static boolean[] goingBack(CombPath path, boolean[] foreign, CombPath left) {
    boolean[] back = new boolean[foreign.length];
    int from = 0;
    while (from < foreign.length) {
      int to = from + 1;
      int apart = 0;
      // What goes on beside the path as before isn't the comb that the path has left.
      boolean goesOn =
          from > 0
              && left.joined()[from]
              && Math.abs(Math.log(left.spacingHz()[from] / left.spacingHz()[from - 1]))
                  < CrossedPaths.LEAP;
      while (to < foreign.length
          && foreign[from]
          && foreign[to]
          && left.joined()[to]
          && !Double.isNaN(left.spacingHz()[to])) {
        double ratio = left.spacingHz()[to] / path.spacingHz()[to];
        apart += CrossedPaths.areApart(ratio) ? 1 : 0;
        to++;
      }
      Arrays.fill(back, from, to, !goesOn && apart >= FEWEST_LEFT && 2 * apart > to - from);
      from = to;
    }
    return back;
  }
}
