package org.whinograph.rehearsal;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.quantity.Decibels;

/**
 * One-sided power density of a stationary noise by points: straight lines of decibels over log
 * frequency between them, flat beyond both ends. Immutable.
 *
 * @param points in order of frequency, at least one
 */
public record NoiseShape(List<Point> points) {
  /**
   * A density at a frequency.
   *
   * @param frequencyHz frequency [Hz], above 0
   * @param densityDb level of the noise in a band 1 Hz wide [dB re 20 µPa]
   */
  public record Point(double frequencyHz, double densityDb) {
    /** Checks the components. {@inheritDoc} */
    public Point {
      if (!(frequencyHz > 0) || !Double.isFinite(frequencyHz) || !Double.isFinite(densityDb)) {
        throw new IllegalArgumentException(
            "frequencyHz, densityDb: above 0 Hz and finite, got "
                + frequencyHz
                + " Hz, "
                + densityDb
                + " dB");
      }
    }
  }

  /** Checks the components. {@inheritDoc} */
  public NoiseShape {
    points = List.copyOf(points);
    if (points.isEmpty()) {
      throw new IllegalArgumentException("points: at least 1, got 0");
    }
    for (int i = 1; i < points.size(); i++) {
      if (points.get(i).frequencyHz() <= points.get(i - 1).frequencyHz()) {
        throw new IllegalArgumentException(
            "points: frequencies rise, got "
                + points.get(i).frequencyHz()
                + " Hz after "
                + points.get(i - 1).frequencyHz()
                + " Hz");
      }
    }
  }

  /**
   * White noise.
   *
   * @param densityDb level in a band 1 Hz wide [dB re 20 µPa]
   * @return the shape
   */
  public static NoiseShape flat(double densityDb) {
    return new NoiseShape(List.of(new Point(1000, densityDb)));
  }

  /**
   * Noise that rises or falls with frequency between 20 Hz and 20 kHz and is flat beyond: pink at
   * −3.01 dB an octave, brown at −6.02.
   *
   * @param densityAt1kHzDb level in a band 1 Hz wide at 1 kHz [dB re 20 µPa]
   * @param dbPerOctave slope [dB an octave]
   * @return the shape
   */
  public static NoiseShape sloped(double densityAt1kHzDb, double dbPerOctave) {
    double octave = StrictMath.log(2);
    return new NoiseShape(
        List.of(
            new Point(20, densityAt1kHzDb + dbPerOctave * StrictMath.log(0.02) / octave),
            new Point(20_000, densityAt1kHzDb + dbPerOctave * StrictMath.log(20) / octave)));
  }

  /**
   * Points as pairs.
   *
   * @param frequenciesAndDensities frequency [Hz], density [dB re 20 µPa in 1 Hz], frequency, …
   * @return the shape
   * @throws IllegalArgumentException if the length is odd or the frequencies don't rise
   */
  public static NoiseShape of(double... frequenciesAndDensities) {
    if (frequenciesAndDensities.length % 2 != 0) {
      throw new IllegalArgumentException(
          "frequenciesAndDensities: pairs, got " + frequenciesAndDensities.length + " numbers");
    }
    List<Point> points = new ArrayList<>();
    for (int i = 0; i < frequenciesAndDensities.length; i += 2) {
      points.add(new Point(frequenciesAndDensities[i], frequenciesAndDensities[i + 1]));
    }
    return new NoiseShape(points);
  }

  /**
   * The same shape, louder or softer.
   *
   * @param db change [dB]
   * @return the shape
   */
  public NoiseShape raisedBy(double db) {
    return new NoiseShape(
        points.stream().map(p -> new Point(p.frequencyHz(), p.densityDb() + db)).toList());
  }

  /**
   * Whether the density is the same at all frequencies.
   *
   * @return true for white noise
   */
  public boolean isFlat() {
    double first = points.get(0).densityDb();
    return points.stream().allMatch(p -> p.densityDb() == first);
  }

  /**
   * Density at a frequency.
   *
   * @param frequencyHz frequency [Hz], at least 0
   * @return level in a band 1 Hz wide [dB re 20 µPa]
   */
  public double densityDb(double frequencyHz) {
    Point before = points.get(0);
    if (frequencyHz <= before.frequencyHz()) {
      return before.densityDb();
    }
    for (Point after : points) {
      if (frequencyHz <= after.frequencyHz()) {
        double share =
            StrictMath.log(frequencyHz / before.frequencyHz())
                / StrictMath.log(after.frequencyHz() / before.frequencyHz());
        return before.densityDb() + (after.densityDb() - before.densityDb()) * share;
      }
      before = after;
    }
    return before.densityDb();
  }

  /** Density at a frequency as a ratio to (20 µPa)²/Hz. */
  double density(double frequencyHz) {
    return Decibels.toEnergyRatio(densityDb(frequencyHz));
  }
}
