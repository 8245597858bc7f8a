package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Levels of orders that cross a resonance, and what one mode makes of them.
 *
 * <p>The power of an order k at the speed n is a · n^s · (1 + (g − 1) L(k n)), where L(f) = 1/(1 +
 * Q² (f₀/f − f/f₀)²) is the response of one mode, a driven oscillator, and g its gain of power.
 * Frequency f₀, quality Q and gain g are common to all orders, level a and slope s are each order's
 * own. The mean of L over the speeds within a step stands for L: so neither the width of the steps
 * nor the motion within a frame moves the peak. Weighted least squares of levels [dB].
 *
 * <p>For use by one thread.
 */
final class ResonanceModel {
  /** Levels this far from the frequency, as a ratio, show what the order does without it. */
  private static final double REACH = Math.log(2.0);

  /** What a level scatters by itself: model and track (judgement) [dB]. */
  private static final double OWN_SCATTER_DB = 0.3;

  /** The rise of a tone with the speed is about this (sixth-power law: 60) [dB a decade]. */
  private static final double SLOPE = 55.0;

  /** And strays so far from it (judgement) [dB a decade]. */
  private static final double SLOPE_SCATTER = 25.0;

  /** A level is worth taking if the signal is this many times the noise in a line. */
  private static final double LEAST_RATIO = 2.0;

  /** As far as a line reaches into what is taken for an order's level [Hz]. */
  private static final double LOBE_HZ = 8.0;

  private static final int FEWEST_POINTS = 6;
  private static final double[] QUALITIES = logarithmic(2.5, 80.0, 7);
  private static final double[] GAINS_DB = {3, 6, 10, 14, 18, 24};

  /** Steps in ln Q and in dB; those with both lie along and across where the two trade. */
  private static final double[][] STEPS = {
    {0.25, 0.0}, {-0.25, 0.0}, {0.0, 2.0}, {0.0, -2.0},
    {0.25, 2.0}, {-0.25, -2.0}, {0.25, -2.0}, {-0.25, 2.0}
  };

  private static final double FINEST_STEP = 0.01;
  private static final int MOST_STEPS = 40;

  /** One level. */
  private record Point(int owner, double hz, double spread, double x, double db, double weight) {}

  private final List<Point> points = new ArrayList<>();
  private final double[][] sums;
  private final double[] lobe;

  /**
   * Collects the levels within an octave on either side.
   *
   * @param levels levels of the orders by speed
   * @param orders orders; those with too few levels are left out
   * @param nearHz about where the resonance lies [Hz]
   * @param steady lines that stay, whatever the speed: levels that may be theirs are left out
   */
  ResonanceModel(
      List<SpeedLevels> levels, List<Integer> orders, double nearHz, SteadyLines steady) {
    int owners = 0;
    for (int order : orders) {
      List<Point> own = points(levels, order, owners, nearHz, steady);
      if (own.size() >= FEWEST_POINTS) {
        points.addAll(own);
        owners++;
      }
    }
    sums = new double[owners][6];
    lobe = new double[points.size()];
  }

  private static List<Point> points(
      List<SpeedLevels> levels, int order, int owner, double nearHz, SteadyLines steady) {
    List<Point> own = new ArrayList<>();
    if (order > SpeedLevels.MOST_ORDERS) {
      return own;
    }
    for (SpeedLevels each : levels) {
      double hz = order * each.shaftHz();
      double signal = each.signal(order);
      double noise = each.noise()[order];
      if (Math.abs(Math.log(hz / nearHz)) > REACH
          || !(signal > LEAST_RATIO * noise)
          || steady.explain(hz, LOBE_HZ + 2.0 * each.spread() * hz, signal)) {
        continue;
      }
      // A tone in noise: its power scatters by 2 S N + N², in dB by 10/ln 10 times that over S.
      double ratio = noise / signal;
      double variance =
          OWN_SCATTER_DB * OWN_SCATTER_DB
              + 18.86 * (2.0 * ratio + 7.0 * ratio * ratio) / each.frames();
      own.add(
          new Point(
              owner,
              hz,
              each.spread(),
              Math.log10(hz / nearHz),
              10.0 * Math.log10(signal),
              1.0 / variance));
    }
    return own;
  }

  /** Number of levels. */
  int points() {
    return points.size();
  }

  /** Levels beyond the numbers of the model. */
  int free() {
    return points.size() - 2 * sums.length - 3;
  }

  /** Whether there are levels within the width of a resonance and on both sides of it. */
  boolean crosses(double f0, double quality) {
    double half = 0.5 / quality;
    boolean below = false;
    boolean within = false;
    boolean above = false;
    for (Point point : points) {
      double off = Math.log(point.hz() / f0);
      below |= off < -2.0 * half;
      within |= Math.abs(off) <= half;
      above |= off > 2.0 * half;
    }
    return below && within && above;
  }

