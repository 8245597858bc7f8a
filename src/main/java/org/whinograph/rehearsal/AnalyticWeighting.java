package org.whinograph.rehearsal;

/**
 * Frequency weightings A and C by the formulas of IEC 61672-1:2013, Annex E, as gains of power. The
 * measuring code filters; the truth multiplies.
 */
final class AnalyticWeighting {
  private static final double F1 = 20.598997;
  private static final double F2 = 107.65265;
  private static final double F3 = 737.86223;
  private static final double F4 = 12194.217;
  private static final double A_AT_1KHZ = a(1000, 1);
  private static final double C_AT_1KHZ = c(1000, 1);

  private AnalyticWeighting() {}

  /** A-weighting at a frequency as a gain of power [1]. */
  static double a(double frequencyHz) {
    return a(frequencyHz, A_AT_1KHZ);
  }

  /** C-weighting at a frequency as a gain of power [1]. */
  static double c(double frequencyHz) {
    return c(frequencyHz, C_AT_1KHZ);
  }

  private static double a(double frequencyHz, double reference) {
    double f2 = frequencyHz * frequencyHz;
    return c(frequencyHz, 1) * f2 * f2 / ((f2 + F2 * F2) * (f2 + F3 * F3)) / reference;
  }

  private static double c(double frequencyHz, double reference) {
    double f2 = frequencyHz * frequencyHz;
    double amplitude = F4 * F4 * f2 / ((f2 + F1 * F1) * (f2 + F4 * F4));
    return amplitude * amplitude / reference;
  }
}
