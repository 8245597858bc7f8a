package org.whinograph.calibration;

/**
 * What a microphone's response file says of its sensitivity. Makers mean different things by it, so
 * it's shown beside the measured one and never used.
 *
 * @param text the line it stands in
 * @param value the number as it stands there, without a meaning
 */
public record SensitivityStatement(String text, double value) {}
