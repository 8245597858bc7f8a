package org.whinograph.tone;

/**
 * A tone as {@link ToneFinder} leaves it.
 *
 * @param peakLine its highest line
 * @param firstLine first line of its tone band
 * @param lastLine last line of its tone band
 * @param frequencyHz frequency from the energies alone [Hz]
 * @param meanSquare mean square without the noise beneath [Pa² or (full scale)²]
 * @param noisePerLine noise in one line beneath it, in the scale of the spectrum's lines
 * @param spreadHz standard deviation of its frequency about the mean, beyond the window's own; 0
 *     for a steady tone [Hz]
 * @param beyondToneBand whether it is wider than 15 % of the critical band
 */
record Candidate(
    int peakLine,
    int firstLine,
    int lastLine,
    double frequencyHz,
    double meanSquare,
    double noisePerLine,
    double spreadHz,
    boolean beyondToneBand) {

  ToneBand band(double lineSpacingHz, double refinedHz) {
    return new ToneBand(
        refinedHz, (firstLine - 0.5) * lineSpacingHz, (lastLine + 0.5) * lineSpacingHz, meanSquare);
  }
}
