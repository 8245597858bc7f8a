package org.whinograph.speed.order;

import java.util.List;

/**
 * The frequency of a resonance with its 95 % interval, from the levels of the orders that cross it.
 *
 * <p>The interval holds all frequencies whose least sum of squares over the other numbers of the
 * {@link ResonanceModel} exceeds the least of all by no more than t² of its mean: the profile of
 * the likelihood. Residuals that run together count for fewer. It covers what the levels scatter
 * and how the speeds are spread, not a sound that has more than one mode there.
 *
 * @param frequencyHz frequency [Hz]
 * @param lowHz lower end of its 95 % interval [Hz]
 * @param highHz upper end [Hz]
 * @param quality quality, the frequency over the width at half of the power that it adds [1]
 * @param gainDb gain at the frequency [dB]
 */
record ResonanceFit(
    double frequencyHz, double lowHz, double highHz, double quality, double gainDb) {
  private static final int FEWEST_FREE = 3;
  private static final double SEARCH = 0.2;
  private static final double COARSE = 0.01;
  private static final int FINE_STEPS = 60;
  private static final int MEAN_STEPS = 4;

  /** A fit that ends farther from where the orders peak is of something else. */
  private static final double MOST_SHIFT = 0.1;

  /** Squared deviations that refute half of the gain: about 2 σ. */
  private static final double REFUTED = 4.0;

  /**
   * Fits.
   *
   * @param levels levels of the orders by speed
   * @param orders orders that cross it
   * @param nearHz about where it lies [Hz]
   * @param steady lines that stay, whatever the speed
   * @return the fit, or null if there are too few levels for one
   */
  static ResonanceFit of(
      List<SpeedLevels> levels, List<Integer> orders, double nearHz, SteadyLines steady) {
    return fit(new ResonanceModel(levels, orders, nearHz, steady), nearHz);
  }

  /**
   * Whether an order passes without growing louder: its levels refute half of the gain.
   *
   * @param levels levels of the orders by speed
   * @param order order
   * @param steady lines that stay, whatever the speed
   * @return false if the levels don't say
   */
  boolean passesWithoutPeak(List<SpeedLevels> levels, int order, SteadyLines steady) {
    ResonanceModel model = new ResonanceModel(levels, List.of(order), frequencyHz, steady);
    if (!model.crosses(frequencyHz, quality)) {
      return false;
    }
    double without = model.squares(frequencyHz, quality, 0.0);
    double with = model.squares(frequencyHz, quality, 0.5 * gainDb);
    return with - without > REFUTED * Math.max(1.0, without / model.points());
  }

  /**
   * Whether an order is lifted by it on its flank: its levels refute that it isn't.
   *
   * @param levels levels of the orders by speed
   * @param order order
   * @param steady lines that stay, whatever the speed
   * @return false if the levels don't say
   */
  boolean lifts(List<SpeedLevels> levels, int order, SteadyLines steady) {
    ResonanceModel model = new ResonanceModel(levels, List.of(order), frequencyHz, steady);
    if (model.points() == 0) {
      return false;
    }
    double with = model.squares(frequencyHz, quality, gainDb);
    double without = model.squares(frequencyHz, quality, 0.0);
    return without - with > REFUTED * Math.max(1.0, with / model.points());
  }

  /**
   * Mean gain over a range of frequencies.
   *
   * @param middleHz middle of the range [Hz]
   * @param halfWidth half of its width, as a logarithm [1]
   * @return gain [dB]
   */
  double gainDb(double middleHz, double halfWidth) {
    double excess = Math.pow(10.0, 0.1 * gainDb) - 1.0;
    double sum = 0.0;
    for (int i = -MEAN_STEPS; i <= MEAN_STEPS; i++) {
      double f = middleHz * Math.exp(i * halfWidth / MEAN_STEPS);
      sum += 1.0 + excess * ResonanceModel.response(f, frequencyHz, quality);
    }
    return 10.0 * Math.log10(sum / (2.0 * MEAN_STEPS + 1.0));
  }

  private static ResonanceFit fit(ResonanceModel model, double nearHz) {
    if (model.free() < FEWEST_FREE) {
      return null;
    }
    double[] grid = new double[(int) Math.rint(2.0 * SEARCH / COARSE) + 1];
    for (int i = 0; i < grid.length; i++) {
      grid[i] = nearHz * Math.exp(-SEARCH + i * COARSE);
    }
    double[] interval = scan(model, grid);
    double margin = 0.5 * (interval[2] - interval[1]) + COARSE * nearHz;
    double from = interval[1] - margin;
    double step = (interval[2] - interval[1] + 2.0 * margin) / FINE_STEPS;
    double[] fine = new double[FINE_STEPS + 1];
    for (int i = 0; i < fine.length; i++) {
      fine[i] = from + i * step;
    }
    double[] found = scan(model, fine);
    if (Math.abs(Math.log(found[0] / nearHz)) > MOST_SHIFT) {
      return null;
    }
    // The frequency itself isn't known better than half a step of the search.
    double low = Math.min(found[1], found[0] - 0.5 * step);
    double high = Math.max(found[2], found[0] + 0.5 * step);
    return new ResonanceFit(found[0], low, high, found[3], found[4]);
  }

  /** Best frequency of a grid, with the ends of its interval. */
  private static double[] scan(ResonanceModel model, double[] grid) {
    double[] least = new double[grid.length];
    int best = 0;
    double[] at = new double[2];
    for (int i = 0; i < grid.length; i++) {
      least[i] = model.leastSquares(grid[i], at);
      best = least[i] < least[best] ? i : best;
    }
    model.leastSquares(grid[best], at);
    double worth = model.worth(grid[best], at[0], at[1]);
    double effective = Math.max(2.0, model.free() * worth);
    double allowed = least[best] * (1.0 + Math.pow(student(effective), 2) / effective);
    int low = best;
    while (low > 0 && least[low] <= allowed) {
      low--;
    }
    int high = best;
    while (high < grid.length - 1 && least[high] <= allowed) {
      high++;
    }
    return new double[] {
      top(grid, least, best),
      crossing(grid, least, low, low + 1, allowed),
      crossing(grid, least, high, high - 1, allowed),
      at[0],
      at[1]
    };
  }

  private static double crossing(double[] grid, double[] least, int out, int in, double allowed) {
    if (out < 0 || in < 0 || in >= grid.length || least[out] <= allowed) {
      return grid[out];
    }
    double part = (allowed - least[in]) / (least[out] - least[in]);
    return grid[in] + part * (grid[out] - grid[in]);
  }

  private static double top(double[] grid, double[] least, int best) {
    if (best == 0 || best == grid.length - 1) {
      return grid[best];
    }
    double a = least[best - 1] - least[best];
    double b = least[best + 1] - least[best];
    double shift = a + b > 0.0 ? 0.5 * (a - b) / (a + b) : 0.0;
    return grid[best] + shift * 0.5 * (grid[best + 1] - grid[best - 1]);
  }

  /** Student's t at 97.5 %, by its expansion in 1/ν (Abramowitz and Stegun 26.7.5). */
  private static double student(double free) {
    double z = 1.959964;
    double z3 = z * z * z;
    double z5 = z3 * z * z;
    return z + (z3 + z) / (4.0 * free) + (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * free * free);
  }
}
