package org.whinograph.level;

/**
 * Levels through time [dB in the unit of the chain]. A value that isn't known (digital silence, or
 * the averaging not yet settled) is NaN inside the arrays and an empty cell in files.
 *
 * @param laeq1s L_Aeq of each whole second [dB, length: whole seconds of the recording; element i
 *     is for i to i + 1 s]
 * @param lafMax1s greatest A- and F-weighted level of each whole second [dB, same length]
 * @param laf A- and F-weighted level, sampled [dB, element i at (i + 1) · intervalS]
 * @param intervalS spacing of {@code laf} [s], at most 0.1
 */
public record LevelHistory(double[] laeq1s, double[] lafMax1s, double[] laf, double intervalS) {}
