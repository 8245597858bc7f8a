package org.whinograph.speed;

import java.util.Arrays;

/**
 * A path that is but another reading of a comb found before it: the low orders of the same shaft,
 * which blade-pass leaves behind. As long as they are there they hide a second fan.
 */
final class SameShaft {
  /** How closely the spacings of two paths keep a whole ratio, as the search leaves them [1]. */
  private static final double CLOSE = 0.004;

  /** Share of the frames that both know in which they must [1]. */
  private static final double LEAST_SHARE = 0.5;

  private static final int FEWEST_FRAMES = 20;

  /** Orders of a shaft above so many are its blades' or nobody's (judgement). */
  private static final int MOST_ORDER = 2 * ShaftOrders.MOST_BLADES;

  /** Low orders that an uneven rotor makes, heard in most frames or not. */
  private static final int LOW = 3;

  /** Mean evidence of a further order that is the path's [nat]. */
  private static final double LEAST_NATS = 1.5;

  private SameShaft() {}

  /**
   * Which multiple of a path's spacing that of a comb is in most frames.
   *
   * @param comb spacing of the comb in each frame [Hz], NaN where unknown
   * @param path the same of the path
   * @return the multiple, 2 or more; 0 if the path is no reading of that comb
   */
  static int multiple(double[] comb, double[] path) {
    int[] counts = new int[MOST_ORDER + 1];
    int both = 0;
    int most = 0;
    for (int t = 0; t < comb.length; t++) {
      double ratio = comb[t] / path[t];
      if (Double.isNaN(ratio)) {
        continue;
      }
      both++;
      int q = (int) Math.rint(ratio);
      if (q >= 2 && q <= MOST_ORDER && Math.abs(ratio / q - 1.0) < CLOSE) {
        most = ++counts[q] > counts[most] ? q : most;
      }
    }
    return counts[most] >= FEWEST_FRAMES && counts[most] > LEAST_SHARE * both ? most : 0;
  }

  /** Whether one of two paths is a whole multiple of the other. */
  static boolean areOne(CombPath one, CombPath other) {
    return multiple(one.spacingHz(), other.spacingHz()) > 0
        || multiple(other.spacingHz(), one.spacingHz()) > 0;
  }

  /**
   * The low orders that a path shows of a comb's shaft, along the comb: where the path leaps they
   * go on.
   *
   * @param comb spacing of the comb in each frame [Hz], NaN where unknown
   * @param path the path
   * @param multiple which multiple of the path's spacing the comb's is
   * @return frequency of each line in each frame [Hz]
   */
  static double[][] lines(double[] comb, CombPath path, int multiple) {
    int last = Math.max(LOW, path.harmonicEvidence().length);
    double[][] lines = new double[last][];
    int count = 0;
    for (int k = 1; k <= last; k++) {
      if (k > LOW && !(path.harmonicEvidence()[k - 1] > LEAST_NATS)) {
        continue;
      }
      lines[count] = new double[comb.length];
      for (int t = 0; t < comb.length; t++) {
        lines[count][t] = comb[t] * k / multiple;
      }
      count++;
    }
    return Arrays.copyOf(lines, count);
  }
}
