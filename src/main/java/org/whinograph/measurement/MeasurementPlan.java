package org.whinograph.measurement;

import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.MicrophoneResponse;
import org.whinograph.speed.SpeedHints;

/**
 * What to measure of a recording, and with what.
 *
 * @param calibration the calibration that turns full scale into pascals, or null
 * @param calibrationFile name of its file for the result, or null
 * @param response the microphone's response to take out, or null
 * @param hints what is known of the fan beforehand, or null if its speed isn't to be sought:
 *     levels, bands and tones alone take less than half the time
 * @param fromS where the measured stretch begins [s], at least 0
 * @param toS where it ends [s], above {@code fromS}; infinite for the end of the recording
 * @param despiteFailedInput whether the calibration is used even if the input failed its check;
 *     every output then says so
 */
public record MeasurementPlan(
    CalibrationRecord calibration,
    String calibrationFile,
    MicrophoneResponse response,
    SpeedHints hints,
    double fromS,
    double toS,
    boolean despiteFailedInput) {
  /** Checks the components. {@inheritDoc} */
  public MeasurementPlan {
    if (!(fromS >= 0) || !(toS > fromS)) {
      throw new IllegalArgumentException("fromS, toS: 0 <= fromS < toS, got " + fromS + ", " + toS);
    }
  }

  /**
   * A plan that keeps to the verdict on the input.
   *
   * @param calibration the calibration that turns full scale into pascals, or null
   * @param calibrationFile name of its file for the result, or null
   * @param response the microphone's response to take out, or null
   * @param hints what is known of the fan beforehand, or null if its speed isn't to be sought
   * @param fromS where the measured stretch begins [s], at least 0
   * @param toS where it ends [s], above {@code fromS}
   */
  public MeasurementPlan(
      CalibrationRecord calibration,
      String calibrationFile,
      MicrophoneResponse response,
      SpeedHints hints,
      double fromS,
      double toS) {
    this(calibration, calibrationFile, response, hints, fromS, toS, false);
  }

  /**
   * Measures the whole recording, in parts of full scale unless a calibration is given.
   *
   * @param calibration the calibration, or null
   * @param calibrationFile name of its file, or null
   * @return the plan
   */
  public static MeasurementPlan whole(CalibrationRecord calibration, String calibrationFile) {
    return new MeasurementPlan(
        calibration, calibrationFile, null, SpeedHints.none(), 0.0, Double.POSITIVE_INFINITY);
  }
}
