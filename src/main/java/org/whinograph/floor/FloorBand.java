package org.whinograph.floor;

import org.whinograph.quantity.Reading;

/**
 * What lies beneath a measurement in one band, or A-weighted over all bands.
 *
 * @param nominalHz nominal midband frequency [Hz], or 0 for the A-weighted level
 * @param midbandHz exact midband frequency [Hz], or 0
 * @param selfNoise the microphone's own noise, from a recording in the quietest place [dB]
 * @param quantisation noise of rounding [dB]
 * @param background background at the place of the measurement [dB]
 * @param highest the highest of the three [dB], or unknown if all are
 * @param part which of them it is, or null if all are unknown
 * @param steady whether the noise that was recorded is steady enough to be corrected for
 */
public record FloorBand(
    double nominalHz,
    double midbandHz,
    Reading selfNoise,
    Reading quantisation,
    Reading background,
    Reading highest,
    FloorPart part,
    boolean steady) {}
