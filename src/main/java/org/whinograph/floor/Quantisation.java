package org.whinograph.floor;

import org.whinograph.band.Band;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.weighting.FrequencyWeighting;

/**
 * Noise of rounding samples to a number of bits: white, with a mean square of q²/12 for a step q of
 * 2^(1 − bits) of full scale (W. R. Bennett, Bell Syst. Tech. J. 27, 1948, 446–472; from memory).
 *
 * <p>A recording of 16 bits can have a floor above the device that it was made of, whatever the
 * microphone. Dither raises it by up to 4.8 dB, which isn't counted.
 *
 * @param sampleRateHz rate [Hz], above 0
 * @param bitDepth valid bits of a sample, at least 1
 * @param floatingPoint whether samples are floating point, which have no fixed step
 * @param levelAtFullScaleDb level that a full-scale sine stands for [dB re 20 µPa], or 0 without a
 *     calibration [dB re full scale]
 */
public record Quantisation(
    double sampleRateHz, int bitDepth, boolean floatingPoint, double levelAtFullScaleDb) {
  private static final String FLOATING =
      "floating-point samples have no fixed step, hence no fixed noise of rounding";

  /** Checks the components. {@inheritDoc} */
  public Quantisation {
    if (!(sampleRateHz > 0) || bitDepth < 1 || !Double.isFinite(levelAtFullScaleDb)) {
      throw new IllegalArgumentException(
          "sampleRateHz above 0, bitDepth at least 1, levelAtFullScaleDb finite; got "
              + sampleRateHz
              + ", "
              + bitDepth
              + ", "
              + levelAtFullScaleDb);
    }
  }

  /**
   * Level of all of it, unweighted.
   *
   * @return level [dB in the unit of the level at full scale], or unknown for floating point
   */
  public Reading level() {
    return level(1);
  }

  /**
   * Level of it in a band.
   *
   * @param band the band; what lies above half the rate doesn't count
   * @return level, or unknown for floating point or if all of the band lies above half the rate
   */
  public Reading level(Band band) {
    double nyquist = sampleRateHz / 2;
    double width = Math.min(band.upperHz(), nyquist) - Math.min(band.lowerHz(), nyquist);
    return width > 0 ? level(width / nyquist) : Reading.unknown("the rate doesn't carry this band");
  }

  /**
   * A-weighted level of it: the weighting of IEC 61672-1 summed over white noise up to half the
   * rate.
   *
   * @return level, or unknown for floating point
   */
  public Reading aWeightedLevel() {
    int lines = 4000;
    double sum = 0;
    for (int i = 0; i < lines; i++) {
      sum += FrequencyWeighting.A.energyRatioAt((i + 0.5) / lines * sampleRateHz / 2);
    }
    return level(sum / lines);
  }

  private Reading level(double partOfEnergy) {
    if (floatingPoint) {
      return Reading.unknown(FLOATING);
    }
    double step = Math.pow(2, 1.0 - bitDepth);
    return Reading.of(
        levelAtFullScaleDb + LevelUnit.FULL_SCALE.levelOf(step * step / 12 * partOfEnergy));
  }
}
