package org.whinograph.speed;

import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.Quantile;

/**
 * How a comb moves. A rotor's does all the time: the lines of a shaft move together, by jitter, by
 * drift or along a glide. Electronic and musical tones stand still, and where they change they leap
 * from one rest to the next.
 *
 * <p>Values are logarithms of a spacing, one a frame.
 */
enum CombMotion {
  /** Nothing tells it from fixed tones. */
  STANDS,
  /** All its lines scatter more than noise makes them. */
  WANDERS,
  /** It goes steadily from one place to another. */
  GLIDES;

  /** Longer than a window that runs over a leap [frames]. */
  private static final int GLIDE_FRAMES = 8;

  /** Least relative change over a glide of that length [1]. */
  private static final double LEAST_GLIDE = 0.003;

  /** Least change over a glide, in standard deviations of its ends. */
  private static final double CLEAR_GLIDE = 6.0;

  /** Greatest share that one frame may have in a glide [1]: a leap has nearly all in two. */
  private static final double GREATEST_STEP = 0.3;

  /** A change within four frames that no rotor makes by jitter [1]. */
  private static final double LEAP = 0.015;

  /** What a leap spoils beside the windows that hold it [frames]. */
  private static final int LEAP_MARGIN = 4;

  private static final int LEAST_PAIRS = 12;

  /** Scatter over what noise gives from which on a line does not stand still [1]. */
  private static final double SCATTERED = 6.0;

  /**
   * What is added for one line alone over the number of pairs: first quartiles of four or more
   * squared normal deviates are above that less than once in a thousand times (computed by
   * simulation). Several lines guard each other.
   */
  private static final double SCATTERED_OF_FEW = 112.0;

  /** Least share of the clearest line's motion in any other's [1]. */
  private static final double LEAST_SHARE = 0.2;

  /**
   * Greatest squared difference of two lines' means over the squared motion [1]: lines of a shaft
   * are in tune.
   */
  private static final double MOST_OUT_OF_TUNE = 0.25;

  /** Correlation from which on two lines move together [1]. */
  private static final double TOGETHER = 0.5;

  /** First quartile of a squared standard normal deviate. */
  private static final double QUARTILE = 0.1015;

  /**
   * Whether there is a steady glide somewhere.
   *
   * @param value values of a run of frames
   * @param noise their standard deviations
   */
  static boolean glides(double[] value, double[] noise) {
    for (int to = GLIDE_FRAMES; to < value.length; to++) {
      int from = to - GLIDE_FRAMES;
      double whole = value[to] - value[from];
      boolean even =
          Math.abs(whole) > Math.max(LEAST_GLIDE, CLEAR_GLIDE * Math.max(noise[from], noise[to]));
      for (int i = from + 1; i <= to && even; i++) {
        double share = (value[i] - value[i - 1]) / whole;
        even = share > -0.1 && share < GREATEST_STEP;
      }
      if (even) {
        return true;
      }
    }
    return false;
  }

  /**
   * Whether lines wander by more than noise makes them, all of them and the clearest two together.
   * First quartiles of differences between windows that share no sample are looked at, away from
   * leaps.
   *
   * @param values values of a run of frames by each line, the clearest first
   * @param variances their variances by noise
   * @param path the run's values by all lines
   * @param apart length of a window [frames]
   */
  static boolean wander(List<double[]> values, List<double[]> variances, double[] path, int apart) {
    int[] starts = awayFromLeaps(path, apart);
    if (starts.length < LEAST_PAIRS) {
      return false;
    }
    double[] first = values.get(0);
    double[] ones = new double[first.length];
    Arrays.fill(ones, 0.5);
    double motion = scatter(first, ones, starts, apart);
    double few = values.size() < 2 ? SCATTERED_OF_FEW * apart / starts.length : 0.0;
    boolean all = scatter(first, variances.get(0), starts, apart) > SCATTERED + few;
    for (int m = 1; m < values.size(); m++) {
      // Noise only adds to what the motion gives.
      all &= scatter(values.get(m), ones, starts, apart) > LEAST_SHARE * motion;
      double apartBy = meanDifference(values.get(m), first, starts);
      all &= apartBy * apartBy < MOST_OUT_OF_TUNE * motion;
    }
    return all && (values.size() < 2 || together(first, values.get(1), starts, apart));
  }

  /** Frames from which on no leap is near for the length of two windows. */
  private static int[] awayFromLeaps(double[] path, int apart) {
    boolean[] near = new boolean[path.length];
    for (int i = 2; i + 2 < path.length; i++) {
      if (Math.abs(path[i + 2] - path[i - 2]) > LEAP) {
        int from = Math.max(0, i - 2 * apart - LEAP_MARGIN);
        Arrays.fill(near, from, Math.min(near.length, i + apart + LEAP_MARGIN), true);
      }
    }
    int[] starts = new int[path.length];
    int n = 0;
    for (int i = 0; i + apart < path.length; i++) {
      if (!near[i]) {
        starts[n++] = i;
      }
    }
    return Arrays.copyOf(starts, n);
  }

  /** Mean squared difference over the sum of the variances, by the first quartile. */
  private static double scatter(double[] value, double[] variance, int[] starts, int apart) {
    double[] squares = new double[starts.length];
    for (int i = 0; i < squares.length; i++) {
      int from = starts[i];
      double off = value[from + apart] - value[from];
      squares[i] = off * off / (variance[from + apart] + variance[from]);
    }
    return Quantile.ranked(squares, squares.length, squares.length / 4) / QUARTILE;
  }

  private static double meanDifference(double[] a, double[] b, int[] starts) {
    double sum = 0.0;
    for (int i : starts) {
      sum += a[i] - b[i];
    }
    return sum / starts.length;
  }

  private static boolean together(double[] a, double[] b, int[] starts, int apart) {
    double greatestA = usual(a, starts, apart);
    double greatestB = usual(b, starts, apart);
    double aa = 0.0;
    double bb = 0.0;
    double ab = 0.0;
    for (int i : starts) {
      double x = clipped(a[i + apart] - a[i], greatestA);
      double y = clipped(b[i + apart] - b[i], greatestB);
      aa += x * x;
      bb += y * y;
      ab += x * y;
    }
    return ab > TOGETHER * Math.sqrt(aa * bb);
  }

  /** Three times the median of the differences: one beyond must not decide. */
  private static double usual(double[] value, int[] starts, int apart) {
    double[] steps = new double[starts.length];
    for (int i = 0; i < steps.length; i++) {
      steps[i] = Math.abs(value[starts[i] + apart] - value[starts[i]]);
    }
    return 3.0 * Quantile.median(steps, steps.length);
  }

  private static double clipped(double x, double greatest) {
    return Math.max(-greatest, Math.min(greatest, x));
  }
}
