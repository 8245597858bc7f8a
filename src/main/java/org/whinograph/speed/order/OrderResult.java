package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.spectrum.Spectrogram;

/**
 * What the shaft's speed explains of a recording.
 *
 * @param origins where each tone comes from, parallel to the tones
 * @param following the ratios of each tone in the spectrum that follows the shaft, parallel to the
 *     tones; unknown for tones that are no order
 * @param followedOnly orders that the spectrum that follows the shaft shows and no tone tells of,
 *     in order of the multiple
 * @param twoFans a second fan with its speed, or null if none was told apart
 * @param envelope how the blade-pass line swells and fades, or null if there was no second pass
 * @param sweep what the speeds that were gone through tell, or null if the speed stays
 * @param spectrogram the spectra through time that the tones come from, or null if there are none
 */
public record OrderResult(
    List<ToneOrigin> origins,
    List<FollowingTone> following,
    List<FollowedOrder> followedOnly,
    TwoFans twoFans,
    Envelope envelope,
    SpeedSweep sweep,
    Spectrogram.Columns spectrogram) {
  /** Checks the components. {@inheritDoc} */
  public OrderResult {
    origins = List.copyOf(origins);
    following = List.copyOf(following);
    followedOnly = List.copyOf(followedOnly);
    if (origins.size() != following.size()) {
      throw new IllegalArgumentException(
          "origins, following: of equal length, got " + origins.size() + ", " + following.size());
    }
  }
}
