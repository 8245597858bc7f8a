package org.whinograph.calibration;

import org.whinograph.quantity.LevelUnit;

/**
 * What is kept of a tenth of a second: enough to judge a tone and to measure it, so that a
 * recording of any length leaves only a list of these.
 *
 * @param frequencyHz frequency of the strongest tone in it [Hz]
 * @param amplitude its amplitude [unit of the samples]
 * @param phase its phase at the middle of the frame [rad]
 * @param distortionMeanSquare mean square of what the fit leaves over, {@value
 *     ToneFrameAnalyser#LOWEST_HZ} Hz to {@value ToneFrameAnalyser#HIGHEST_HZ} Hz [unit²]
 * @param meanSquare mean square of all samples about their mean [unit²]
 * @param peak greatest absolute sample [unit]
 * @param flatTopped whether its crests stand still as a clipped sine's do
 * @param overloaded whether the source flags an overload in it
 * @param lost whether the source flags lost samples in it
 * @param pieceAmplitude amplitude of the tone in each hundredth of a second [unit, length 10]
 * @param pieceResidual mean square that the fit leaves over there, any frequency [unit², length 10]
 * @param pieceMeanSquare mean square about the mean there [unit², length 10]
 */
record ToneFrame(
    double frequencyHz,
    double amplitude,
    double phase,
    double distortionMeanSquare,
    double meanSquare,
    double peak,
    boolean flatTopped,
    boolean overloaded,
    boolean lost,
    float[] pieceAmplitude,
    float[] pieceResidual,
    float[] pieceMeanSquare) {

  /** Pieces in a frame. */
  static final int PIECES = 10;

  /** Whether a tone stands out of everything else in the frame. */
  boolean tonal() {
    return amplitude > 0 && distortionMeanSquare <= amplitude * amplitude / 2;
  }

  /** Its level [dB re full scale]; negative infinity for silence. */
  double levelDb() {
    return LevelUnit.FULL_SCALE.levelOf(amplitude * amplitude / 2);
  }
}
