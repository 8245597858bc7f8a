package org.whinograph.rehearsal;

import java.util.ArrayList;
import java.util.List;

/**
 * A quantity through time by points: straight lines between them, constant before the first and
 * after the last. Two points of the same time make a step. Immutable.
 *
 * @param points in order of time, at least one
 */
public record TimeProfile(List<Point> points) {
  /**
   * A value at a time.
   *
   * @param timeS time from the start of the recording [s]
   * @param value value in the unit that its owner states
   */
  public record Point(double timeS, double value) {
    /** Checks the components. {@inheritDoc} */
    public Point {
      if (!Double.isFinite(timeS) || !Double.isFinite(value)) {
        throw new IllegalArgumentException("timeS, value: finite, got " + timeS + " s, " + value);
      }
    }
  }

  /** Checks the components. {@inheritDoc} */
  public TimeProfile {
    points = List.copyOf(points);
    if (points.isEmpty()) {
      throw new IllegalArgumentException("points: at least 1, got 0");
    }
    for (int i = 1; i < points.size(); i++) {
      if (points.get(i).timeS() < points.get(i - 1).timeS()) {
        throw new IllegalArgumentException(
            "points: in order of time, got "
                + points.get(i).timeS()
                + " s after "
                + points.get(i - 1).timeS()
                + " s");
      }
    }
  }

  /**
   * The same value all the time.
   *
   * @param value the value
   * @return the profile
   */
  public static TimeProfile constant(double value) {
    return new TimeProfile(List.of(new Point(0, value)));
  }

  /**
   * Points as pairs.
   *
   * @param timesAndValues time [s], value, time, value … [even length, at least 2]
   * @return the profile
   * @throws IllegalArgumentException if the length is odd or the times fall back
   */
  public static TimeProfile of(double... timesAndValues) {
    if (timesAndValues.length % 2 != 0) {
      throw new IllegalArgumentException(
          "timesAndValues: pairs of time and value, got " + timesAndValues.length + " numbers");
    }
    List<Point> points = new ArrayList<>();
    for (int i = 0; i < timesAndValues.length; i += 2) {
      points.add(new Point(timesAndValues[i], timesAndValues[i + 1]));
    }
    return new TimeProfile(points);
  }

  /**
   * The value at a time; at a step, the value after it.
   *
   * @param timeS time from the start of the recording [s]
   * @return value
   */
  public double at(double timeS) {
    Point before = points.get(0);
    if (timeS < before.timeS()) {
      return before.value();
    }
    // The last point at or before the time, by halving.
    int low = 0;
    int high = points.size() - 1;
    while (low < high) {
      int middle = (low + high + 1) >>> 1;
      if (points.get(middle).timeS() <= timeS) {
        low = middle;
      } else {
        high = middle - 1;
      }
    }
    before = points.get(low);
    if (low == points.size() - 1) {
      return before.value();
    }
    Point after = points.get(low + 1);
    return before.value()
        + (after.value() - before.value())
            * ((timeS - before.timeS()) / (after.timeS() - before.timeS()));
  }
}
