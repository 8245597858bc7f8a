package org.whinograph.calibration;

import org.whinograph.quantity.Reading;

/**
 * A stretch of a recording in which the calibrator was on or off.
 *
 * @param on whether its tone is there
 * @param fromS where it begins [s]
 * @param toS where it ends [s]
 * @param level level of the tone, or of everything in 30 Hz to 20 kHz while it's off [dB re full
 *     scale]
 */
public record InputStage(boolean on, double fromS, double toS, Reading level) {
  /**
   * How long it lasts.
   *
   * @return length [s]
   */
  public double lengthS() {
    return toS - fromS;
  }
}
