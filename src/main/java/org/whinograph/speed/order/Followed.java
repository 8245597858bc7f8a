package org.whinograph.speed.order;

import java.util.List;

/**
 * What the second pass, which follows the speed, has found.
 *
 * @param bins the spectra that follow the speed, those worth judging
 * @param levels levels of the orders at finer steps of the speed, in order of speed
 * @param sweep what was found of the speeds gone through, or null
 * @param envelope how the blade-pass line swells and fades, or null
 */
record Followed(
    List<SpeedBin> bins, List<SpeedLevels> levels, SpeedSweep sweep, Envelope envelope) {
  /** Freezes the lists. */
  Followed {
    bins = List.copyOf(bins);
    levels = List.copyOf(levels);
  }
}
