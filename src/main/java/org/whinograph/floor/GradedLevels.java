package org.whinograph.floor;

import java.util.List;
import org.whinograph.signal.Warning;

/**
 * Levels of a recording with what lies beneath them taken into account.
 *
 * @param thirdOctaves one-third-octave bands 20 Hz to 20 kHz, in order
 * @param laeq A-weighted level
 * @param warnings what the reader must know
 */
public record GradedLevels(
    List<GradedLevel> thirdOctaves, GradedLevel laeq, List<Warning> warnings) {
  /** Checks the components. {@inheritDoc} */
  public GradedLevels {
    thirdOctaves = List.copyOf(thirdOctaves);
    warnings = List.copyOf(warnings);
  }
}
