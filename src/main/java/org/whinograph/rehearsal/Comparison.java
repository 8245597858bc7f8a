package org.whinograph.rehearsal;

import org.whinograph.quantity.Reading;

/**
 * One quantity of a rehearsal: what is true beside what was measured.
 *
 * @param quantity what it is, such as "L_Aeq"
 * @param unit its unit, such as "dB"
 * @param truthLow lowest value that counts as true: below {@code truthHigh} only for band levels,
 *     where the standard lets filters differ about a tone near an edge
 * @param truthHigh highest value that counts as true
 * @param measured what was measured, or why it wasn't
 * @param interval half width of the stated 95 % interval, same unit
 */
public record Comparison(
    String quantity,
    String unit,
    double truthLow,
    double truthHigh,
    Reading measured,
    double interval) {
  /** Checks the components. {@inheritDoc} */
  public Comparison {
    if (!(truthLow <= truthHigh) || !(interval >= 0)) {
      throw new IllegalArgumentException(
          "truthLow, truthHigh, interval: in order and at least 0, got "
              + truthLow
              + ", "
              + truthHigh
              + ", "
              + interval);
    }
  }

  /**
   * How far the measured value is from what is true.
   *
   * @return measured minus the nearest true value, or why it is unknown
   */
  public Reading error() {
    if (!measured.known()) {
      return measured;
    }
    double nearest = Math.max(truthLow, Math.min(truthHigh, measured.value()));
    return Reading.of(measured.value() - nearest);
  }

  /**
   * Whether the truth lies within the stated interval around what was measured. What wasn't
   * measured isn't.
   *
   * @return true if the error is at most the interval
   */
  public boolean inside() {
    return measured.known() && Math.abs(error().value()) <= interval;
  }
}
