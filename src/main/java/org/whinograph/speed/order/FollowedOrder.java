package org.whinograph.speed.order;

import java.util.List;
import java.util.Objects;

/**
 * An order that stands out of the spectrum that follows the shaft and of no line of the plain one,
 * where the motion of the speed smears it.
 *
 * @param order multiple of the shaft's frequency [1]; null if only the spacing of the fan's lines
 *     is known and not which order of the shaft that is
 * @param tone its frequency, level and ratios, in the range of speeds in which the shaft turned the
 *     longest while it stood out
 * @param cause the cause; anything but {@link Cause#UNKNOWN} rests on at least one sentence of
 *     evidence
 * @param evidence what speaks for and against, in sentences with figures
 */
public record FollowedOrder(Double order, FollowingTone tone, Cause cause, List<String> evidence) {
  /** Checks the components. {@inheritDoc} */
  public FollowedOrder {
    Objects.requireNonNull(tone, "tone");
    Objects.requireNonNull(cause, "cause");
    evidence = List.copyOf(evidence);
    if (cause != Cause.UNKNOWN && evidence.isEmpty()) {
      throw new IllegalArgumentException("evidence: at least 1 sentence for " + cause.label());
    }
  }
}
