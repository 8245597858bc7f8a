package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.speed.WaySearch.Way;

/**
 * Mean of the spacing over a frame, of two steps, by the parabola through the steps around it, and
 * how far that may be off.
 *
 * <p>Not safe for use by several threads.
 */
final class EndFit {
  /** Steps to either side that the parabola is laid through. */
  private static final int STEPS = 3;

  /**
   * Correlation of the noise in the places of neighbouring steps, whose Hann windows w overlap by
   * half. Noise n moves a line by ∫ w t n, so that it is ∫ w(t) t w(t − L/2) (t − L/2) over ∫ w²
   * t².
   */
  static final double NEIGHBOURS = -0.4526;

  /** Misfit from which on fewer steps are taken [1]. */
  private static final double MOST_BENT = 2.5;

  /**
   * How probable it is that a step in the middle is off rather than those around it on a bend
   * (judgement).
   */
  private static final double STRAY = 0.2;

  /** Misfit to which leaving out the one that is furthest must bring it, or else it stays [1]. */
  private static final double MOST_BENT_ELSE = 1.5;

  /**
   * What a parabola through three lines is off by, at most, where the maximum is between two of
   * them, and the slope's part (judgement) [lines of the length].
   */
  private static final double OFF_LINES = 0.02;

  /**
   * What the mean over a frame, of two steps, has of a bend b x² over what a window tells [1]. A
   * Hann window of length L weighs the frequency at t by ∫ w s ds from t on, whose second moment is
   * 0.0262 L²; that of the frame is L²/12.
   */
  static final double BENT_SHARE = 4.0 * (1.0 / 12.0 - 0.0262);

  /**
   * What the mean over a frame may be off by where the bend is a corner somewhere in it, over b
   * [1]: second difference D = 8 b of neighbouring frames times √(1/320).
   */
  private static final double CORNER_SHARE = 8.0 * Math.sqrt(1.0 / 320.0);

  private final double offHz;
  private final double[][] a = new double[3][4];
  private final double[][] inverse = new double[3][3];
  private double value;
  private double slope;
  private double bend;
  private double variance;
  private double bent;
  private int reach;

  /** Step that is left out, 0 if none. */
  private int left;

  /**
   * Prepares.
   *
   * @param lineHz spacing of the lines of a window [Hz]
   */
  EndFit(double lineHz) {
    this.offHz = OFF_LINES * lineHz;
  }

  /**
   * Lays the parabola: without one step if all others are on it, or else through fewer steps.
   *
   * @param path steps, of which the first is left out
   * @param at step in whose middle the frame is
   */
  void lay(Way[] path, int at) {
    reach = STEPS;
    left = 0;
    lay(path, at, reach);
    double whole = mean();
    if (bent > MOST_BENT && path.length > STEPS + 2) {
      left = furthest(path, at);
      lay(path, at, reach);
      left = bent > MOST_BENT_ELSE ? 0 : left;
      if (left == 0) {
        lay(path, at, reach);
      }
    }
    while (bent > MOST_BENT && reach > 1) {
      reach--;
      lay(path, at, reach);
    }
    double apart = mean() - whole;
    variance += STRAY * apart * apart;
  }

  /** Lays the parabola through the others around a step. */
  void layWithout(Way[] path, int at) {
    reach = STEPS;
    left = at;
    lay(path, at, reach);
  }

  /** Step that is furthest from the parabola. */
  private int furthest(Way[] path, int at) {
    int result = 0;
    double most = 0.0;
    for (int i = Math.max(1, at - STEPS); i <= Math.min(path.length - 1, at + STEPS); i++) {
      double off = off(path[i], i - at);
      double off2 = off * off / variance(path[i]);
      if (off2 > most) {
        most = off2;
        result = i;
      }
    }
    return result;
  }

  private double off(Way way, double x) {
    return way.hz() - value - slope * x - bend * x * x;
  }

  /** Lays it through so many steps to either side, at least three in all. */
  private void lay(Way[] path, int at, int steps) {
    int from = Math.max(1, Math.min(at - steps, path.length - 3));
    int to = Math.min(path.length - 1, Math.max(at + steps, 3));
    for (double[] row : a) {
      Arrays.fill(row, 0.0);
    }
    for (int i = from; i <= to; i++) {
      double x = i - at;
      double w = i == left ? 0.0 : 1.0 / variance(path[i]);
      double power = w;
      for (int n = 0; n <= 4; n++) {
        for (int r = Math.max(0, n - 2); r <= Math.min(2, n); r++) {
          a[r][n - r] += power;
        }
        if (n <= 2) {
          a[n][3] += power * path[i].hz();
        }
        power *= x;
      }
    }
    invert();
    value = product(0);
    slope = product(1);
    bend = product(2);
    bent = scale(path, from, to, at);
    variance = bent * ofNoise(path, from, to, at) + ofShape(path, from, to, at);
  }

