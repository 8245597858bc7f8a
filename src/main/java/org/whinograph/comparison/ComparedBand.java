package org.whinograph.comparison;

import java.util.List;
import org.whinograph.quantity.Reading;

/**
 * One one-third octave of all devices.
 *
 * @param nominalHz nominal midband frequency [Hz]
 * @param midbandHz exact midband frequency [Hz]
 * @param levels level of each device, in their order [dB in each device's unit]
 * @param differences level less that of the device that one compares with, 0 for that one itself
 *     [dB]; unknown where either is unknown or the units differ
 */
public record ComparedBand(
    double nominalHz, double midbandHz, List<Reading> levels, List<Reading> differences) {
  /** Freezes the lists. {@inheritDoc} */
  public ComparedBand {
    levels = List.copyOf(levels);
    differences = List.copyOf(differences);
  }
}
