package org.whinograph.calibration;

/**
 * One line of an uncertainty budget after JCGM 100:2008 (GUM), 5.1.2, with a sensitivity of 1.
 *
 * @param name what it is, a few words
 * @param standardUncertaintyDb its standard uncertainty [dB]
 * @param basis how it was come by, a few words
 */
public record UncertaintyComponent(String name, double standardUncertaintyDb, String basis) {}
