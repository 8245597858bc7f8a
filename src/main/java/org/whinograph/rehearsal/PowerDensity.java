package org.whinograph.rehearsal;

import java.util.function.DoubleUnaryOperator;

/**
 * A one-sided power density on an even grid, and its integrals over bands: trapezoids, with the
 * cells at the edges in part. Immutable.
 */
final class PowerDensity {
  private final double[] density;
  private final double[] cumulative;
  private final double spacingHz;

  /**
   * Takes a density.
   *
   * @param density density [(20 µPa)²/Hz, line k at k · spacingHz]
   * @param spacingHz spacing [Hz]
   */
  PowerDensity(double[] density, double spacingHz) {
    this.density = density.clone();
    this.spacingHz = spacingHz;
    cumulative = new double[density.length];
    for (int k = 1; k < density.length; k++) {
      cumulative[k] = cumulative[k - 1] + 0.5 * (density[k - 1] + density[k]) * spacingHz;
    }
  }

  /** The sum of this and a multiple of another density on the same grid. */
  PowerDensity plus(PowerDensity other, double factor) {
    double[] sum = density.clone();
    for (int k = 0; k < sum.length; k++) {
      sum[k] += factor * other.density[k];
    }
    return new PowerDensity(sum, spacingHz);
  }

  /** This density times a weight over frequency. */
  PowerDensity times(DoubleUnaryOperator weight) {
    double[] product = density.clone();
    for (int k = 0; k < product.length; k++) {
      product[k] *= weight.applyAsDouble(k * spacingHz);
    }
    return new PowerDensity(product, spacingHz);
  }

  /** Density at a frequency [(20 µPa)²/Hz]. */
  double at(double frequencyHz) {
    int k = cell(frequencyHz);
    double share = frequencyHz / spacingHz - k;
    return density[k] + (density[k + 1] - density[k]) * share;
  }

  /** Power between two frequencies, cut at the ends of the grid [(20 µPa)²]. */
  double between(double fromHz, double toHz) {
    return below(toHz) - below(fromHz);
  }

  /** All power [(20 µPa)²]. */
  double total() {
    return cumulative[cumulative.length - 1];
  }

  private double below(double frequencyHz) {
    int k = cell(frequencyHz);
    double x = Math.max(0, Math.min(1, frequencyHz / spacingHz - k)) * spacingHz;
    return cumulative[k] + density[k] * x + (density[k + 1] - density[k]) * x * x / (2 * spacingHz);
  }

  private int cell(double frequencyHz) {
    return (int) Math.max(0, Math.min(density.length - 2, Math.floor(frequencyHz / spacingHz)));
  }
}
