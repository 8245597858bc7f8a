package org.whinograph.measurement;

import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.WavSource;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.signal.SampleSource;
import org.whinograph.signal.Warning;

/**
 * What is left of a calibration once the verdicts on its input and on the recording's are heard: an
 * input that alters the sound gives no sound pressure levels, unless somebody insists.
 *
 * @param calibration the calibration to use, or null
 * @param warnings what the reader must know of it
 */
record InputTrust(CalibrationRecord calibration, List<Warning> warnings) {
  static InputTrust of(MeasurementPlan plan, SampleSource source) {
    CalibrationRecord calibration = plan.calibration();
    if (calibration == null) {
      return new InputTrust(null, List.of());
    }
    Optional<InputVerdict> recorded =
        source instanceof WavSource wav ? wav.inputCheck() : Optional.empty();
    Optional<InputVerdict> failed =
        Stream.concat(Optional.ofNullable(calibration.inputCheck()).stream(), recorded.stream())
            .filter(verdict -> !verdict.trusted())
            .findFirst();
    if (failed.isEmpty()) {
      return new InputTrust(calibration, List.of());
    }
    String message =
        failed.get().sentence()
            + (plan.despiteFailedInput()
                ? " Sound pressure levels are given all the same, as asked by"
                    + " --despite-failed-input; they aren't to be trusted."
                : " So no sound pressure levels are given; mend the input, check it with"
                    + " verify-input and calibrate anew, or insist with --despite-failed-input.");
    return new InputTrust(
        plan.despiteFailedInput() ? calibration : null,
        List.of(new Warning(Measurement.FAILED_INPUT, message)));
  }
}
