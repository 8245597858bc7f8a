package org.whinograph.rehearsal;

import java.util.Objects;

/**
 * A fan of a device. Its tones stand among the device's lines.
 *
 * @param blades number of blades, at least 1
 * @param speed speed through time
 * @param referenceRpm speed at which the levels of its lines and noise hold [1/min], above 0
 * @param noise its broadband noise at the reference speed, or null for none
 * @param noiseSlopeDbPerDecade rise of the noise with the speed [dB a decade of speed]; 55 is usual
 *     for small fans (common practice, no source)
 */
public record Fan(
    int blades,
    SpeedProfile speed,
    double referenceRpm,
    NoiseShape noise,
    double noiseSlopeDbPerDecade) {
  /** Checks the components. {@inheritDoc} */
  public Fan {
    Objects.requireNonNull(speed, "speed");
    if (blades < 1 || !(referenceRpm > 0) || !Double.isFinite(noiseSlopeDbPerDecade)) {
      throw new IllegalArgumentException(
          "blades, referenceRpm, noiseSlopeDbPerDecade: at least 1, above 0, finite, got "
              + blades
              + ", "
              + referenceRpm
              + ", "
              + noiseSlopeDbPerDecade);
    }
  }
}
