package org.whinograph.band;

import java.util.List;

/**
 * Band levels of one recording.
 *
 * @param octaves octave bands 31.5 Hz to 16 kHz, in order
 * @param thirdOctaves one-third-octave bands 20 Hz to 20 kHz, in order
 * @param thirdOctaves1s level of each one-third-octave band in each whole second [dB; first index
 *     the second, second index as in {@code thirdOctaves}; NaN where unknown]
 */
public record BandResult(
    List<BandLevel> octaves, List<BandLevel> thirdOctaves, float[][] thirdOctaves1s) {
  /** Freezes the lists. {@inheritDoc} */
  public BandResult {
    octaves = List.copyOf(octaves);
    thirdOctaves = List.copyOf(thirdOctaves);
  }
}
