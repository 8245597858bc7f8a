package org.whinograph.quantity;

/**
 * Decibel arithmetic (ISO 80000-8:2020, items 8-14 to 8-16: a level is 10 lg of a ratio of squared
 * field quantities).
 *
 * <p>All methods are pure and safe for use by several threads. NaN in gives NaN out; a ratio of 0
 * gives negative infinity.
 */
public final class Decibels {
  private Decibels() {}

  /**
   * Level of a ratio of powers, energies or mean squares.
   *
   * @param ratio ratio [1], at least 0
   * @return 10 lg(ratio) [dB]
   */
  public static double ofEnergyRatio(double ratio) {
    return 10.0 * Math.log10(ratio);
  }

  /**
   * Level of a ratio of amplitudes or sound pressures.
   *
   * @param ratio ratio [1], at least 0
   * @return 20 lg(ratio) [dB]
   */
  public static double ofAmplitudeRatio(double ratio) {
    return 20.0 * Math.log10(ratio);
  }

  /**
   * Ratio of powers that a level stands for.
   *
   * @param level level difference [dB]
   * @return 10^(level/10) [1]
   */
  public static double toEnergyRatio(double level) {
    return Math.pow(10.0, level / 10.0);
  }

  /**
   * Ratio of amplitudes that a level stands for.
   *
   * @param level level difference [dB]
   * @return 10^(level/20) [1]
   */
  public static double toAmplitudeRatio(double level) {
    return Math.pow(10.0, level / 20.0);
  }

  /**
   * Level of incoherent sources together: 10 lg Σ 10^(Li/10).
   *
   * @param levels levels [dB, any length]; none gives negative infinity
   * @return energy sum [dB]
   */
  public static double sum(double... levels) {
    double energy = 0.0;
    for (double level : levels) {
      energy += toEnergyRatio(level);
    }
    return ofEnergyRatio(energy);
  }

  /**
   * Energy mean: 10 lg[(1/n) Σ 10^(Li/10)].
   *
   * @param levels levels [dB, length at least 1]
   * @return energy mean [dB]
   * @throws IllegalArgumentException if there is no level
   */
  public static double mean(double... levels) {
    if (levels.length == 0) {
      throw new IllegalArgumentException("levels: an energy mean needs at least 1 level, got 0");
    }
    return sum(levels) - ofEnergyRatio(levels.length);
  }
}
