package org.whinograph.calibration;

import java.util.Objects;
import org.whinograph.quantity.Reading;

/**
 * A figure that a check of an input rests on, whether or not it found anything: how near an input
 * came to a limit tells how far to trust that it stayed below.
 *
 * @param id a name that scripts match, lower case with hyphens
 * @param meaning what was measured, a few words
 * @param value the figure [dB], or unknown where a stage is missing
 * @param limit what it may be at most [dB]
 */
public record InputFigure(String id, String meaning, Reading value, double limit) {
  /** Checks the components. {@inheritDoc} */
  public InputFigure {
    Objects.requireNonNull(id, "id");
    Objects.requireNonNull(meaning, "meaning");
    Objects.requireNonNull(value, "value");
  }
}
