package org.whinograph.speed;

/**
 * Whether two combs are two machines.
 *
 * <p>One fan's lines can be read as several combs, whose spacings are a fixed whole ratio of each
 * other. Which ratio may change where a reading leaps, such as from every second order at rest to
 * every order at speed. So each stretch without a leap is judged by itself: two machines keep a
 * ratio that is no whole one, or one that drifts.
 */
final class OwnMotion {
  /** Frames of a quarter of a second, five seconds. */
  private static final int FEWEST_FRAMES = 20;

  /**
   * Two readings of one fan leap by 1/16 at least; a second fan at 600 1/min that gains 100 1/min a
   * second changes by 0.04 from frame to frame.
   */
  private static final double LEAP = 0.05;

  /** A ratio that drifts further than this isn't fixed. */
  private static final double DRIFT = 1.01;

  private static final int MOST_MULTIPLE = 16;
  private static final double NEAR = 0.003;

  private OwnMotion() {}

  /**
   * Whether one comb is no reading of the other for most of the time that both are known.
   *
   * @param a spacing of one comb in each frame [Hz], NaN where unknown
   * @param b the same of the other
   */
  static boolean of(double[] a, double[] b) {
    int both = 0;
    int apart = 0;
    int start = -1;
    double before = 0.0;
    double low = 0.0;
    double high = 0.0;
    for (int i = 0; i <= a.length; i++) {
      double ratio = i < a.length ? b[i] / a[i] : Double.NaN;
      boolean leaps = !(Math.abs(ratio / before - 1.0) <= LEAP);
      if (start >= 0 && leaps) {
        apart += independent(low, high) ? i - start : 0;
        both += i - start;
        start = -1;
      }
      if (Double.isNaN(ratio)) {
        continue;
      }
      if (start < 0) {
        start = i;
        low = ratio;
        high = ratio;
      }
      low = Math.min(low, ratio);
      high = Math.max(high, ratio);
      before = ratio;
    }
    return apart >= FEWEST_FRAMES && 2 * apart > both;
  }

  private static boolean independent(double low, double high) {
    if (high / low > DRIFT) {
      return true;
    }
    double ratio = Math.sqrt(low * high);
    for (int q = 1; q <= MOST_MULTIPLE; q++) {
      double place = ratio * q;
      if (Math.abs(place - Math.rint(place)) < NEAR * q) {
        return false;
      }
    }
    return true;
  }
}
