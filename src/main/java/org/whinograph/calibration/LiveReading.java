package org.whinograph.calibration;

import org.whinograph.quantity.Reading;

/**
 * What a tester sees while the calibrator sits on the microphone.
 *
 * @param state how far it is
 * @param level level of the tone in the last tenth of a second [dB re full scale]
 * @param frequency its frequency [Hz]
 * @param fluctuation half the difference between the greatest and the least level of the last
 *     seconds, up to 5 [dB]
 * @param steadyS how long the tone has been steady [s]; at 5 s it is taken
 * @param message why a tone was refused, or null
 */
public record LiveReading(
    State state,
    Reading level,
    Reading frequency,
    Reading fluctuation,
    double steadyS,
    String message) {

  /** How far a live calibration is. */
  public enum State {
    /** No tone yet. */
    WAITING,
    /** There is a tone, and it's watched until it has been steady for 5 s. */
    WATCHING,
    /** The tone was refused; it must stop for a second before another try. */
    REFUSED,
    /** The tone was taken. */
    TAKEN
  }
}
