package org.whinograph.speed.order;

import org.whinograph.speed.SpeedTrack;

/**
 * A track of speed, seen through the frames of spectra: what a line that turns with it should show
 * in each.
 */
final class ShaftMotion {
  /** Moments of a frame at which the speed is looked at. */
  static final int STEPS = 16;

  private static final double TWO_SIDED_95 = 1.96;

  private final double[] hz;
  private final double[] within;
  private final double[] deviation;
  private final double[] swing;
  private double leastHz = Double.POSITIVE_INFINITY;
  private double greatestHz;
  private int known;

  /**
   * Looks at a track through frames.
   *
   * @param tracks the frames
   * @param track speed [1/min]
   */
  ShaftMotion(LineTracks tracks, SpeedTrack track) {
    int frames = tracks.frames();
    hz = new double[frames];
    within = new double[frames * STEPS];
    deviation = new double[frames];
    swing = new double[frames];
    for (int i = 0; i < frames; i++) {
      double middle = tracks.middleS(i);
      double sum = 0.0;
      double weights = 0.0;
      double low = Double.POSITIVE_INFINITY;
      double high = 0.0;
      for (int s = 0; s < STEPS; s++) {
        double place = (s + 0.5) / STEPS;
        double rpm = track.rpmAt(middle + (place - 0.5) * tracks.lengthS());
        double w = heard(s);
        within[i * STEPS + s] = rpm / 60.0;
        sum += w * rpm / 60.0;
        weights += w;
        if (place > 0.2 && place < 0.8) {
          low = Math.min(low, rpm / 60.0);
          high = Math.max(high, rpm / 60.0);
        }
      }
      hz[i] = sum / weights;
      swing[i] = high - low;
      deviation[i] = deviationAt(track, middle);
      if (!Double.isNaN(hz[i])) {
        known++;
        leastHz = Math.min(leastHz, hz[i]);
        greatestHz = Math.max(greatestHz, hz[i]);
      }
    }
  }

  private static double deviationAt(SpeedTrack track, double seconds) {
    if (track.frames() < 2) {
      return Double.NaN;
    }
    double step = track.timeS()[1] - track.timeS()[0];
    int nearest = (int) Math.rint((seconds - track.timeS()[0]) / step);
    nearest = Math.max(0, Math.min(track.frames() - 1, nearest));
    double width = track.highRpm()[nearest] - track.lowRpm()[nearest];
    return width / (2.0 * TWO_SIDED_95 * track.rpm()[nearest]);
  }

  /** What a frame hears of one of its moments: the power of a Hann window, not normalised [1]. */
  static double heard(int step) {
    return Math.pow(Math.sin(Math.PI * (step + 0.5) / STEPS), 4);
  }

  /** Speed at a moment of a frame [1/s]; NaN where it isn't known. */
  double hzWithin(int frame, int step) {
    return within[frame * STEPS + step];
  }

  /** Speed over a frame [1/s]; NaN where it isn't known for the whole frame. */
  double hz(int frame) {
    return hz[frame];
  }

  /** Relative standard deviation of that speed [1]. */
  double deviation(int frame) {
    return deviation[frame];
  }

  /** How far the speed moves within the middle of the frame [1/s]. */
  double swing(int frame) {
    return swing[frame];
  }

  /** Number of frames. */
  int frames() {
    return hz.length;
  }

  /** Frames whose speed is known. */
  int known() {
    return known;
  }

  /** Lowest speed of a frame [1/s]. */
  double leastHz() {
    return leastHz;
  }

  /** Highest speed of a frame [1/s]. */
  double greatestHz() {
    return greatestHz;
  }

  /** Highest over lowest speed, less 1; 0 without any known frame [1]. */
  double range() {
    return known == 0 ? 0.0 : greatestHz / leastHz - 1.0;
  }
}
