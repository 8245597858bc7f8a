package org.whinograph.speed;

import java.util.Arrays;
import org.apache.commons.math3.util.ArithmeticUtils;

/**
 * Weighs whether lines that stand perfectly still are a fan or the overtones of one electronic
 * oscillation: a buzzer, a dimmed lamp, a coil that whines with every frame of a picture.
 *
 * <p>Whatever repeats itself has lines at all whole multiples of one frequency, or at all odd ones
 * if its second half is the first one upside down (Fourier series). Their levels change little by
 * little. A fan has gaps, since few orders of its shaft are heard; and where uneven blades leave
 * none, its blade-pass lines stand out of the others.
 *
 * <p>All weights are a judgement.
 */
final class Overtones {
  /** How probable an order of an even fan's shaft is: the first two, beside blade-pass, others. */
  private static final double LOW_THERE = 0.35;

  private static final double SIDEBAND_THERE = 0.15;
  private static final double OTHER_THERE = 0.05;
  private static final double BLADE_PASS_THERE = 0.7;

  /** An overtone is missing at least so often [1]. */
  private static final double LEAST_MISSING = 0.05;

  /** How far an overtone's level is from that of those beside it: standard deviation [dB]. */
  private static final double OVERTONE_SPREAD_DB = 5.0;

  /** How far a blade-pass line stands out of the orders beside it: mean, deviation [dB]. */
  private static final double STANDS_OUT_DB = 10.0;

  private static final double STANDS_OUT_SPREAD_DB = 7.0;

  /** What one blade-pass line may say by that [nat], and how many are looked at. */
  private static final double MOST_A_LINE = 3.0;

  private static final int BLADE_PASS_LINES = 3;

  /** Orders to either side of blade-pass that it is compared with. */
  private static final int BESIDE = 2;

  /** How probable it is that blades are so uneven that all orders are heard. */
  private static final double UNEVEN = 0.15;

  /** What all lines together may say [nat]. */
  private static final double MOST = 5.0;

  /** Fewer lines of one series are anything. */
  private static final int FEWEST = 4;

  private final StackedLines stacked;
  private final double leastDb;

  /**
   * Prepares.
   *
   * @param stacked lines of a comb that stands still
   */
  Overtones(StackedLines stacked) {
    this.stacked = stacked;
    this.leastDb = stacked.leastDb();
  }

  /**
   * Evidence for a fan against the overtones of one oscillation [nat].
   *
   * @param q which order of the shaft the comb's spacing is
   * @param blades number of blades
   */
  double weigh(int q, int blades) {
    double[] levels = levels(q);
    int unit = 0;
    int count = 0;
    for (int k = 1; k < levels.length; k++) {
      unit = Double.isNaN(levels[k]) ? unit : ArithmeticUtils.gcd(unit, k);
      count += Double.isNaN(levels[k]) ? 0 : 1;
    }
    if (count < FEWEST || unit % blades == 0) {
      return 0.0;
    }
    Series series = new Series(levels, unit, blades / ArithmeticUtils.gcd(blades, unit));
    double even = Math.log(1.0 - UNEVEN) + series.gaps();
    double uneven = Math.log(UNEVEN * ShaftOrders.bladePrior(blades));
    double top = Math.max(even, uneven);
    double fan = top + Math.log(Math.exp(even - top) + Math.exp(uneven - top));
    return Math.max(-MOST, Math.min(MOST, fan + series.bladePassStandsOut()));
  }

  /** Level of the strongest line on each order of the shaft [dB], NaN without one. */
  private double[] levels(int q) {
    double[] levels = new double[stacked.lastOrder(q) + 1];
    Arrays.fill(levels, Double.NaN);
    for (StackedLines.Line line : stacked.lines()) {
      int k = stacked.order(line, q);
      if (k > 0 && !(levels[k] > line.levelDb())) {
        levels[k] = line.levelDb();
      }
    }
    return levels;
  }

  /** The lines by their multiple of one frequency; only the odd ones if no other is there. */
  private final class Series {
    private final double[] levels;
    private final int blades;
    private final int step;
    private final int first;

    Series(double[] orders, int unit, int blades) {
      this.blades = blades;
      this.levels = new double[(orders.length - 1) / unit + 1];
      boolean odd = true;
      int lowest = 0;
      for (int k = levels.length - 1; k >= 1; k--) {
        levels[k] = orders[k * unit];
        odd &= k % 2 == 1 || Double.isNaN(levels[k]);
        lowest = Double.isNaN(levels[k]) ? lowest : k;
      }
      this.first = lowest;
      this.step = odd ? 2 : 1;
    }

    /** What is there and what is missing says for a fan whose blades are even [nat]. */
    double gaps() {
      double nats = 0.0;
      for (int k = first; k < levels.length; k += step) {
        double fan = there(k);
        double missing = missing(k);
        boolean isThere = !Double.isNaN(levels[k]);
        nats += isThere ? Math.log(fan / (1.0 - missing)) : Math.log((1.0 - fan) / missing);
      }
      return nats;
    }

    private double there(int k) {
      int beside = Math.min(k % blades, blades - k % blades);
      if (beside == 0) {
        return BLADE_PASS_THERE;
      }
      return k <= 2 ? LOW_THERE : beside == 1 ? SIDEBAND_THERE : OTHER_THERE;
    }

    /** How probable it is that an overtone is lost in the noise, by those beside it [1]. */
    private double missing(int k) {
      double below = nearest(k, -step);
      double above = nearest(k, step);
      double expected =
          Double.isNaN(below) ? above : Double.isNaN(above) ? below : mean(below, above);
      double over = (expected - leastDb) / OVERTONE_SPREAD_DB;
      double missing = 1.0 / (1.0 + Math.exp(1.7 * over));
      return Math.max(LEAST_MISSING, Math.min(1.0 - LEAST_MISSING, missing));
    }

    private double nearest(int k, int direction) {
      for (int i = k + direction; i >= first && i < levels.length; i += direction) {
        if (!Double.isNaN(levels[i])) {
          return levels[i];
        }
      }
      return Double.NaN;
    }

    private static double mean(double a, double b) {
      return 0.5 * (a + b);
    }

    /** What the levels of blade-pass lines beside those of other orders say [nat]. */
    double bladePassStandsOut() {
      double nats = 0.0;
      for (int m = 1; m <= BLADE_PASS_LINES && m * blades < levels.length; m++) {
        double own = levels[m * blades];
        double sum = 0.0;
        int count = 0;
        for (int d = -BESIDE; d <= BESIDE; d++) {
          int k = m * blades + d * step;
          boolean other = k >= 1 && k < levels.length && k % blades != 0;
          if (other && !Double.isNaN(levels[k])) {
            sum += levels[k];
            count++;
          }
        }
        if (count > 0) {
          double by = (Double.isNaN(own) ? leastDb : own) - sum / count;
          double fan = (by - STANDS_OUT_DB) / STANDS_OUT_SPREAD_DB;
          double overtone = by / OVERTONE_SPREAD_DB;
          double line =
              0.5 * (overtone * overtone - fan * fan)
                  + Math.log(OVERTONE_SPREAD_DB / STANDS_OUT_SPREAD_DB);
          nats += Math.max(-MOST_A_LINE, Math.min(MOST_A_LINE, line));
        }
      }
      return nats;
    }
  }
}
