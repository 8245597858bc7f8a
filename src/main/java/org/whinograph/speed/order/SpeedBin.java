package org.whinograph.speed.order;

import org.whinograph.spectrum.Spectrum;

/**
 * The spectrum that follows the shaft while it turns at about one speed.
 *
 * @param shaftHz mean speed of the shaft over the frames [1/s]
 * @param spectrum spectrum over orders, its axis scaled to that mean speed: line k stands for the
 *     frequency k · spacing at that speed
 */
public record SpeedBin(double shaftHz, Spectrum spectrum) {}
