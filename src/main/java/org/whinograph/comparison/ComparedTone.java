package org.whinograph.comparison;

import java.util.List;
import java.util.Optional;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.quantity.Reading;
import org.whinograph.tone.Tone;

/**
 * Tones of several devices at about one frequency, as the plain spectra show them and as those do
 * that follow the speed: where the speed moves, a plain spectrum smears tones and understates how
 * prominent they are.
 *
 * @param frequencyHz frequency in the first device that has it, the one that one compares with
 *     before all others [Hz]
 * @param tones the tone of each device in the plain spectrum, in their order, or empty if that
 *     shows none there
 * @param followed the order of each device that tells it in the spectrum that follows the speed, or
 *     empty if there is none, or a stronger line of the device tells the same order
 * @param sameLinesHz for each device the frequency of a stronger tone of it that is the same line
 *     at another speed [Hz], or empty if the tone is a line of its own
 * @param levelDifferences level less that of the device that one compares with [dB]; unknown where
 *     either has no such tone or the units differ
 * @param toneToNoiseDifferences the same of the tone-to-noise ratio, which needs no calibration
 *     [dB]
 * @param prominenceDifferences the same of the prominence ratio [dB]
 * @param followingToneToNoiseDifferences the same of the tone-to-noise ratio when followed [dB];
 *     unknown where either wasn't followed
 * @param followingProminenceDifferences the same of the prominence ratio when followed [dB]
 */
public record ComparedTone(
    double frequencyHz,
    List<Optional<Tone>> tones,
    List<Optional<FollowedLine>> followed,
    List<Optional<Double>> sameLinesHz,
    List<Reading> levelDifferences,
    List<Reading> toneToNoiseDifferences,
    List<Reading> prominenceDifferences,
    List<Reading> followingToneToNoiseDifferences,
    List<Reading> followingProminenceDifferences) {
  /** Freezes the lists. {@inheritDoc} */
  public ComparedTone {
    tones = List.copyOf(tones);
    followed = List.copyOf(followed);
    sameLinesHz = List.copyOf(sameLinesHz);
    levelDifferences = List.copyOf(levelDifferences);
    toneToNoiseDifferences = List.copyOf(toneToNoiseDifferences);
    prominenceDifferences = List.copyOf(prominenceDifferences);
    followingToneToNoiseDifferences = List.copyOf(followingToneToNoiseDifferences);
    followingProminenceDifferences = List.copyOf(followingProminenceDifferences);
  }
}
