package org.whinograph.comparison;

import java.util.Objects;
import org.whinograph.measurement.Measurement;

/**
 * One of the devices that stand side by side.
 *
 * @param label short name, different from those of the others
 * @param measurement what was measured of it
 */
public record ComparedDevice(String label, Measurement measurement) {
  /** Checks the components. {@inheritDoc} */
  public ComparedDevice {
    Objects.requireNonNull(label, "label");
    Objects.requireNonNull(measurement, "measurement");
  }
}
