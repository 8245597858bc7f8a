package org.whinograph.band;

/**
 * Magnitude of the filter with zeros (1 − z⁻¹)³ (1 + z⁻¹) and three pairs of poles, the arithmetic
 * that design and bandwidth share. Poles come as the denominators' numbers: 1 + a1 z⁻¹ + a2 z⁻² of
 * each section [a1, a2, a1, a2, a1, a2]; frequency as c = cos(2π f/rate).
 */
final class PolePairs {
  /** How many numbers describe the poles. */
  static final int NUMBERS = 6;

  /** 10/ln 10: a natural logarithm of powers times this is decibels. */
  static final double DECIBEL = 10.0 / Math.log(10.0);

  private PolePairs() {}

  /** |H|² [1]; |1 − z⁻¹|² = 2(1 − c), |1 + z⁻¹|² = 2(1 + c). */
  static double power(double[] a, double c) {
    double d = 1.0 - c;
    return 16.0 * d * d * d * (1.0 + c) / poleProduct(a, c);
  }

  /** −10 lg |H|² [dB]. */
  static double attenuation(double[] a, double c) {
    return -DECIBEL * Math.log(power(a, c));
  }

  /** |1 + a1 z⁻¹ + a2 z⁻²|², with c2 = cos(4π f/rate). */
  static double sectionPower(double a1, double a2, double c, double c2) {
    return 1.0 + a1 * a1 + a2 * a2 + 2.0 * a1 * (1.0 + a2) * c + 2.0 * a2 * c2;
  }

  /** Whether all poles lie inside the unit circle. */
  static boolean stable(double[] a) {
    for (int i = 0; i < NUMBERS; i += 2) {
      if (!(Math.abs(a[i + 1]) < 1.0 && Math.abs(a[i]) < 1.0 + a[i + 1])) {
        return false;
      }
    }
    return true;
  }

  private static double poleProduct(double[] a, double c) {
    double c2 = 2.0 * c * c - 1.0;
    double product = 1.0;
    for (int i = 0; i < NUMBERS; i += 2) {
      product *= sectionPower(a[i], a[i + 1], c, c2);
    }
    return product;
  }
}
