package org.whinograph.speed.order;

import org.whinograph.quantity.Reading;

/**
 * The same order of two fans, heard as one tone that swells and fades.
 *
 * @param order order of the shaft
 * @param frequencyHz frequency of the first fan's line [Hz]
 * @param rateHz how often it swells [Hz]
 * @param depth swing of the level between swell and fade: 20 lg[(a₁ + a₂)/|a₁ − a₂|] of the two
 *     amplitudes [dB]; unknown where the two lines aren't told apart, with the reason in words
 * @param verdict whether such a beat is louder than a steady tone, from the literature
 */
public record Beat(int order, double frequencyHz, double rateHz, Reading depth, String verdict) {
  private static final String SOURCE = " (JASA, doi 10.1121/1.5121700)";

  /**
   * What the literature says of beats at a rate: louder than a steady tone up to 2 Hz, equally loud
   * at 5 Hz, less loud at 12 Hz.
   *
   * @param rateHz rate [Hz]
   * @return a sentence
   */
  public static String verdictAt(double rateHz) {
    String is;
    if (rateHz <= 2.0) {
      is = "a beat as slow as this is heard as louder than a steady tone";
    } else if (rateHz < 4.0) {
      is =
          "beats up to 2 Hz are heard as louder than a steady tone and beats of 5 Hz as equally"
              + " loud; this one lies between";
    } else if (rateHz <= 6.0) {
      is = "a beat of about 5 Hz is heard as equally loud as a steady tone";
    } else if (rateHz < 10.0) {
      is =
          "beats of 5 Hz are heard as equally loud as a steady tone and beats of 12 Hz as less"
              + " loud; this one lies between";
    } else if (rateHz <= 14.0) {
      is = "a beat of about 12 Hz is heard as less loud than a steady tone";
    } else {
      is = "beats faster than 12 Hz weren't studied";
    }
    return is + SOURCE;
  }
}
