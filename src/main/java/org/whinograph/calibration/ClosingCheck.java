package org.whinograph.calibration;

import java.util.Locale;
import java.util.Objects;
import java.util.Optional;
import org.whinograph.quantity.Decibels;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.Warning;

/**
 * The check after a series against the calibration before it: over 0.5 dB apart, the series isn't
 * to be trusted (ISO 3744:2010, clause 5; ISO 9612:2009, clause 12; both from memory).
 *
 * @param opening calibration before the series
 * @param closing calibration after it
 */
public record ClosingCheck(CalibrationRecord opening, CalibrationRecord closing) {
  /** Most difference of a series that can be trusted [dB]. */
  public static final double LIMIT_DB = 0.5;

  /** Checks the components. {@inheritDoc} */
  public ClosingCheck {
    Objects.requireNonNull(opening, "opening");
    Objects.requireNonNull(closing, "closing");
  }

  /**
   * Compares two calibrations of one series.
   *
   * @param opening calibration before the series
   * @param closing calibration after it
   * @return the check
   * @throws RefusedException if they are of two microphones or two inputs, or in the wrong order
   */
  public static ClosingCheck of(CalibrationRecord opening, CalibrationRecord closing)
      throws RefusedException {
    if (!Objects.equals(opening.microphone(), closing.microphone())
        || (opening.input() != null
            && closing.input() != null
            && !opening.input().equals(closing.input()))) {
      throw new RefusedException(
          "The opening calibration is of "
              + CalibrationHistory.describe(opening)
              + " and the closing one of "
              + CalibrationHistory.describe(closing)
              + "; compare calibrations of the same microphone and input.");
    }
    if (closing.date().isBefore(opening.date())) {
      throw new RefusedException(
          "The closing calibration ("
              + closing.date()
              + ") is older than the opening one ("
              + opening.date()
              + "); give them in the order in which they were made.");
    }
    return new ClosingCheck(opening, closing);
  }

  /**
   * By how much the input reads differently after the series.
   *
   * @return level at full scale of the closing calibration minus that of the opening one [dB]
   */
  public double differenceDb() {
    return closing.levelAtFullScaleDb() - opening.levelAtFullScaleDb();
  }

  /**
   * Whether the series can be trusted.
   *
   * @return true if the difference is at most 0.5 dB either way
   */
  public boolean trusted() {
    return Math.abs(differenceDb()) <= LIMIT_DB;
  }

  /**
   * Standard uncertainty that the drift adds to the series: the difference as the full width of a
   * rectangular distribution (JCGM 100:2008, 4.3.7).
   *
   * @return |difference|/√12 [dB]
   */
  public double standardUncertaintyDb() {
    return Math.abs(differenceDb()) / Math.sqrt(12);
  }

  /**
   * What every result of a series that can't be trusted carries.
   *
   * @return the warning, or empty if it can
   */
  public Optional<Warning> warning() {
    if (trusted()) {
      return Optional.empty();
    }
    return Optional.of(
        new Warning(
            "calibration-drift",
            String.format(
                Locale.ROOT,
                "The calibration moved by %+.2f dB (a factor of %.3f) from %s to %s, more than %.1f"
                    + " dB: the levels of this series aren't to be trusted; find the cause and"
                    + " measure again.",
                differenceDb(),
                Decibels.toAmplitudeRatio(differenceDb()),
                opening.date(),
                closing.date(),
                LIMIT_DB)));
  }
}
