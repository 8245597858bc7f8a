package org.whinograph.speed.order;

import org.whinograph.quantity.Reading;

/**
 * How the level of one order swells and fades, as its envelope tells: also where the lines of two
 * fans lie so close that no spectrum tells them apart.
 *
 * @param order order of the shaft, or of the comb if the shaft's speed isn't known
 * @param frequencyHz frequency of the order at the median speed [Hz]
 * @param rateHz how often it swells [Hz]; unknown if it doesn't regularly
 * @param depth swing of the level between swell and fade [dB]; unknown as the rate is
 * @param besideHz frequency of a line that isn't a fan's and lies as far from the order as it
 *     swells often, so that it is these two that beat [Hz]; null if none is known
 */
public record Envelope(
    int order, double frequencyHz, Reading rateHz, Reading depth, Double besideHz) {
  /** The same, with a line that lies beside. */
  Envelope beside(Double lineHz) {
    return new Envelope(order, frequencyHz, rateHz, depth, lineHz);
  }
}