  /** Sum of squares with a given resonance. */
  double squares(double f0, double quality, double gainDb) {
    place(f0, quality);
    return squares(gainDb);
  }

  private void place(double f0, double quality) {
    for (int i = 0; i < lobe.length; i++) {
      lobe[i] = response(points.get(i), f0, quality);
    }
  }

  /**
   * Least sum of squares at a frequency: the best of a grid of qualities and gains, then steps down
   * from there that are halved where none helps.
   *
   * @param f0 frequency [Hz]
   * @param at takes the quality and the gain [dB]
   * @return sum of squares
   */
  double leastSquares(double f0, double[] at) {
    double least = coarseSquares(f0, at);
    double scale = 1.0;
    for (int i = 0; i < MOST_STEPS && scale > FINEST_STEP; i++) {
      double before = least;
      for (double[] step : STEPS) {
        double quality = at[0] * Math.exp(scale * step[0]);
        double gainDb = at[1] + scale * step[1];
        double squares = gainDb > 0.0 && quality < 200.0 ? squares(f0, quality, gainDb) : least;
        if (squares < least) {
          least = squares;
          at[0] = quality;
          at[1] = gainDb;
        }
      }
      scale *= least < before ? 1.0 : 0.5;
    }
    return least;
  }

  /** The same from the grid of qualities and gains alone. */
  double coarseSquares(double f0, double[] at) {
    double least = Double.POSITIVE_INFINITY;
    for (double quality : QUALITIES) {
      place(f0, quality);
      for (double gainDb : GAINS_DB) {
        double squares = squares(gainDb);
        if (squares < least) {
          least = squares;
          at[0] = quality;
          at[1] = gainDb;
        }
      }
    }
    return least;
  }

  /** Mean response over the speeds of a step, by three points (Gauss–Hermite). */
  private static double response(Point point, double f0, double quality) {
    double away = Math.sqrt(3.0) * point.spread();
    return (response(point.hz() * Math.exp(-away), f0, quality)
            + 4.0 * response(point.hz(), f0, quality)
            + response(point.hz() * Math.exp(away), f0, quality))
        / 6.0;
  }

  static double response(double f, double f0, double quality) {
    double off = quality * (f0 / f - f / f0);
    return 1.0 / (1.0 + off * off);
  }

  private double squares(double gainDb) {
    double excess = Math.pow(10.0, 0.1 * gainDb) - 1.0;
    for (double[] sum : sums) {
      Arrays.fill(sum, 0.0);
      sum[2] = 1.0 / square(SLOPE_SCATTER);
      sum[4] = SLOPE * sum[2];
      sum[5] = SLOPE * sum[4];
    }
    for (int i = 0; i < lobe.length; i++) {
      Point point = points.get(i);
      double w = point.weight();
      double y = point.db() - 10.0 * Math.log10(1.0 + excess * lobe[i]);
      double[] sum = sums[point.owner()];
      sum[0] += w;
      sum[1] += w * point.x();
      sum[2] += w * point.x() * point.x();
      sum[3] += w * y;
      sum[4] += w * point.x() * y;
      sum[5] += w * y * y;
    }
    double squares = 0.0;
    for (double[] sum : sums) {
      double determinant = sum[0] * sum[2] - sum[1] * sum[1];
      double level = (sum[2] * sum[3] - sum[1] * sum[4]) / determinant;
      double slope = (sum[0] * sum[4] - sum[1] * sum[3]) / determinant;
      squares += sum[5] - level * sum[3] - slope * sum[4];
    }
    return squares;
  }

  /** Part of the levels that are independent, by how neighbours' residuals agree. */
  double worth(double f0, double quality, double gainDb) {
    squares(f0, quality, gainDb);
    double excess = Math.pow(10.0, 0.1 * gainDb) - 1.0;
    double together = 0.0;
    double alone = 0.0;
    double last = 0.0;
    for (int i = 0; i < lobe.length; i++) {
      Point point = points.get(i);
      double[] sum = sums[point.owner()];
      double determinant = sum[0] * sum[2] - sum[1] * sum[1];
      double level = (sum[2] * sum[3] - sum[1] * sum[4]) / determinant;
      double slope = (sum[0] * sum[4] - sum[1] * sum[3]) / determinant;
      double rest =
          (point.db() - 10.0 * Math.log10(1.0 + excess * lobe[i]) - level - slope * point.x())
              * Math.sqrt(point.weight());
      together += i > 0 && point.owner() == points.get(i - 1).owner() ? rest * last : 0.0;
      alone += rest * rest;
      last = rest;
    }
    double agreement = Math.max(0.0, Math.min(0.8, together / alone));
    return (1.0 - agreement) / (1.0 + agreement);
  }

  private static double square(double value) {
    return value * value;
  }

  private static double[] logarithmic(double from, double to, int count) {
    double[] values = new double[count];
    for (int i = 0; i < count; i++) {
      values[i] = from * Math.pow(to / from, i / (count - 1.0));
    }
    return values;
  }
}
