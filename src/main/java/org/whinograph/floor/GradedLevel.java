package org.whinograph.floor;

import org.whinograph.quantity.Reading;

/**
 * A level with what lies beneath it taken into account.
 *
 * @param nominalHz nominal midband frequency [Hz], or 0 for the A-weighted level
 * @param midbandHz exact midband frequency [Hz], or 0
 * @param level as measured, device and floor together [dB]
 * @param background the floor beneath it: the highest of its parts [dB]
 * @param corrected level of the device alone, or the most that it can be [dB]
 * @param grade what it is worth, or null if the level or the floor is unknown
 */
public record GradedLevel(
    double nominalHz,
    double midbandHz,
    Reading level,
    Reading background,
    Reading corrected,
    Grade grade) {}
