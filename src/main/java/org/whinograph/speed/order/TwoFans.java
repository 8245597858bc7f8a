package org.whinograph.speed.order;

import java.util.List;

/**
 * A second fan, and how the two beat where it turns at nearly the speed of the first.
 *
 * @param secondRpm median speed of the second fan [1/min]
 * @param deviationRpm standard deviation of that speed's distance from the first fan's [1/min]
 * @param beats the beats of their common orders, the loudest tone first; none where the speeds lie
 *     too far apart for beats
 */
public record TwoFans(double secondRpm, double deviationRpm, List<Beat> beats) {
  /** Freezes the list. {@inheritDoc} */
  public TwoFans {
    beats = List.copyOf(beats);
  }
}
