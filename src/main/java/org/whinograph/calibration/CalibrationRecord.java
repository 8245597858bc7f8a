package org.whinograph.calibration;

import java.time.Instant;
import org.whinograph.audiofile.InputVerdict;

/**
 * What a calibration found: the link from full scale to pascals. Saved as one JSON file.
 *
 * @param levelAtFullScaleDb sound pressure level that a full-scale sine stands for [dB re 20 µPa]
 * @param referenceLevelDb level of the calibrator as entered, from its certificate [dB re 20 µPa]
 * @param referenceFrequencyHz nominal frequency of the calibrator [Hz]
 * @param frequencyHz measured frequency of the tone [Hz]
 * @param fluctuationDb half the difference between the greatest and the least level over the whole
 *     tone [dB]
 * @param distortionPlusNoise total distortion plus noise, ratio to the tone [1]
 * @param toneS length of tone that was used [s]
 * @param standardUncertaintyDb combined standard uncertainty of the level at full scale [dB]
 * @param date when the tone was measured
 * @param microphone the microphone as the tester names it, or null
 * @param file name of the recording of the tone, or null for a live input
 * @param sha256 SHA-256 of that file in hexadecimal, or null
 * @param sampleRateHz rate of the recording [Hz]
 * @param bitDepth valid bits of a sample
 * @param responseFile name of the microphone's response file, or null
 * @param input name of the live input, or null for a file
 * @param inputCheck the newest verdict on that input, or null if it was never checked
 */
public record CalibrationRecord(
    double levelAtFullScaleDb,
    double referenceLevelDb,
    double referenceFrequencyHz,
    double frequencyHz,
    double fluctuationDb,
    double distortionPlusNoise,
    double toneS,
    double standardUncertaintyDb,
    Instant date,
    String microphone,
    String file,
    String sha256,
    double sampleRateHz,
    int bitDepth,
    String responseFile,
    String input,
    InputVerdict inputCheck) {

  /**
   * A calibration through an input that was never checked.
   *
   * @param levelAtFullScaleDb sound pressure level that a full-scale sine stands for [dB re 20 µPa]
   * @param referenceLevelDb level of the calibrator as entered [dB re 20 µPa]
   * @param referenceFrequencyHz nominal frequency of the calibrator [Hz]
   * @param frequencyHz measured frequency of the tone [Hz]
   * @param fluctuationDb half the range of the tone's level [dB]
   * @param distortionPlusNoise total distortion plus noise, ratio to the tone [1]
   * @param toneS length of tone that was used [s]
   * @param standardUncertaintyDb combined standard uncertainty of the level at full scale [dB]
   * @param date when the tone was measured
   * @param microphone the microphone as the tester names it, or null
   * @param file name of the recording of the tone, or null for a live input
   * @param sha256 SHA-256 of that file in hexadecimal, or null
   * @param sampleRateHz rate of the recording [Hz]
   * @param bitDepth valid bits of a sample
   * @param responseFile name of the microphone's response file, or null
   * @param input name of the live input, or null for a file
   */
  public CalibrationRecord(
      double levelAtFullScaleDb,
      double referenceLevelDb,
      double referenceFrequencyHz,
      double frequencyHz,
      double fluctuationDb,
      double distortionPlusNoise,
      double toneS,
      double standardUncertaintyDb,
      Instant date,
      String microphone,
      String file,
      String sha256,
      double sampleRateHz,
      int bitDepth,
      String responseFile,
      String input) {
    this(
        levelAtFullScaleDb,
        referenceLevelDb,
        referenceFrequencyHz,
        frequencyHz,
        fluctuationDb,
        distortionPlusNoise,
        toneS,
        standardUncertaintyDb,
        date,
        microphone,
        file,
        sha256,
        sampleRateHz,
        bitDepth,
        responseFile,
        input,
        null);
  }

  /**
   * The same with another verdict on its input.
   *
   * @param verdict the verdict, or null for none
   * @return the record
   */
  public CalibrationRecord withInputCheck(InputVerdict verdict) {
    return new CalibrationRecord(
        levelAtFullScaleDb,
        referenceLevelDb,
        referenceFrequencyHz,
        frequencyHz,
        fluctuationDb,
        distortionPlusNoise,
        toneS,
        standardUncertaintyDb,
        date,
        microphone,
        file,
        sha256,
        sampleRateHz,
        bitDepth,
        responseFile,
        input,
        verdict);
  }
}
