package org.whinograph.rehearsal;

import java.util.List;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.measurement.Measurement;

/**
 * What a rehearsal found.
 *
 * @param truth the device and its truth; its seed repeats the rehearsal
 * @param calibration what the calibrator's tone gave
 * @param measurement what the chain measured of the device
 * @param comparisons truth beside measured, quantity by quantity
 * @param speed errors of the shaft's speed, frame by frame
 */
public record RehearsalResult(
    DeviceTruth truth,
    CalibrationRecord calibration,
    Measurement measurement,
    List<Comparison> comparisons,
    SpeedErrors speed) {
  /** Freezes the list. {@inheritDoc} */
  public RehearsalResult {
    comparisons = List.copyOf(comparisons);
  }

  /**
   * How many quantities are inside their stated interval. At 95 % one in twenty may be outside.
   *
   * @return number of comparisons inside
   */
  public long inside() {
    return comparisons.stream().filter(Comparison::inside).count();
  }
}