  private double variance(Way way) {
    return way.variance() + offHz * offHz;
  }

  /** Inverse of the symmetric matrix, by its cofactors. */
  private void invert() {
    double first = a[1][1] * a[2][2] - a[1][2] * a[1][2];
    double second = a[0][2] * a[1][2] - a[0][1] * a[2][2];
    double third = a[0][1] * a[1][2] - a[0][2] * a[1][1];
    double determinant = a[0][0] * first + a[0][1] * second + a[0][2] * third;
    inverse[0][0] = first / determinant;
    inverse[0][1] = second / determinant;
    inverse[0][2] = third / determinant;
    inverse[1][0] = inverse[0][1];
    inverse[1][1] = (a[0][0] * a[2][2] - a[0][2] * a[0][2]) / determinant;
    inverse[1][2] = (a[0][1] * a[0][2] - a[0][0] * a[1][2]) / determinant;
    inverse[2][0] = inverse[0][2];
    inverse[2][1] = inverse[1][2];
    inverse[2][2] = (a[0][0] * a[1][1] - a[0][1] * a[0][1]) / determinant;
  }

  private double product(int row) {
    return inverse[row][0] * a[0][3] + inverse[row][1] * a[1][3] + inverse[row][2] * a[2][3];
  }

  /** Share of a step's place in the mean over the frame. */
  private double share(Way[] path, int i, int at) {
    if (i == left) {
      return 0.0;
    }
    double x = i - at;
    double sum = 0.0;
    double power = 1.0;
    for (int n = 0; n < 3; n++) {
      sum += power * (inverse[0][n] + BENT_SHARE * inverse[2][n]);
      power *= x;
    }
    return sum / variance(path[i]);
  }

  /** By how much the steps are further from the parabola than they should, at least 1. */
  private double scale(Way[] path, int from, int to, int at) {
    double misfit = 0.0;
    for (int i = from; i <= to; i++) {
      double off = off(path[i], i - at);
      misfit += i == left ? 0.0 : off * off / variance(path[i]);
    }
    return Math.max(1.0, misfit / Math.max(1, to - from - (left == 0 ? 2 : 3)));
  }

  /** Variance by noise, of which neighbouring steps have some in common [Hz²]. */
  private double ofNoise(Way[] path, int from, int to, int at) {
    double sum = 0.0;
    double before = 0.0;
    for (int i = from; i <= to; i++) {
      double share = share(path, i, at);
      double each = share * Math.sqrt(path[i].variance());
      sum += share * share * variance(path[i]) + 2.0 * NEIGHBOURS * before * each;
      before = each;
    }
    return sum;
  }

  /**
   * Squared error by what no parabola is: the powers x³ and x⁴ of an exponential of this slope, and
   * a corner where the bend is clearly more than such an exponential's [Hz²].
   */
  private double ofShape(Way[] path, int from, int to, int at) {
    double third = 0.0;
    double fourth = 0.0;
    for (int i = from; i <= to; i++) {
      double x = i - at;
      double share = share(path, i, at);
      third += share * x * x * x;
      fourth += share * x * x * x * x;
    }
    double rate = Math.min(1.0, Math.abs(slope) / value);
    double cubic = value * rate * rate * rate / 6.0 * third;
    double quartic = value * rate * rate * rate * rate / 24.0 * fourth;
    double excess = Math.max(0.0, Math.abs(bend) - 0.5 * rate * rate * value);
    double corner = CORNER_SHARE * CORNER_SHARE * Math.max(0.0, excess * excess - inverse[2][2]);
    return cubic * cubic + quartic * quartic + corner;
  }

  /** Mean over the frame [Hz]. */
  double mean() {
    return value + BENT_SHARE * bend;
  }

  /** Variance of the mean over the frame [Hz²]. */
  double variance() {
    return variance;
  }

  /** What a window in the middle of the frame tells [Hz]. */
  double place() {
    return value;
  }

  /** Whether the steps around are on no parabola, as about a corner. */
  boolean isBent() {
    return bent > MOST_BENT;
  }

  /** Slope in the middle [Hz a step]. */
  double slope() {
    return slope;
  }
}
