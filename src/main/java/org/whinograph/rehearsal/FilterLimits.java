package org.whinograph.rehearsal;

import org.whinograph.quantity.Decibels;

/**
 * Between which gains a class 1 filter passes a tone: the limits of relative attenuation of IEC
 * 61260-1:2014, table 1 (from memory), straight over log frequency between its rows.
 *
 * <p>A band with ideal edges and a real filter disagree about a tone near an edge, both rightly. So
 * the truth of a band with tones is an interval.
 */
final class FilterLimits {
  /**
   * Greatest distance from midband that matters: the octave filter's last row, 4 octaves [bels].
   */
  static final double REACH = 1.2;

  private static final double OCTAVE_RATIO = 1.9952623149688795;
  private static final double[] EXPONENT = {0, 0.125, 0.25, 0.375, 0.5, 0.5, 1, 2, 3, 4};
  private static final double[] LEAST_DB = {-0.4, -0.4, -0.4, -0.4, -0.4, 1.6, 16.6, 40.5, 60, 70};
  private static final double[] MOST_DB = {0.4, 0.5, 0.7, 1.4, 5.3};
  private static final double STEP = 1e-4;

  private final double[] most;
  private final double[] least;

  /**
   * Limits of a filter.
   *
   * @param fraction 1 for octaves, 3 for one-third octaves
   */
  FilterLimits(int fraction) {
    double[] breakpoint = new double[EXPONENT.length];
    for (int i = 0; i < breakpoint.length; i++) {
      double wide = StrictMath.pow(OCTAVE_RATIO, EXPONENT[i]) - 1;
      double scale =
          (StrictMath.pow(OCTAVE_RATIO, 0.5 / fraction) - 1)
              / (StrictMath.pow(OCTAVE_RATIO, 0.5) - 1);
      breakpoint[i] = StrictMath.log10(1 + scale * wide);
    }
    int steps = (int) Math.round(REACH / STEP) + 1;
    most = new double[steps];
    least = new double[steps];
    for (int i = 0; i < steps; i++) {
      double distance = i * STEP;
      most[i] = Decibels.toEnergyRatio(-between(breakpoint, LEAST_DB, distance));
      least[i] =
          distance <= breakpoint[MOST_DB.length - 1] + 1e-9
              ? Decibels.toEnergyRatio(-between(breakpoint, MOST_DB, distance))
              : 0;
    }
  }

  private static double between(double[] breakpoint, double[] limit, double distance) {
    for (int i = 1; i < limit.length; i++) {
      if (distance <= breakpoint[i] && breakpoint[i] > breakpoint[i - 1]) {
        double share = (distance - breakpoint[i - 1]) / (breakpoint[i] - breakpoint[i - 1]);
        return limit[i - 1] + (limit[i] - limit[i - 1]) * share;
      }
    }
    return limit[limit.length - 1];
  }

  /** Greatest gain of power at a distance from midband, |lg(f/fm)|, within {@link #REACH}. */
  double most(double distance) {
    return most[index(distance)];
  }

  /** Least gain of power at a distance from midband, |lg(f/fm)|, within {@link #REACH}. */
  double least(double distance) {
    return least[index(distance)];
  }

  private int index(double distance) {
    return (int) Math.min(most.length - 1, Math.round(distance / STEP));
  }
}
