package org.whinograph.rehearsal;

import java.util.List;
import org.whinograph.quantity.Decibels;

/**
 * Response of the simulated microphone by points: straight lines of decibels over log frequency,
 * constant beyond both ends. It colours all sound, but not the microphone's own noise.
 *
 * @param points frequency and response in order of frequency; the density of a point is its
 *     response [dB]; none is a flat microphone
 */
public record ResponseCurve(List<NoiseShape.Point> points) {
  /** A flat microphone. */
  public static final ResponseCurve FLAT = new ResponseCurve(List.of());

  /** Checks the components. {@inheritDoc} */
  public ResponseCurve {
    points = points.isEmpty() ? List.of() : new NoiseShape(points).points();
  }

  /**
   * Points as pairs.
   *
   * @param frequenciesAndDb frequency [Hz], response [dB], frequency, …
   * @return the response
   */
  public static ResponseCurve of(double... frequenciesAndDb) {
    return new ResponseCurve(NoiseShape.of(frequenciesAndDb).points());
  }

  /**
   * Whether the response is 0 dB everywhere.
   *
   * @return true for a flat microphone
   */
  public boolean isFlat() {
    return points.stream().allMatch(p -> p.densityDb() == 0);
  }

  /** Gain of power at a frequency [1]. */
  double powerGain(double frequencyHz) {
    return isFlat() ? 1 : Decibels.toEnergyRatio(new NoiseShape(points).densityDb(frequencyHz));
  }
}
