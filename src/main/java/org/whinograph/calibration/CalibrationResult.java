package org.whinograph.calibration;

import java.util.List;
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
  /** Checks the components. {@inheritDoc} */
  public CalibrationResult {
    uncertainty = List.copyOf(uncertainty);
    warnings = List.copyOf(warnings);
  }
}
