package org.whinograph.tone;

/**
 * Critical bands and limits of ECMA-418-1:2022 (the same as ECMA-74 and ISO 7779:2018, Annex D):
 * clause 11 the tone-to-noise ratio, clause 12 the prominence ratio.
 *
 * <p>All methods are pure and safe for use by several threads.
 */
public final class CriticalBands {
  /** Lowest frequency with a verdict: lower edge of the one-third octave at 100 Hz [Hz]. */
  public static final double LOWEST_HZ = 89.1;

  /** Highest frequency with a verdict: upper edge of the one-third octave at 10 kHz [Hz]. */
  public static final double HIGHEST_HZ = 11_220.0;

  /** Widest tone band, as a part of the critical bandwidth (ECMA-418-1, clause 11) [1]. */
  public static final double WIDEST_TONE_BAND = 0.15;

  private static final double ARITHMETIC_UP_TO_HZ = 500.0;
  private static final double LOW_RULE_UP_TO_HZ = 171.4;
  private static final double MIDDLE_RULE_UP_TO_HZ = 1600.0;
  private static final double LIMITS_BEND_AT_HZ = 1000.0;

  private CriticalBands() {}

  /**
   * Width of the critical band: 25 + 75 [1 + 1.4 (f/1000)²]^0.69 (ECMA-418-1, clause 10).
   *
   * @param frequencyHz middle frequency [Hz], at least 0
   * @return width [Hz]
   */
  public static double widthHz(double frequencyHz) {
    double kilohertz = frequencyHz / 1000.0;
    return 25.0 + 75.0 * Math.pow(1.0 + 1.4 * kilohertz * kilohertz, 0.69);
  }

  /**
   * Lower edge of the critical band about a tone: f − Δf/2 up to 500 Hz, above so that the edges'
   * geometric mean is f (ECMA-418-1, clause 10).
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return lower edge [Hz]; negative below 50.1 Hz, where the band is cut off
   */
  public static double lowerEdgeHz(double frequencyHz) {
    double width = widthHz(frequencyHz);
    if (frequencyHz <= ARITHMETIC_UP_TO_HZ) {
      return frequencyHz - 0.5 * width;
    }
    return 0.5 * (Math.sqrt(width * width + 4.0 * frequencyHz * frequencyHz) - width);
  }

  /**
   * Upper edge of the critical band about a tone: lower edge + Δf.
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return upper edge [Hz]
   */
  public static double upperEdgeHz(double frequencyHz) {
    return lowerEdgeHz(frequencyHz) + widthHz(frequencyHz);
  }

  /**
   * Lower edge of the critical band below the one about the tone (ECMA-418-1, clause 12, table of
   * C0, C1, C2).
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return lower edge of the lower band [Hz]; its upper edge is {@link #lowerEdgeHz}
   */
  public static double lowerBandLowerEdgeHz(double frequencyHz) {
    if (frequencyHz <= LOW_RULE_UP_TO_HZ) {
      return 20.0;
    }
    if (frequencyHz <= MIDDLE_RULE_UP_TO_HZ) {
      return polynomial(frequencyHz, -149.5, 1.001, -6.90e-5);
    }
    return polynomial(frequencyHz, 6.8, 0.806, -8.20e-6);
  }

  /**
   * Upper edge of the critical band above the one about the tone (ECMA-418-1, clause 12, table of
   * C0, C1, C2).
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return upper edge of the upper band [Hz]; its lower edge is {@link #upperEdgeHz}
   */
  public static double upperBandUpperEdgeHz(double frequencyHz) {
    if (frequencyHz <= MIDDLE_RULE_UP_TO_HZ) {
      return polynomial(frequencyHz, 149.5, 1.035, 7.70e-5);
    }
    return polynomial(frequencyHz, 3.3, 1.215, 2.16e-5);
  }

  /**
   * Whether the lower band of the prominence ratio is cut off at 20 Hz, so that its energy counts
   * as if it were 100 Hz wide (ECMA-418-1, clause 12: up to 171.4 Hz).
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return true up to 171.4 Hz
   */
  public static boolean lowerBandCutOff(double frequencyHz) {
    return frequencyHz <= LOW_RULE_UP_TO_HZ;
  }

  /**
   * Whether the ear takes two tones in one critical band for one (ECMA-418-1, clause 11): below
   * 1000 Hz if they lie closer than 21 · 10^(1.2 |lg(f/212)|^1.8) Hz, from 1000 Hz on always.
   *
   * @param primaryHz frequency of the stronger tone [Hz]
   * @param secondaryHz frequency of the weaker one, within the critical band of the stronger [Hz]
   * @return true if their energies add
   */
  public static boolean proximate(double primaryHz, double secondaryHz) {
    return primaryHz >= LIMITS_BEND_AT_HZ
        || Math.abs(secondaryHz - primaryHz) < proximitySpacingHz(primaryHz);
  }

  /**
   * Spacing below which two tones below 1000 Hz count as one: 21 · 10^(1.2 |lg(f/212)|^1.8)
   * (ECMA-418-1, clause 11).
   *
   * @param primaryHz frequency of the stronger tone [Hz], above 0 and below 1000
   * @return spacing [Hz]
   */
  public static double proximitySpacingHz(double primaryHz) {
    double distance = Math.abs(Math.log10(primaryHz / 212.0));
    return 21.0 * Math.pow(10.0, 1.2 * Math.pow(distance, 1.8));
  }

  /**
   * Whether the standard gives a verdict at a frequency.
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return true from 89.1 Hz to 11 220 Hz
   */
  public static boolean hasVerdict(double frequencyHz) {
    return frequencyHz >= LOWEST_HZ && frequencyHz <= HIGHEST_HZ;
  }

  /**
   * Tone-to-noise ratio from which on a tone is prominent: 8.0 dB, below 1000 Hz more by 8.33
   * lg(1000/f) (ECMA-418-1, clause 11.6).
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return limit [dB]
   */
  public static double toneToNoiseLimitDb(double frequencyHz) {
    return 8.0 + 8.33 * Math.max(0.0, Math.log10(LIMITS_BEND_AT_HZ / frequencyHz));
  }

  /**
   * Prominence ratio from which on a tone is prominent: 9.0 dB, below 1000 Hz more by 10.0
   * lg(1000/f) (ECMA-418-1, clause 12.7).
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return limit [dB]
   */
  public static double prominenceLimitDb(double frequencyHz) {
    return 9.0 + 10.0 * Math.max(0.0, Math.log10(LIMITS_BEND_AT_HZ / frequencyHz));
  }

  private static double polynomial(double f, double c0, double c1, double c2) {
    return c0 + f * (c1 + f * c2);
  }
}
