/**
 * Octave and one-third-octave band levels of IEC 61260-1:2014, class 1.
 *
 * <p>Every band, whatever the sample rate, is of order 3 (six poles) and follows the analogue
 * Butterworth band-pass of that order, narrowed by 4.5 % so that it passes as much noise as the
 * ideal band. Within two octaves below half the rate a band runs at, its upper skirt is steeper
 * than the analogue one; everywhere else the skirts agree to tenths of a decibel. Loudness methods
 * that expect third-order band levels can be fed from these.
 *
 * <p>Flow: {@link org.whinograph.band.BandAnalyser} → stages at the rate and its halves → meters
 * that filter and count energy.
 */
package org.whinograph.band;
