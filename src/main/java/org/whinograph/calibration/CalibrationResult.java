package org.whinograph.calibration;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.signal.Warning;

/**
 * A calibration and how it came about.
 *
 * @param calibration the record to save
 * @param tone the tone that was measured
 * @param uncertainty the components of its standard uncertainty; their squares sum to the record's
 * @param warnings what the tester must know
 */
public record CalibrationResult(
    CalibrationRecord calibration,
    ReferenceTone tone,
    List<UncertaintyComponent> uncertainty,
    List<Warning> warnings) {
  private static final String FAILED_INPUT = "failed-input";

  /** Checks the components. {@inheritDoc} */
  public CalibrationResult {
    uncertainty = List.copyOf(uncertainty);
    warnings = List.copyOf(warnings);
  }

  /**
   * The same with a verdict on its input, and a warning if that failed.
   *
   * @param verdict the verdict, or null for none
   * @return the calibration with it
   */
  public CalibrationResult withInputCheck(InputVerdict verdict) {
    List<Warning> all =
        new ArrayList<>(
            warnings.stream().filter(warning -> !warning.code().equals(FAILED_INPUT)).toList());
    if (verdict != null && !verdict.trusted()) {
      all.add(
          new Warning(
              FAILED_INPUT,
              verdict.sentence()
                  + " With this record no sound pressure levels are given unless somebody insists;"
                  + " mend the input, check it with verify-input and calibrate anew."));
    }
    return new CalibrationResult(calibration.withInputCheck(verdict), tone, uncertainty, all);
  }
}
