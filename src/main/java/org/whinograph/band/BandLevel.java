package org.whinograph.band;

import org.whinograph.quantity.Reading;

/**
 * Level of one band.
 *
 * @param nominalHz nominal midband frequency (ISO 266 R10 series) [Hz]
 * @param midbandHz exact midband frequency, base 10 (IEC 61260-1:2014, 5.4) [Hz]
 * @param level time-averaged level [dB in the unit of the chain], or why it is unknown
 * @param aWeighted the level plus the A-weighting at the exact midband frequency [dB]
 */
public record BandLevel(double nominalHz, double midbandHz, Reading level, Reading aWeighted) {}
