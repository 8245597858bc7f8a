package org.whinograph.calibration;

/**
 * What the tester says about a calibration.
 *
 * @param referenceLevelDb the calibrator's level from its certificate, with the correction for the
 *     microphone's field if one applies [dB re 20 µPa], 60 to 140
 * @param referenceFrequencyHz the calibrator's nominal frequency [Hz], 160 to 1250: the range of
 *     the principal frequency in IEC 60942:2003, 5.3.1.1
 * @param calibratorUncertaintyDb standard uncertainty of the calibrator's level [dB], at least 0
 * @param couplingUncertaintyDb standard uncertainty of fitting it to the microphone [dB], at least
 *     0
 * @param microphone the microphone as the tester names it, or null
 * @param sha256 SHA-256 of the recording in hexadecimal, or null
 * @param responseFile name of the microphone's response file, or null
 * @param input name of the live input, or null for a file
 */
public record CalibrationRequest(
    double referenceLevelDb,
    double referenceFrequencyHz,
    double calibratorUncertaintyDb,
    double couplingUncertaintyDb,
    String microphone,
    String sha256,
    String responseFile,
    String input) {

  /**
   * A class 1 calibrator whose level may be off by 0.40 dB, uncertainty included (IEC 60942:2003,
   * class 1, 160 Hz to 1250 Hz, from memory), as a rectangular distribution: 0.40/√3 dB.
   */
  public static final double CLASS_1_UNCERTAINTY_DB = 0.40 / Math.sqrt(3);

  /** Fitting and refitting a small measurement microphone; common practice, no source: 0.12 dB. */
  public static final double COUPLING_UNCERTAINTY_DB = 0.12;

  /** Checks the components. {@inheritDoc} */
  public CalibrationRequest {
    within("referenceLevelDb", referenceLevelDb, 60, 140);
    within("referenceFrequencyHz", referenceFrequencyHz, 160, 1250);
    within("calibratorUncertaintyDb", calibratorUncertaintyDb, 0, 10);
    within("couplingUncertaintyDb", couplingUncertaintyDb, 0, 10);
  }

  /**
   * A class 1 calibrator and nothing else known.
   *
   * @param referenceLevelDb level from the certificate [dB re 20 µPa], 60 to 140
   * @param referenceFrequencyHz nominal frequency [Hz], 160 to 1250
   * @return the request
   * @throws IllegalArgumentException if a number is outside its limits
   */
  public static CalibrationRequest of(double referenceLevelDb, double referenceFrequencyHz) {
    return new CalibrationRequest(
        referenceLevelDb,
        referenceFrequencyHz,
        CLASS_1_UNCERTAINTY_DB,
        COUPLING_UNCERTAINTY_DB,
        null,
        null,
        null,
        null);
  }

  /**
   * The same with the microphone named.
   *
   * @param name the microphone as the tester names it, or null
   * @return the request
   */
  public CalibrationRequest withMicrophone(String name) {
    return new CalibrationRequest(
        referenceLevelDb,
        referenceFrequencyHz,
        calibratorUncertaintyDb,
        couplingUncertaintyDb,
        name,
        sha256,
        responseFile,
        input);
  }

  /**
   * The same with the recording's hash.
   *
   * @param hash SHA-256 in hexadecimal, or null
   * @return the request
   */
  public CalibrationRequest withSha256(String hash) {
    return new CalibrationRequest(
        referenceLevelDb,
        referenceFrequencyHz,
        calibratorUncertaintyDb,
        couplingUncertaintyDb,
        microphone,
        hash,
        responseFile,
        input);
  }

  /**
   * The same with the microphone's response file.
   *
   * @param file its name, or null
   * @return the request
   */
  public CalibrationRequest withResponseFile(String file) {
    return new CalibrationRequest(
        referenceLevelDb,
        referenceFrequencyHz,
        calibratorUncertaintyDb,
        couplingUncertaintyDb,
        microphone,
        sha256,
        file,
        input);
  }

  /**
   * The same for a live input.
   *
   * @param name the input's name, or null for a file
   * @return the request
   */
  public CalibrationRequest withInput(String name) {
    return new CalibrationRequest(
        referenceLevelDb,
        referenceFrequencyHz,
        calibratorUncertaintyDb,
        couplingUncertaintyDb,
        microphone,
        sha256,
        responseFile,
        name);
  }

  private static void within(String name, double value, double least, double most) {
    if (!(value >= least && value <= most)) {
      throw new IllegalArgumentException(name + ": " + least + " to " + most + ", got " + value);
    }
  }
}
