package org.whinograph.speed.order;

import java.util.List;
import java.util.Objects;

/**
 * Where one tone comes from, as far as the sound tells.
 *
 * @param order its frequency as a multiple of the shaft's [1], or null if it is none or none is
 *     known
 * @param cause the cause; anything but {@link Cause#UNKNOWN} rests on at least one sentence of
 *     evidence
 * @param evidence what speaks for and against, in sentences with figures
 * @param sameLineAs index of a stronger tone that is the same line, heard at another speed; null if
 *     there is none
 */
public record ToneOrigin(Double order, Cause cause, List<String> evidence, Integer sameLineAs) {
  /** Checks the components. {@inheritDoc} */
  public ToneOrigin {
    Objects.requireNonNull(cause, "cause");
    evidence = List.copyOf(evidence);
    if (cause != Cause.UNKNOWN && evidence.isEmpty()) {
      throw new IllegalArgumentException("evidence: at least 1 sentence for " + cause.label());
    }
  }

  /**
   * Where a tone comes from that is a line of its own.
   *
   * @param order its frequency as a multiple of the shaft's [1], or null
   * @param cause the cause
   * @param evidence what speaks for and against
   */
  public ToneOrigin(Double order, Cause cause, List<String> evidence) {
    this(order, cause, evidence, null);
  }
}
