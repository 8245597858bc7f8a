package org.whinograph.spectrum;

import org.whinograph.quantity.LevelUnit;

/**
 * A one-sided spectrum averaged by energy.
 *
 * @param meanSquare mean square in each line, scaled so that a sine on a line's centre shows its
 *     own mean square there, and Σ over a band divided by {@code noiseBandwidthLines} is the band's
 *     mean square [Pa² or (full scale)², length N/2 + 1, line k at k · lineSpacingHz]
 * @param lineSpacingHz fs/N [Hz]
 * @param noiseBandwidthLines effective noise bandwidth of the window [lines]: 1.5 for Hann
 * @param frames number of frames averaged
 * @param independentFrames number of independent frames that average is worth: less than {@code
 *     frames} where frames overlap
 * @param unit what levels refer to
 */
public record Spectrum(
    double[] meanSquare,
    double lineSpacingHz,
    double noiseBandwidthLines,
    long frames,
    double independentFrames,
    LevelUnit unit) {}
