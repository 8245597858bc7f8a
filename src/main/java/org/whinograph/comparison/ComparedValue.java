package org.whinograph.comparison;

import java.util.List;
import org.whinograph.quantity.Reading;

/**
 * One quantity of all devices.
 *
 * @param field name in files, with its unit
 * @param symbol short name for readers
 * @param meaning the quantity in words
 * @param level whether the values are levels in each device's unit; else ratios [dB], which need no
 *     calibration
 * @param values value of each device, in their order [dB]
 * @param differences value less that of the device that one compares with, 0 for that one itself
 *     [dB]; unknown where either is unknown or the units differ
 */
public record ComparedValue(
    String field,
    String symbol,
    String meaning,
    boolean level,
    List<Reading> values,
    List<Reading> differences) {
  /** Freezes the lists. {@inheritDoc} */
  public ComparedValue {
    values = List.copyOf(values);
    differences = List.copyOf(differences);
  }
}
