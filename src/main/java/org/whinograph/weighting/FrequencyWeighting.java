package org.whinograph.weighting;

import org.whinograph.quantity.Decibels;

/**
 * Frequency weightings A, C and Z (IEC 61672-1:2013, 5.5), as the analogue response that the
 * standard defines.
 *
 * <p>The poles are derived as Annex E derives them, from the frequencies where the weightings are
 * specified to be 3 dB down, so that no rounded decimal stands between the definition and the
 * result. All methods are pure.
 */
public enum FrequencyWeighting {
  /** A weighting: poles at f1 (double), f2, f3 and f4 (double), four zeros at 0 Hz. */
  A,
  /** C weighting: poles at f1 (double) and f4 (double), two zeros at 0 Hz. */
  C,
  /** Z weighting: flat. */
  Z;

  /** Frequency at which every weighting is 0 dB [Hz] (IEC 61672-1:2013, 5.5 and Annex E). */
  public static final double REFERENCE_HZ = 1000.0;

  /** Double pole of A and C at low frequencies, f1 [Hz] (Annex E, formula for f1). */
  static final double F1_HZ;

  /** Pole of A, f2 = (3 − √5)/2 · fA [Hz] (Annex E). */
  static final double F2_HZ;

  /** Pole of A, f3 = (3 + √5)/2 · fA [Hz] (Annex E). */
  static final double F3_HZ;

  /** Double pole of A and C at high frequencies, f4 [Hz] (Annex E, formula for f4). */
  static final double F4_HZ;

  static {
    // Annex E: C is 3 dB down (D² = 1/2) at fL = 10^1.5 Hz and fH = 10^3.9 Hz re fr = 1 kHz, so f1²
    // and f4² are the roots −x of x² + b x + c; A adds a pair that is 3 dB down at fA = 10^2.45 Hz.
    double reference2 = REFERENCE_HZ * REFERENCE_HZ;
    double low2 = Math.pow(10.0, 3.0);
    double high2 = Math.pow(10.0, 7.8);
    double d = Math.sqrt(0.5);
    double c = low2 * high2;
    double b = (reference2 + c / reference2 - d * (low2 + high2)) / (1.0 - d);
    double root = Math.sqrt(b * b - 4.0 * c);
    // b is negative. The smaller root through the product c: −b − root would cancel 6 digits.
    double f4Squared = (-b + root) / 2.0;
    F4_HZ = Math.sqrt(f4Squared);
    F1_HZ = Math.sqrt(c / f4Squared);
    double pair = Math.pow(10.0, 2.45);
    F2_HZ = (3.0 - Math.sqrt(5.0)) / 2.0 * pair;
    F3_HZ = (3.0 + Math.sqrt(5.0)) / 2.0 * pair;
  }

  /**
   * Relative response level, 0 dB at 1 kHz (IEC 61672-1:2013, 5.5, formulas for C(f) and A(f)).
   *
   * @param frequencyHz frequency [Hz], above 0 and finite
   * @return response [dB]
   * @throws IllegalArgumentException if the frequency is outside the limits
   */
  public double levelAt(double frequencyHz) {
    return Decibels.ofEnergyRatio(energyRatioAt(frequencyHz));
  }

  /**
   * Relative response as a ratio of squared sound pressures, 1 at 1 kHz: what a band's or a line's
   * energy is multiplied by.
   *
   * @param frequencyHz frequency [Hz], above 0 and finite
   * @return squared magnitude of the response [1]
   * @throws IllegalArgumentException if the frequency is outside the limits
   */
  public double energyRatioAt(double frequencyHz) {
    if (!(frequencyHz > 0.0) || Double.isInfinite(frequencyHz)) {
      throw new IllegalArgumentException(
          "frequencyHz: above 0 and finite [Hz], got " + frequencyHz);
    }
    return unnormalised(frequencyHz) / unnormalised(REFERENCE_HZ);
  }

  private double unnormalised(double frequencyHz) {
    double f2 = frequencyHz * frequencyHz;
    return switch (this) {
      case A ->
          highPass(f2, F1_HZ)
              * highPass(f2, F1_HZ)
              * highPass(f2, F2_HZ)
              * highPass(f2, F3_HZ)
              * lowPass(f2, F4_HZ)
              * lowPass(f2, F4_HZ);
      case C -> highPass(f2, F1_HZ) * highPass(f2, F1_HZ) * lowPass(f2, F4_HZ) * lowPass(f2, F4_HZ);
      case Z -> 1.0;
    };
  }

  private static double highPass(double f2, double poleHz) {
    return f2 / (f2 + poleHz * poleHz);
  }

  private static double lowPass(double f2, double poleHz) {
    return poleHz * poleHz / (f2 + poleHz * poleHz);
  }
}
