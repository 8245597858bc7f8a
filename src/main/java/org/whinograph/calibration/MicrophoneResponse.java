package org.whinograph.calibration;

import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import org.whinograph.signal.RefusedException;

/**
 * A microphone's frequency response as its maker or a laboratory gives it: how much higher than the
 * truth it reads at each frequency. It's subtracted from what is measured.
 *
 * <p>Between rows it's interpolated linearly in dB on a logarithmic frequency axis; outside the
 * rows it is unknown, never extrapolated. Immutable.
 */
public final class MicrophoneResponse {
  private final String name;
  private final double[] frequencyHz;
  private final double[] responseDb;
  private final SensitivityStatement sensitivity;

  /**
   * Makes a response.
   *
   * @param name name of its file, for messages
   * @param frequencyHz frequencies, strictly rising, above 0 [Hz, length at least 2]
   * @param responseDb response there [dB, the same length]
   * @param sensitivity what the file says of the sensitivity, or null
   * @throws IllegalArgumentException if lengths differ, are below 2, or frequencies don't rise
   */
  public MicrophoneResponse(
      String name, double[] frequencyHz, double[] responseDb, SensitivityStatement sensitivity) {
    if (frequencyHz.length < 2 || frequencyHz.length != responseDb.length) {
      throw new IllegalArgumentException(
          "frequencyHz, responseDb: the same length of at least 2, got "
              + frequencyHz.length
              + ", "
              + responseDb.length);
    }
    for (int i = 0; i < frequencyHz.length; i++) {
      if (!(frequencyHz[i] > (i == 0 ? 0 : frequencyHz[i - 1]))
          || !Double.isFinite(responseDb[i])) {
        throw new IllegalArgumentException(
            "frequencyHz, responseDb: rising from above 0, and finite; row "
                + i
                + " is "
                + frequencyHz[i]
                + ", "
                + responseDb[i]);
      }
    }
    this.name = name;
    this.frequencyHz = frequencyHz.clone();
    this.responseDb = responseDb.clone();
    this.sensitivity = sensitivity;
  }

  /**
   * Reads a response file; {@link ResponseFileReader} says in which layouts.
   *
   * @param file the file
   * @return the response
   * @throws RefusedException if it isn't there or isn't a response file; the message names the line
   */
  public static MicrophoneResponse read(Path file) throws RefusedException {
    return ResponseFileReader.read(file);
  }

  /**
   * Name of its file.
   *
   * @return the name
   */
  public String name() {
    return name;
  }

  /**
   * Number of rows.
   *
   * @return rows, at least 2
   */
  public int rows() {
    return frequencyHz.length;
  }

  /**
   * Lowest frequency with a response.
   *
   * @return frequency [Hz]
   */
  public double lowestHz() {
    return frequencyHz[0];
  }

  /**
   * Highest frequency with a response.
   *
   * @return frequency [Hz]
   */
  public double highestHz() {
    return frequencyHz[frequencyHz.length - 1];
  }

  /**
   * What the file says of the sensitivity.
   *
   * @return the statement, or empty
   */
  public Optional<SensitivityStatement> sensitivity() {
    return Optional.ofNullable(sensitivity);
  }

  /**
   * The rows, as a table or a chart shows them.
   *
   * @return pairs {frequency [Hz], response [dB]}, rising
   */
  public List<double[]> points() {
    List<double[]> points = new java.util.ArrayList<>(frequencyHz.length);
    for (int i = 0; i < frequencyHz.length; i++) {
      points.add(new double[] {frequencyHz[i], responseDb[i]});
    }
    return points;
  }

  /**
   * The response at a frequency.
   *
   * @param frequency frequency [Hz]
   * @return response [dB], or empty outside the rows
   */
  public OptionalDouble responseDb(double frequency) {
    if (!(frequency >= lowestHz() && frequency <= highestHz())) {
      return OptionalDouble.empty();
    }
    int found = java.util.Arrays.binarySearch(frequencyHz, frequency);
    if (found >= 0) {
      return OptionalDouble.of(responseDb[found]);
    }
    int above = -found - 1;
    double part =
        Math.log(frequency / frequencyHz[above - 1])
            / Math.log(frequencyHz[above] / frequencyHz[above - 1]);
    return OptionalDouble.of(
        responseDb[above - 1] + part * (responseDb[above] - responseDb[above - 1]));
  }
}
