package org.whinograph.band;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;

/**
 * A fractional-octave band as IEC 61260-1:2014, clause 5, defines it: octave ratio G = 10^(3/10)
 * (formula 1), reference frequency 1000 Hz, exact midband frequency fm = 1000 G^(x/b) for odd b
 * (formula 2), edges fm G^(∓1/(2b)) (formulas 4 and 5).
 *
 * @param designator 1/b's b: 1 for octaves, 3 for one-third octaves
 * @param index x, the count of bands from the one at 1000 Hz, negative below it
 * @param nominalHz nominal midband frequency, as ISO 266:1997 rounds it (R10 series) [Hz]
 * @param midbandHz exact midband frequency [Hz]
 * @param lowerHz lower band-edge frequency [Hz]
 * @param upperHz upper band-edge frequency [Hz]
 */
public record Band(
    int designator, int index, double nominalHz, double midbandHz, double lowerHz, double upperHz) {
  /** Octave frequency ratio G, base 10 (IEC 61260-1:2014, 5.2.1). */
  static final double OCTAVE_RATIO = Math.pow(10.0, 0.3);

  private static final double[] R10 = {1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0};
  private static final List<Band> THIRD_OCTAVES = series(3, -17, 13);
  private static final List<Band> OCTAVES = series(1, -5, 4);

  /**
   * The one-third-octave bands from 20 Hz to 20 kHz.
   *
   * @return 31 bands in rising order
   */
  public static List<Band> thirdOctaves() {
    return THIRD_OCTAVES;
  }

  /**
   * The octave bands from 31.5 Hz to 16 kHz.
   *
   * @return 10 bands in rising order
   */
  public static List<Band> octaves() {
    return OCTAVES;
  }

  /**
   * Width of the band.
   *
   * @return upper less lower edge [Hz]
   */
  public double widthHz() {
    return upperHz - lowerHz;
  }

  /**
   * The nominal frequency as people write it.
   *
   * @return such as "31.5 Hz" or "1.25 kHz"
   */
  public String label() {
    double number = nominalHz < 1000.0 ? nominalHz : nominalHz / 1000.0;
    String digits =
        number == Math.rint(number)
            ? String.format(Locale.ROOT, "%.0f", number)
            : String.valueOf(number);
    return digits + (nominalHz < 1000.0 ? " Hz" : " kHz");
  }

  /** ln of the ratio of the edges: (ln G)/b, the reference bandwidth of 5.12 per unit of f/fm. */
  double logWidth() {
    return Math.log(OCTAVE_RATIO) / designator;
  }

  private static List<Band> series(int designator, int first, int last) {
    List<Band> bands = new ArrayList<>();
    for (int x = first; x <= last; x++) {
      int thirds = x * 3 / designator;
      // Powers of ten are built from the exponent in tenths, so that 1000 Hz is 1000 exactly.
      double midband = 1000.0 * Math.pow(10.0, thirds / 10.0);
      double half = Math.pow(OCTAVE_RATIO, 0.5 / designator);
      double nominal =
          R10[Math.floorMod(thirds, 10)] * 1000.0 * Math.pow(10.0, Math.floorDiv(thirds, 10));
      nominal = Math.rint(nominal * 100.0) / 100.0;
      bands.add(new Band(designator, x, nominal, midband, midband / half, midband * half));
    }
    return List.copyOf(bands);
  }
}
