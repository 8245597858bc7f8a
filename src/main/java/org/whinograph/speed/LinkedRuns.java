package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * Which runs of a comb may be the same shaft on the same multiple, by their speeds alone. A shaft
 * can't leap: soon after a run ends the next begins near it. After a longer silence the speed may
 * be another, but not so much another that a different multiple is likelier.
 *
 * <p>All thresholds are a judgement. Not safe for use by several threads.
 */
final class LinkedRuns {
  /** Greatest ratio of the spacings on both sides of a silence, as a logarithm. */
  private static final double MOST = Math.log(3.0);

  /** The same without any silence, and by how much it grows with each second of it. */
  private static final double AT_ONCE = 0.4;

  private static final double IN_A_SECOND = 0.4;

  /**
   * The same where another comb is heard as well: longest silence [s], and the ratio over it,
   * within a step and in a second at a few hundred 1/min.
   */
  private static final double SHORT_S = 2.0;

  private static final double NEAR_AT_ONCE = 0.04;

  /** Share of the frames in which a second comb must be heard to be known to go on. */
  private static final double MOSTLY = 0.9;

  private static final double NEAR_IN_A_SECOND = 0.1;

  private final double[] hz;
  private final double frameS;
  private final List<int[]> runs = new ArrayList<>();
  private double lowestHz;
  private double highestHz;

  /**
   * Prepares.
   *
   * @param hz spacing of the comb in each frame, read when it is asked for [Hz]
   * @param frameS length of a frame [s]
   * @param lowestHz lowest spacing of runs in earlier stretches [Hz], NaN without any
   * @param highestHz highest spacing of those [Hz], NaN without any
   */
  LinkedRuns(double[] hz, double frameS, double lowestHz, double highestHz) {
    this.hz = hz;
    this.frameS = frameS;
    this.lowestHz = lowestHz;
    this.highestHz = highestHz;
  }

  /** Counts a run in. */
  void add(int from, int to) {
    runs.add(new int[] {from, to});
    for (int t = from; t < to; t++) {
      lowestHz = hz[t] > lowestHz ? lowestHz : hz[t];
      highestHz = hz[t] < highestHz ? highestHz : hz[t];
    }
  }

  /** Whether the speed of a run suits those next to it in time, or else all counted in so far. */
  boolean suits(int from, int to) {
    int[] before = null;
    int[] after = null;
    for (int[] run : runs) {
      if (run[1] <= from) {
        before = before == null || run[1] > before[1] ? run : before;
      } else {
        after = after == null || run[0] < after[0] ? run : after;
      }
    }
    if (before == null && after == null) {
      return !(apart(hz[from], highestHz) > MOST && apart(hz[from], lowestHz) > MOST);
    }
    return (before == null || apart(hz[from], hz[before[1] - 1]) <= most(from - before[1]))
        && (after == null || apart(hz[to - 1], hz[after[0]]) <= most(after[0] - to));
  }

  /**
   * Whether a run so soon follows another one or is followed by it, and so near it, that it is the
   * same shaft's even if there is a second one, which is elsewhere then.
   *
   * @param second spacing of the second comb in each frame [Hz], NaN where unknown; null without
   *     one
   */
  boolean goesOn(int from, int to, double[] second) {
    boolean goesOn = false;
    for (int[] run : runs) {
      boolean before = run[1] <= from;
      int edge = before ? from : to - 1;
      int gap = before ? from - run[1] : run[0] - to;
      double apart = apart(hz[edge], hz[before ? run[1] - 1 : run[0]]);
      goesOn |=
          gap * frameS <= SHORT_S
              && apart <= NEAR_AT_ONCE + NEAR_IN_A_SECOND * gap * frameS
              && !isNear(second, edge);
    }
    return goesOn;
  }

  /** Whether a second comb is so near in a moment that a path may have gone over to it. */
  private boolean isNear(double[] second, int frame) {
    int reach = (int) (SHORT_S / frameS);
    boolean near = false;
    for (int t = Math.max(0, frame - reach); second != null && t <= frame + reach; t++) {
      near |= t < second.length && apart(hz[frame], second[t]) <= NEAR_AT_ONCE;
    }
    return near;
  }

  /**
   * Whether a second comb was heard elsewhere without a leap ever since the run before ended: then
   * the run isn't that one's.
   *
   * @param second spacing of the second comb in each frame [Hz], NaN where unknown; null without
   *     one
   */
  boolean secondIsElsewhere(int from, int to, double[] second) {
    int since = -1;
    for (int[] run : runs) {
      since = run[1] <= from ? Math.max(since, run[1] - 1) : since;
    }
    if (second == null || since < 0 || to > second.length) {
      return false;
    }
    int heard = 0;
    double last = Double.NaN;
    for (int t = since; t < to; t++) {
      if (!Double.isNaN(second[t])) {
        boolean near = t >= from && apart(hz[t], second[t]) <= NEAR_AT_ONCE;
        if (near || apart(second[t], last) > NEAR_AT_ONCE) {
          return false;
        }
        last = second[t];
        heard++;
      }
    }
    return heard > MOSTLY * (to - since);
  }

  private static double apart(double hz, double otherHz) {
    return Math.abs(Math.log(hz / otherHz));
  }

  /** Greatest ratio over a silence, as a logarithm. */
  private double most(int gap) {
    return Math.min(MOST, AT_ONCE + IN_A_SECOND * gap * frameS);
  }

  /** Middle of the spacings of all runs counted in [Hz], NaN without any. */
  double typicalHz() {
    return Math.sqrt(lowestHz * highestHz);
  }

  /** Lowest spacing of all runs counted in [Hz], NaN without any. */
  double lowestHz() {
    return lowestHz;
  }

  /** Highest spacing of all runs counted in [Hz], NaN without any. */
  double highestHz() {
    return highestHz;
  }
}
