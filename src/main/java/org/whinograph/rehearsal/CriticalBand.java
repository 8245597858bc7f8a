package org.whinograph.rehearsal;

/**
 * Critical band around a tone and the bands beside it, as ECMA-418-1:2020 places them.
 *
 * <p>Computed here once more and not taken from the measuring code, so that the truth doesn't share
 * its faults. Coefficients from memory of the standard, checked for continuity at the seams.
 *
 * @param lowerHz lower edge f₁ [Hz]
 * @param upperHz upper edge f₂ [Hz]
 * @param belowHz lower edge of the band below, whose upper edge is f₁ [Hz]
 * @param aboveHz upper edge of the band above, whose lower edge is f₂ [Hz]
 */
record CriticalBand(double lowerHz, double upperHz, double belowHz, double aboveHz) {
  /** The bands around a tone. */
  static CriticalBand around(double frequencyHz) {
    double f = frequencyHz;
    double width = 25 + 75 * StrictMath.pow(1 + 1.4e-6 * f * f, 0.69);
    double lower = f <= 500 ? f - width / 2 : -width / 2 + Math.sqrt(width * width + 4 * f * f) / 2;
    double below;
    double above;
    if (f <= 171.4) {
      below = 20;
    } else if (f <= 1600) {
      below = -149.5 + 1.001 * f - 6.90e-5 * f * f;
    } else {
      below = 6.8 + 0.806 * f - 8.20e-6 * f * f;
    }
    if (f <= 1600) {
      above = 149.5 + 1.035 * f + 7.70e-5 * f * f;
    } else {
      above = 3.3 + 1.215 * f + 2.16e-5 * f * f;
    }
    return new CriticalBand(lower, lower + width, below, above);
  }

  /** Whether another tone in the band counts together with the one it is around (clause 11.5). */
  static boolean proximate(double frequencyHz, double otherHz) {
    if (frequencyHz >= 1000) {
      return true;
    }
    double distance =
        21
            * StrictMath.pow(
                10, 1.2 * StrictMath.pow(Math.abs(StrictMath.log10(frequencyHz / 212)), 1.8));
    return Math.abs(otherHz - frequencyHz) < distance;
  }

  boolean contains(double frequencyHz) {
    return frequencyHz >= lowerHz && frequencyHz <= upperHz;
  }
}
