package org.whinograph.quantity;

import java.util.OptionalDouble;
import java.util.function.DoubleUnaryOperator;

/**
 * A number that was measured, or the reason why it could not be. It exists so that no NaN, 0 or −∞
 * ever stands for "unknown": files write null and the reason becomes a warning.
 *
 * @param value the value in the unit that its owner states; meaningless if {@code reason} is set
 * @param reason why there is no value, as a sentence that a person reads, or null if there is one
 */
public record Reading(double value, String reason) {
  /** Checks the components. {@inheritDoc} */
  public Reading {
    if (reason == null && !Double.isFinite(value)) {
      throw new IllegalArgumentException("value: a measured value is finite, got " + value);
    }
  }

  /**
   * A measured value.
   *
   * @param value finite value
   * @return the reading
   * @throws IllegalArgumentException if the value is not finite
   */
  public static Reading of(double value) {
    return new Reading(value, null);
  }

  /**
   * A value that could not be measured.
   *
   * @param reason the reason as a sentence
   * @return the reading
   */
  public static Reading unknown(String reason) {
    return new Reading(0.0, java.util.Objects.requireNonNull(reason, "reason"));
  }

  /**
   * A level if it is finite, else the reason: digital silence has a level of −∞.
   *
   * @param value a level [dB], possibly negative infinity or NaN
   * @param reason the reason to give if it is not finite
   * @return the reading
   */
  public static Reading ofFinite(double value, String reason) {
    return Double.isFinite(value) ? of(value) : unknown(reason);
  }

  /**
   * Whether there is a value.
   *
   * @return true if measured
   */
  public boolean known() {
    return reason == null;
  }

  /**
   * The value for those who must handle its absence.
   *
   * @return the value, or empty
   */
  public OptionalDouble optional() {
    return known() ? OptionalDouble.of(value) : OptionalDouble.empty();
  }

  /**
   * The value as files write it.
   *
   * @return the value, or null
   */
  public Double orNull() {
    return known() ? Double.valueOf(value) : null;
  }

  /**
   * Applies a function to the value, if there is one.
   *
   * @param function finite to finite
   * @return the mapped reading, or this one if unknown
   */
  public Reading map(DoubleUnaryOperator function) {
    return known() ? of(function.applyAsDouble(value)) : this;
  }
}
