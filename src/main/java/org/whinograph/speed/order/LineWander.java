package org.whinograph.speed.order;

import java.util.Arrays;
import org.whinograph.signal.Quantile;

/**
 * How a line wanders about its place, frame by frame, and how far that is more than the noise of
 * its peaks. A clock stands still to parts in a million; a rotor wanders by parts in ten thousand,
 * and all its lines by the same factor. Immutable.
 */
final class LineWander {
  /** Standard deviation of a peak's frequency is about this over the root of its ratio [lines]. */
  private static final double PEAK_DEVIATION_LINES = 0.75;

  private static final double REACH_LINES = 1.5;

  /** A rotor's lines wander this far about a speed that rests [1] (judgement). */
  private static final double REACH_PART = 0.002;

  private static final int FEWEST = 12;

  /** A correlation counts from this many of its standard deviations on: one pair in 10⁵. */
  private static final double CLEAR = 4.5;

  /** Deviations of two lines of one rotor are alike within this factor. */
  private static final double ALIKE = 1.5;

  /** Wander of a line that is more than its noise by this factor in power is its own. */
  private static final double OWN_FACTOR = 4.0;

  /** Wander from which on a line is no clock's [1] (judgement). */
  private static final double NO_CLOCK = 1.5e-4;

  /** Relative deviation from the middle; NaN in frames without a peak. */
  private final double[] off;

  private final double noiseVariance;
  private final double variance;
  private final int present;

  /**
   * Follows a line.
   *
   * @param tracks peaks through time
   * @param frequencyHz frequency of the line in the average over all [Hz]
   */
  LineWander(LineTracks tracks, double frequencyHz) {
    int n = tracks.frames();
    double line = tracks.lineSpacingHz();
    double reach = REACH_LINES * line + REACH_PART * frequencyHz;
    off = new double[n];
    double[] noise = new double[n];
    int count = 0;
    for (int i = 0; i < n; i++) {
      int peak = tracks.strongest(i, frequencyHz - reach, frequencyHz + reach);
      off[i] = peak < 0 ? Double.NaN : tracks.frequencyHz(peak) / frequencyHz - 1.0;
      if (peak >= 0) {
        noise[count++] =
            Math.pow(PEAK_DEVIATION_LINES * line / frequencyHz, 2) / tracks.ratio(peak);
      }
    }
    present = count;
    double[] known = Arrays.stream(off).filter(v -> !Double.isNaN(v)).toArray();
    double middle = count == 0 ? 0.0 : Quantile.median(known, count);
    double[] squares = new double[count];
    int at = 0;
    for (int i = 0; i < n; i++) {
      off[i] -= middle;
      if (!Double.isNaN(off[i])) {
        squares[at++] = off[i] * off[i];
      }
    }
    // The median of the square of a normal value is 0.455 times its mean.
    variance = count == 0 ? 0.0 : Quantile.median(squares, count) / 0.455;
    noiseVariance = count == 0 ? 0.0 : Quantile.median(noise, count);
  }

  /** Standard deviation of its own wander, the noise taken off [1]. */
  double deviation() {
    return Math.sqrt(Math.max(0.0, variance - noiseVariance));
  }

  /** Whether it wanders more than noise explains. */
  boolean wanders() {
    return present >= FEWEST && variance > OWN_FACTOR * noiseVariance;
  }

  /** Whether it wanders more than a clock does. */
  boolean noClock() {
    return wanders() && deviation() > NO_CLOCK;
  }

  /** Largest wander that its noise could hide: two standard deviations of a variance [1]. */
  double hidden() {
    double scatter = 2.0 * Math.sqrt(2.0 / Math.max(1, present)) * noiseVariance;
    return Math.sqrt(Math.max(0.0, variance - noiseVariance) + scatter);
  }

  /** Whether it is known to wander no more than an oscillator does, and less than rotors do. */
  boolean likeAClock() {
    return present >= FEWEST && hidden() < 2.0 * NO_CLOCK;
  }

  /**
   * How a line wanders together with another.
   *
   * @param frames frames in which both sound
   * @param correlation correlation of their deviations [1]
   * @param clear whether they wander by the same factor, and it is no chance
   */
  record Together(int frames, double correlation, boolean clear) {}

  /** How it wanders together with another line. */
  Together with(LineWander other) {
    return with(other.off, other.deviation());
  }

  /** How it wanders together with a speed, its logarithm by frame. */
  Together with(double[] others, double otherDeviation) {
    int n = 0;
    double mean = 0.0;
    double otherMean = 0.0;
    for (int i = 0; i < off.length; i++) {
      if (!Double.isNaN(off[i] + others[i])) {
        n++;
        mean += off[i];
        otherMean += others[i];
      }
    }
    mean /= Math.max(1, n);
    otherMean /= Math.max(1, n);
    double xx = 0.0;
    double yy = 0.0;
    double xy = 0.0;
    double nextX = 0.0;
    double nextY = 0.0;
    double lastX = Double.NaN;
    double lastY = Double.NaN;
    for (int i = 0; i < off.length; i++) {
      double x = off[i] - mean;
      double y = others[i] - otherMean;
      if (!Double.isNaN(x + y)) {
        xx += x * x;
        yy += y * y;
        xy += x * y;
        nextX += Double.isNaN(lastX) ? 0.0 : x * lastX;
        nextY += Double.isNaN(lastX) ? 0.0 : y * lastY;
        lastX = x;
        lastY = y;
      }
    }
    if (n < FEWEST || !(xx > 0.0) || !(yy > 0.0)) {
      return new Together(n, 0.0, false);
    }
    double correlation = xy / Math.sqrt(xx * yy);
    // Values that run on from frame to frame count for fewer (Bartlett 1946).
    double run = Math.max(0.0, Math.min(0.9, nextX / xx * nextY / yy));
    double worth = n * (1.0 - run) / (1.0 + run);
    double factor = deviation() / otherDeviation;
    boolean clear =
        0.5 * Math.log((1.0 + correlation) / (1.0 - correlation)) * Math.sqrt(worth - 3.0) > CLEAR
            && factor < ALIKE
            && factor > 1.0 / ALIKE;
    return new Together(n, correlation, clear);
  }
}
