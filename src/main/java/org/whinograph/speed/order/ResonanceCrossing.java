package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.quantity.Reading;

/**
 * A frequency at which orders grow loud while they pass: a resonance of the case or the duct.
 *
 * @param frequencyHz frequency [Hz]: that of one mode fitted to the levels of the orders; where
 *     they don't suffice, the mean over the orders weighed by their rise
 * @param lowHz lower end of its 95 % interval [Hz]; unknown without a fit
 * @param highHz upper end [Hz]
 * @param orders orders that rise there
 * @param rpm speeds at which they pass, parallel to the orders [1/min]
 * @param ordersWithoutPeak orders that pass there and don't grow louder
 * @param riseDb the greatest rise of an order above what its level does on both sides [dB]
 */
public record ResonanceCrossing(
    double frequencyHz,
    Reading lowHz,
    Reading highHz,
    List<Integer> orders,
    List<Double> rpm,
    List<Integer> ordersWithoutPeak,
    double riseDb) {
  /** Freezes the lists. {@inheritDoc} */
  public ResonanceCrossing {
    orders = List.copyOf(orders);
    rpm = List.copyOf(rpm);
    ordersWithoutPeak = List.copyOf(ordersWithoutPeak);
  }
}
