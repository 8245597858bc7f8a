package org.whinograph.comparison;

import java.util.List;
import java.util.Optional;
import org.whinograph.quantity.Reading;
import org.whinograph.tone.Tone;

/**
 * Tones of several devices at about one frequency.
 *
 * @param frequencyHz frequency in the first device that has it, the one that one compares with
 *     before all others [Hz]
 * @param tones the tone of each device, in their order, or empty if it has none there
 * @param levelDifferences level less that of the device that one compares with [dB]; unknown where
 *     either has no such tone or the units differ
 * @param toneToNoiseDifferences the same of the tone-to-noise ratio, which needs no calibration
 *     [dB]
 * @param prominenceDifferences the same of the prominence ratio [dB]
 */
public record ComparedTone(
    double frequencyHz,
    List<Optional<Tone>> tones,
    List<Reading> levelDifferences,
    List<Reading> toneToNoiseDifferences,
    List<Reading> prominenceDifferences) {
  /** Freezes the lists. {@inheritDoc} */
  public ComparedTone {
    tones = List.copyOf(tones);
    levelDifferences = List.copyOf(levelDifferences);
    toneToNoiseDifferences = List.copyOf(toneToNoiseDifferences);
    prominenceDifferences = List.copyOf(prominenceDifferences);
  }
}
