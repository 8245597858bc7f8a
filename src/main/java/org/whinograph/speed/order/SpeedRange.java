package org.whinograph.speed.order;

/**
 * A range of speeds in which one order is prominent: speeds to avoid.
 *
 * @param order order of the shaft
 * @param lowRpm lowest speed of the range [1/min]
 * @param highRpm highest speed of the range [1/min]
 * @param worstRpm speed at which it stands out most [1/min]
 * @param worstHz frequency of the order at that speed [Hz]
 * @param aboveLimitDb how far it stands above its limit there, by the ratio that says more [dB]
 * @param ratio that ratio: "tone-to-noise ratio" or "prominence ratio"
 */
public record SpeedRange(
    int order,
    double lowRpm,
    double highRpm,
    double worstRpm,
    double worstHz,
    double aboveLimitDb,
    String ratio) {}
