package org.whinograph.speed;

/**
 * From where on nothing tells which of two combs is whose: they stayed so near to each other that
 * either path may have gone over to the other, and then parted.
 *
 * <p>Two that run past each other go straight on, and two that are driven along stay together:
 * neither is meant. All thresholds are a judgement.
 */
final class MergedPaths {
  /** Spacings less apart than this may be taken for each other [ln 1]. */
  private static final double TOGETHER = 0.015;

  /** Spacings further apart than this have parted [ln 1]. */
  private static final double APART = 0.05;

  /** Frames of a quarter of a second in which they are together at least: five seconds. */
  private static final int STAYS = 20;

  private MergedPaths() {}

  /**
   * Finds the first frame of the first parting.
   *
   * @param one spacing of one comb in each frame [Hz], NaN where unknown
   * @param other the same of the other
   * @param from frames before this were told already
   * @return that frame; the number of frames if they never part
   */
  static int lostFrom(double[] one, double[] other, int from) {
    int together = 0;
    int last = one.length;
    for (int t = 0; t < one.length; t++) {
      double apart = Math.abs(Math.log(one[t] / other[t]));
      if (apart < TOGETHER) {
        together++;
        last = t + 1;
      } else if (apart > APART) {
        if (together >= STAYS && t >= from) {
          return last;
        }
        together = 0;
      }
    }
    return one.length;
  }
}
