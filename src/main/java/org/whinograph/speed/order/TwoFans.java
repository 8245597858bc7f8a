package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.speed.SpeedTrack;

/**
 * A second fan, and how the two beat where it turns at nearly the speed of the first.
 *
 * @param secondRpm median speed of the second fan [1/min]
 * @param deviationRpm standard deviation of that speed's distance from the first fan's [1/min]
 * @param blades its number of blades, or null if that isn't known
 * @param track its speed through time, or null where only its lines' mean places tell it
 * @param beats the beats of their common orders, the loudest tone first; none where the speeds lie
 *     too far apart for beats
 */
public record TwoFans(
    double secondRpm, double deviationRpm, Integer blades, SpeedTrack track, List<Beat> beats) {
  /** Freezes the list. {@inheritDoc} */
  public TwoFans {
    beats = List.copyOf(beats);
  }
}
