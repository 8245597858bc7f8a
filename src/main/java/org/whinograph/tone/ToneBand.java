package org.whinograph.tone;

/**
 * The lines of an averaged spectrum that one tone fills.
 *
 * @param frequencyHz frequency of the tone [Hz]
 * @param lowerHz lower edge of its lines [Hz]
 * @param upperHz upper edge of its lines [Hz]; {@code upperHz − lowerHz} is at most 15 % of the
 *     critical bandwidth
 * @param meanSquare mean square of the tone alone, the noise under it taken off [Pa² or (full
 *     scale)²], above 0
 */
public record ToneBand(double frequencyHz, double lowerHz, double upperHz, double meanSquare) {
  /** Checks the components. {@inheritDoc} */
  public ToneBand {
    if (!(lowerHz < upperHz && frequencyHz > 0)) {
      throw new IllegalArgumentException(
          "lowerHz, upperHz, frequencyHz: lower < upper and frequency above 0, got "
              + lowerHz
              + ", "
              + upperHz
              + ", "
              + frequencyHz);
    }
    if (!(meanSquare > 0)) {
      throw new IllegalArgumentException("meanSquare: above 0, got " + meanSquare);
    }
  }
}
