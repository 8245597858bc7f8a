package org.whinograph.rehearsal;

import java.util.function.DoubleUnaryOperator;
import org.whinograph.quantity.Decibels;

/**
 * 95 % intervals (coverage factor 2) of what is measured, as half widths: the calibration's stated
 * uncertainty and the statistics of noise.
 *
 * <p>A band of noise of width B read for T seconds scatters by 10/ln 10 = 4.34 over √(B·T) dB. A
 * line whose power is C/N₀ times that of the noise in 1 Hz scatters by 8.69/√(2·C/N₀·T) dB. Both
 * follow from the variance of a mean square of Gaussian noise.
 */
final class StatedIntervals {
  private static final double COVERAGE = 2;
  private static final double NOISE_DB = 10 / Math.log(10);

  /** Width of a one-third octave as part of its midband frequency. */
  private static final double THIRD_OCTAVE = 0.230768;

  /** What evaluating a tone's ratio on a spectrum may add: the bias that is allowed for it [dB]. */
  private static final double RATIO_METHOD_DB = 0.05;

  private final double calibrationDb;
  private final double durationS;

  /**
   * Prepares.
   *
   * @param calibrationDb standard uncertainty of the level at full scale [dB]
   * @param durationS length of the recording [s]
   */
  StatedIntervals(double calibrationDb, double durationS) {
    this.calibrationDb = calibrationDb;
    this.durationS = durationS;
  }

  /** Interval of the level at full scale [dB]. */
  double fullScaleDb() {
    return COVERAGE * calibrationDb;
  }

  /** Interval of a one-third-octave level [dB]. */
  double bandDb(double midbandHz) {
    return expanded(calibrationDb, NOISE_DB / Math.sqrt(midbandHz * THIRD_OCTAVE * durationS));
  }

  /** Interval of a level of the whole under a weighting, from the noise in its bands [dB]. */
  double levelDb(DeviceTruth truth, DoubleUnaryOperator powerWeight) {
    double all = 0;
    double variance = 0;
    for (DeviceTruth.Band band : truth.thirdOctaves()) {
      double weight = powerWeight.applyAsDouble(band.midbandHz());
      all += weight * Decibels.toEnergyRatio(band.levelDb());
      double noise = weight * Decibels.toEnergyRatio(band.noiseDb());
      variance += noise * noise / (band.midbandHz() * THIRD_OCTAVE * durationS);
    }
    return expanded(calibrationDb, NOISE_DB * Math.sqrt(variance) / all);
  }

  /** Interval of a tone's level [dB]. */
  double toneLevelDb(DeviceTruth.Tone tone) {
    return expanded(calibrationDb, lineDb(tone));
  }

  /** Interval of a tone's ratio to the noise around it, in which the calibration cancels [dB]. */
  double toneRatioDb(DeviceTruth.Tone tone) {
    CriticalBand band = CriticalBand.around(tone.frequencyHz());
    double width = band.upperHz() - band.lowerHz();
    return expanded(lineDb(tone), NOISE_DB / Math.sqrt(width * durationS), RATIO_METHOD_DB);
  }

  private double lineDb(DeviceTruth.Tone tone) {
    double carrier = Decibels.toEnergyRatio(tone.levelDb() - tone.noiseDensityDb());
    return 2 * NOISE_DB / Math.sqrt(2 * carrier * durationS);
  }

  private static double expanded(double... standardDb) {
    double variance = 0;
    for (double part : standardDb) {
      variance += part * part;
    }
    return COVERAGE * Math.sqrt(variance);
  }
}
