package org.whinograph.tone;

import org.whinograph.quantity.Reading;

/**
 * One discrete tone of a recording.
 *
 * @param frequencyHz frequency [Hz]
 * @param frequencyUncertaintyHz standard uncertainty of the frequency, without that of the sample
 *     clock [Hz]
 * @param level level of the tone alone, without the noise under it [dB in the unit of the chain]
 * @param toneToNoise tone-to-noise ratio (ECMA-418-1, clause 11) [dB]
 * @param toneToNoiseLimit the ratio from which on it is prominent [dB]; unknown outside 89.1 Hz to
 *     11 220 Hz
 * @param prominence prominence ratio (ECMA-418-1, clause 12) [dB]; unknown below 89.1 Hz, and where
 *     the limit is met only through a stronger tone in the same critical band
 * @param prominenceLimit the ratio from which on it is prominent [dB]; unknown outside 89.1 Hz to
 *     11 220 Hz
 * @param prominent whether either limit is met and the tone isn't below the threshold of hearing;
 *     null outside 89.1 Hz to 11 220 Hz, where there is no verdict
 * @param audible whether the tone lies above the threshold of hearing (ISO 389-7, free field); null
 *     if that can't be known, as without calibration
 * @param tonalAudibility tonal audibility ΔL after ISO/TS 20065 [dB]
 * @param harmonic place in its harmonic series, or null if it belongs to none
 */
public record Tone(
    double frequencyHz,
    double frequencyUncertaintyHz,
    Reading level,
    Reading toneToNoise,
    Reading toneToNoiseLimit,
    Reading prominence,
    Reading prominenceLimit,
    Boolean prominent,
    Boolean audible,
    Reading tonalAudibility,
    Harmonic harmonic) {

  /**
   * Place of a tone in a harmonic series.
   *
   * @param fundamentalHz fundamental frequency fitted to the whole series [Hz]
   * @param number harmonic number, 1 for the fundamental
   */
  public record Harmonic(double fundamentalHz, int number) {}
}
