package org.whinograph.weighting;

import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.ConcurrentMap;
import org.whinograph.quantity.Decibels;

/**
 * Digital A and C weighting for a sample rate: the design that {@link WeightingFilter} runs.
 *
 * <p>The low poles f1, f2, f3 of IEC 61672-1:2013, Annex E, become e^(−2πf/fs), each with a zero at
 * z = 1, which rejects a constant offset exactly; the pole pair at f4 becomes a fitted section of 3
 * zeros and 2 poles. One section serves both weightings, A being C followed by the poles f2 and f3:
 * what e^(−2πf/fs) leaves of an error differs between A and C by 0.01 dB at most, and the section
 * is fitted to the middle. Both gains make the response at 1 kHz exactly 0 dB.
 *
 * <p>Error against the analogue weightings, 10 Hz to 20 kHz or 0.45 of the rate: at most 0.006 dB
 * from 32 kHz upwards (0.0035 dB at 48 kHz). Immutable; designed once a rate and kept.
 */
public final class WeightingDesign {
  /** Lowest sample rate [Hz]: below it too little is left of the audible range. */
  public static final double LOWEST_RATE_HZ = 32_000.0;

  /** Highest sample rate [Hz]: above it the poles at 20.6 Hz come too close to 1. */
  public static final double HIGHEST_RATE_HZ = 768_000.0;

  private static final ConcurrentMap<Double, WeightingDesign> KEPT = new ConcurrentHashMap<>();

  private final double sampleRateHz;
  private final HighFrequencySection section;
  private final double cGain;
  private final double aGain;

  private WeightingDesign(double sampleRateHz) {
    this.sampleRateHz = sampleRateHz;
    double a = wantedOfSection(FrequencyWeighting.A, FrequencyWeighting.REFERENCE_HZ);
    double c = wantedOfSection(FrequencyWeighting.C, FrequencyWeighting.REFERENCE_HZ);
    this.section =
        HighFrequencySection.fit(
            sampleRateHz,
            f ->
                Math.sqrt(
                    wantedOfSection(FrequencyWeighting.A, f)
                        / a
                        * (wantedOfSection(FrequencyWeighting.C, f) / c)));
    double reference = section.energyRatioAt(FrequencyWeighting.REFERENCE_HZ, sampleRateHz);
    double cEnergy = reference * lowPoles(FrequencyWeighting.C, FrequencyWeighting.REFERENCE_HZ);
    double aEnergy = reference * lowPoles(FrequencyWeighting.A, FrequencyWeighting.REFERENCE_HZ);
    this.cGain = 1.0 / Math.sqrt(cEnergy);
    this.aGain = Math.sqrt(cEnergy / aEnergy);
  }

  /**
   * The design for a sample rate.
   *
   * @param sampleRateHz frames a second [Hz], {@value #LOWEST_RATE_HZ} to {@value #HIGHEST_RATE_HZ}
   * @return the design
   * @throws IllegalArgumentException if the rate is outside the limits
   */
  public static WeightingDesign forRate(double sampleRateHz) {
    if (!(sampleRateHz >= LOWEST_RATE_HZ && sampleRateHz <= HIGHEST_RATE_HZ)) {
      throw new IllegalArgumentException(
          "sampleRateHz: "
              + LOWEST_RATE_HZ
              + " to "
              + HIGHEST_RATE_HZ
              + " Hz, got "
              + sampleRateHz);
    }
    return KEPT.computeIfAbsent(sampleRateHz, WeightingDesign::new);
  }

  /**
   * The sample rate of the design.
   *
   * @return frames a second [Hz]
   */
  public double sampleRateHz() {
    return sampleRateHz;
  }

  /**
   * Highest frequency up to which the design is held to its accuracy.
   *
   * @return 20 kHz or 0.45 of the rate, whichever is lower [Hz]
   */
  public double topHz() {
    return HighFrequencySection.topHz(sampleRateHz);
  }

  /**
   * Response of the digital filter at a frequency, 0 dB at 1 kHz.
   *
   * @param weighting which
   * @param frequencyHz frequency [Hz], above 0 and below half the sample rate
   * @return response [dB]
   * @throws IllegalArgumentException if the frequency is outside the limits
   */
  public double levelAt(FrequencyWeighting weighting, double frequencyHz) {
    if (!(frequencyHz > 0.0 && frequencyHz < sampleRateHz / 2.0)) {
      throw new IllegalArgumentException(
          "frequencyHz: above 0 and below " + sampleRateHz / 2.0 + " Hz, got " + frequencyHz);
    }
    double gain =
        switch (weighting) {
          case A -> cGain * cGain * aGain * aGain;
          case C -> cGain * cGain;
          case Z -> 1.0;
        };
    double high =
        weighting == FrequencyWeighting.Z ? 1.0 : section.energyRatioAt(frequencyHz, sampleRateHz);
    return Decibels.ofEnergyRatio(gain * high * lowPoles(weighting, frequencyHz));
  }

  /**
   * A digital pole.
   *
   * @param poleHz analogue pole [Hz]
   * @return e^(−2πf/fs) [1]
   */
  double pole(double poleHz) {
    return Math.exp(-2.0 * Math.PI * poleHz / sampleRateHz);
  }

  /**
   * The fitted section.
   *
   * @return the section
   */
  HighFrequencySection section() {
    return section;
  }

  /**
   * Gain of the C weighting.
   *
   * @return factor on the pressure [1]
   */
  double cGain() {
    return cGain;
  }

  /**
   * Gain of the step from C to A.
   *
   * @return factor on the pressure [1]
   */
  double aGain() {
    return aGain;
  }

  private double wantedOfSection(FrequencyWeighting weighting, double frequencyHz) {
    return weighting.energyRatioAt(frequencyHz) / lowPoles(weighting, frequencyHz);
  }

  /** Squared magnitude of the low poles with their zeros, without the gains. */
  private double lowPoles(FrequencyWeighting weighting, double frequencyHz) {
    double c = square(onePole(FrequencyWeighting.F1_HZ, frequencyHz));
    return switch (weighting) {
      case A ->
          c
              * onePole(FrequencyWeighting.F2_HZ, frequencyHz)
              * onePole(FrequencyWeighting.F3_HZ, frequencyHz);
      case C -> c;
      case Z -> 1.0;
    };
  }

  /** |1 − z⁻¹|²/|1 − p z⁻¹|², written so that nothing cancels near z = 1. */
  private double onePole(double poleHz, double frequencyHz) {
    double p = pole(poleHz);
    double distance = -Math.expm1(-2.0 * Math.PI * poleHz / sampleRateHz);
    double chord2 = 4.0 * square(Math.sin(Math.PI * frequencyHz / sampleRateHz));
    return chord2 / (distance * distance + p * chord2);
  }

  private static double square(double x) {
    return x * x;
  }
}
