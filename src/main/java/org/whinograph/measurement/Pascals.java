package org.whinograph.measurement;

import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;

/** Scales samples from parts of full scale to pascals, if there is a calibration. */
final class Pascals {
  private final LevelUnit unit;
  private final double pascalsAtFullScale;
  private double[] scaled = new double[0];

  Pascals(CalibrationRecord calibration) {
    if (calibration == null) {
      unit = LevelUnit.FULL_SCALE;
      pascalsAtFullScale = 1.0;
    } else {
      unit = LevelUnit.SOUND_PRESSURE;
      // A full-scale sine has an amplitude of 1, so √2 times its rms pressure.
      pascalsAtFullScale =
          Math.sqrt(2 * LevelUnit.SOUND_PRESSURE.meanSquareOf(calibration.levelAtFullScaleDb()));
    }
  }

  LevelUnit unit() {
    return unit;
  }

  SampleBlock of(SampleBlock block) {
    if (!unit.calibrated()) {
      return block;
    }
    if (scaled.length < block.length()) {
      scaled = new double[block.length()];
    }
    double[] samples = block.samples();
    for (int i = 0; i < block.length(); i++) {
      scaled[i] = samples[i] * pascalsAtFullScale;
    }
    return block.withSamples(scaled);
  }
}
