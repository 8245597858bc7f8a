package org.whinograph.speed.order;

import java.util.List;

/**
 * A frequency at which orders grow loud while they pass: a resonance of the case or the duct.
 *
 * @param frequencyHz frequency [Hz], the mean over the orders weighed by their rise
 * @param orders orders that rise there
 * @param rpm speeds at which they pass, parallel to the orders [1/min]
 * @param riseDb the greatest rise of an order above what its level does on both sides [dB]
 */
public record ResonanceCrossing(
    double frequencyHz, List<Integer> orders, List<Double> rpm, double riseDb) {
  /** Freezes the lists. {@inheritDoc} */
  public ResonanceCrossing {
    orders = List.copyOf(orders);
    rpm = List.copyOf(rpm);
  }
}
