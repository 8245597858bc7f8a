package org.whinograph.speed.order;

import org.whinograph.signal.Quantile;

/**
 * How one line moves beside a speed, from the peaks of all frames.
 *
 * <p>Three measures that need not agree: the ratio of the line's frequency to the speed where it
 * sounds; the slope of ln frequency over ln speed, 1 for an order and 0 for a line that stays; and
 * whether it sounds when, and only when, an order of the shaft passes its frequency.
 */
final class LineMotion {
  /** Half width of the stretch around the line, in parts of its frequency. */
  private static final double REACH = 0.03;

  /** Standard deviation of a peak's frequency is about this over the root of its ratio [lines]. */
  private static final double PEAK_DEVIATION_LINES = 0.75;

  private static final double STRAYS = 0.1;

  /** The speed over a frame is the mean of several frames of the track. */
  private static final double TRACK_FRAMES = 3.0;

  /** Ratio of speeds over which a line must sound for its staying to say anything. */
  private static final double LEAST_RANGE = 1.02;

  private static final int ROUNDS = 4;
  private static final int FEWEST = 6;

  /** Half-overlapping frames share part of their noise: so many are worth one. */
  private static final double OVERLAP = 1.4;

  private final LineTracks tracks;
  private final ShaftMotion motion;
  private final double frequencyHz;

  private int present;
  private double firstS = Double.NaN;
  private double lastS = Double.NaN;
  private double ratio = Double.NaN;
  private double ratioDeviation = Double.NaN;
  private double slope = Double.NaN;
  private double slopeDeviation = Double.POSITIVE_INFINITY;
  private int predicted;
  private int predictedPresent;
  private int elsewhere;
  private int elsewherePresent;
  private double heardFromHz = Double.POSITIVE_INFINITY;
  private double heardToHz;

  /**
   * Follows a line.
   *
   * @param tracks peaks through time
   * @param motion speed through the same frames
   * @param frequencyHz frequency of the line in the average over all [Hz]
   */
  LineMotion(LineTracks tracks, ShaftMotion motion, double frequencyHz) {
    this.tracks = tracks;
    this.motion = motion;
    this.frequencyHz = frequencyHz;
    findRatio();
    if (!Double.isNaN(ratio)) {
      findSlope();
      compare();
    }
  }

  private boolean sounds(int frame, double reachHz) {
    return tracks.strongest(frame, frequencyHz - reachHz, frequencyHz + reachHz) >= 0;
  }

  /** Reach around a line that is smeared by its motion [Hz]. */
  private double reachHz(int frame, double order) {
    double smear = Double.isNaN(motion.hz(frame)) ? 0.0 : order * motion.swing(frame);
    return 1.5 * tracks.lineSpacingHz() + 0.5 * smear;
  }

  private void findRatio() {
    double reach = 1.5 * tracks.lineSpacingHz();
    double[] ratios = new double[tracks.frames()];
    double[] times = new double[tracks.frames()];
    int n = 0;
    for (int i = 0; i < tracks.frames(); i++) {
      int peak = tracks.strongest(i, frequencyHz - reach, frequencyHz + reach);
      if (peak < 0) {
        continue;
      }
      times[present++] = tracks.middleS(i);
      if (!Double.isNaN(motion.hz(i))) {
        heardFromHz = Math.min(heardFromHz, motion.hz(i));
        heardToHz = Math.max(heardToHz, motion.hz(i));
        ratios[n++] = tracks.frequencyHz(peak) / motion.hz(i);
      }
    }
    if (present > 0) {
      // A few strays, such as an order that crosses, don't count.
      int strays = (int) (STRAYS * present);
      firstS = times[strays];
      lastS = times[present - 1 - strays];
    }
    if (n < 3) {
      return;
    }
    ratio = Quantile.median(ratios, n);
    double[] off = new double[n];
    for (int i = 0; i < n; i++) {
      off[i] = Math.abs(ratios[i] - ratio);
    }
    // Normal values: σ = 1.483 times the median deviation, the median has π/2 times the variance
    // of the mean.
    double sigma = 1.483 * Quantile.median(off, n);
    ratioDeviation = sigma * Math.sqrt(0.5 * Math.PI * OVERLAP / n);
  }

  private void findSlope() {
    int n = tracks.frames();
    double[] x = new double[n];
    double[] y = new double[n];
    double[] v = new double[n];
    double[] noise = new double[n];
    int count = 0;
    for (int i = 0; i < n; i++) {
      double hz = motion.hz(i);
      double expected = ratio * hz;
      if (Double.isNaN(hz) || Math.abs(expected - frequencyHz) > REACH * frequencyHz) {
        continue;
      }
      double reach = reachHz(i, ratio);
      int peak =
          tracks.strongest(
              i, Math.min(expected, frequencyHz) - reach, Math.max(expected, frequencyHz) + reach);
      if (peak < 0) {
        continue;
      }
      double smear = 0.25 * ratio * motion.swing(i) / frequencyHz;
      double own =
          PEAK_DEVIATION_LINES
              * tracks.lineSpacingHz()
              / frequencyHz
              / Math.sqrt(tracks.ratio(peak));
      x[count] = Math.log(hz);
      y[count] = Math.log(tracks.frequencyHz(peak));
      v[count] = own * own + smear * smear;
      noise[count] = motion.deviation(i) * motion.deviation(i) / TRACK_FRAMES;
      count++;
    }
    if (count >= FEWEST) {
      fit(x, y, v, noise, count);
    }
  }

  /** A straight line, outliers weighed down (Huber 1964), the noise of the speed taken out. */
  private void fit(double[] x, double[] y, double[] v, double[] noise, int n) {
    double[] weight = new double[n];
    for (int i = 0; i < n; i++) {
      weight[i] = 1.0 / v[i];
    }
    double b = 0.0;
    for (int round = 0; round < ROUNDS; round++) {
      double s = 0.0;
      double sx = 0.0;
      double sy = 0.0;
      double sn = 0.0;
      for (int i = 0; i < n; i++) {
        s += weight[i];
        sx += weight[i] * x[i];
        sy += weight[i] * y[i];
        sn += weight[i] * noise[i];
      }
      double xm = sx / s;
      double ym = sy / s;
      double xx = 0.0;
      double xy = 0.0;
      double meat = 0.0;
      for (int i = 0; i < n; i++) {
        xx += weight[i] * (x[i] - xm) * (x[i] - xm);
        xy += weight[i] * (x[i] - xm) * (y[i] - ym);
      }
      // What the track's own noise adds to the spread of the speed pulls the slope to 0.
      double spread = xx - sn;
      if (spread < 0.5 * xx || !(xx > 0)) {
        return;
      }
      b = xy / spread;
      double[] off = new double[n];
      for (int i = 0; i < n; i++) {
        double residual = y[i] - ym - b * (x[i] - xm);
        off[i] = Math.abs(residual) / Math.sqrt(v[i]);
        meat += Math.pow(weight[i] * (x[i] - xm) * residual, 2);
      }
      double scale = Math.max(1.0, 1.483 * Quantile.median(off, n));
      slope = b;
      double byModel = scale * scale / spread;
      double byScatter = meat / (spread * spread);
      slopeDeviation = Math.sqrt(OVERLAP * Math.max(byModel, byScatter));
      for (int i = 0; i < n; i++) {
        double limit = 2.5 * scale;
        weight[i] = (off[i] <= limit ? 1.0 : limit / off[i]) / v[i];
      }
    }
  }

  private void compare() {
    double order = Math.rint(ratio);
    double line = tracks.lineSpacingHz();
    for (int i = 0; i < tracks.frames(); i++) {
      double hz = motion.hz(i);
      if (Double.isNaN(hz)) {
        continue;
      }
      double reach = reachHz(i, order);
      double off = Math.abs(order * hz - frequencyHz);
      if (off <= reach) {
        predicted++;
        predictedPresent += sounds(i, 1.5 * line) ? 1 : 0;
      } else if (off > reach + 2.0 * line) {
        elsewhere++;
        elsewherePresent += sounds(i, 1.5 * line) ? 1 : 0;
      }
    }
  }

  /** Frames in which a peak stands at the line. */
  int present() {
    return present;
  }

  /** Share of all frames in which a peak stands at the line [1]. */
  double presentShare() {
    return tracks.frames() == 0 ? 0.0 : (double) present / tracks.frames();
  }

  /** Middle of the first frame in which it sounds, but for strays [s]; NaN without any. */
  double firstS() {
    return firstS;
  }

  /** Middle of the last frame in which it sounds, but for strays [s]; NaN without any. */
  double lastS() {
    return lastS;
  }

  /** Median ratio of its frequency to the speed where it sounds [1]; NaN if unknown. */
  double ratio() {
    return ratio;
  }

  /** Standard deviation of that ratio by the scatter of the frames [1]. */
  double ratioDeviation() {
    return ratioDeviation;
  }

  /** Slope of ln frequency over ln speed [1]; NaN if unknown. */
  double slope() {
    return slope;
  }

  /** Standard deviation of the slope [1]. */
  double slopeDeviation() {
    return slopeDeviation;
  }

  /** Whether the slope says that it moves with the speed and doesn't stay. */
  boolean slopeFollows() {
    return Math.abs(slope - 1.0) < 3.0 * slopeDeviation + 0.05
        && slope > 4.0 * slopeDeviation + 0.2;
  }

  /** Whether the slope says that it stays and doesn't move with the speed. */
  boolean slopeStays() {
    return Math.abs(slope) < 3.0 * slopeDeviation + 0.05
        && 1.0 - slope > 4.0 * slopeDeviation + 0.2;
  }

  /** Whether it sounds when the order passes and not otherwise. */
  boolean comesWithTheOrder() {
    return predicted >= 3
        && elsewhere >= 6
        && predictedPresent >= 0.5 * predicted
        && shareElsewhere() < 0.2 * sharePredicted();
  }

  /** Whether it sounds at speeds at which the order is somewhere else, as often as otherwise. */
  boolean soundsElsewhere() {
    return elsewhere >= 8
        && heardToHz > LEAST_RANGE * heardFromHz
        && elsewherePresent >= 0.6 * elsewhere
        && (predicted < 4 || shareElsewhere() > 0.6 * sharePredicted());
  }

  private double sharePredicted() {
    return (double) predictedPresent / predicted;
  }

  private double shareElsewhere() {
    return (double) elsewherePresent / elsewhere;
  }

  /** Frames in which the order passes the line. */
  int predicted() {
    return predicted;
  }

  /** Of those the ones in which it sounds. */
  int predictedPresent() {
    return predictedPresent;
  }

  /** Frames in which the order is somewhere else. */
  int elsewhere() {
    return elsewhere;
  }

  /** Of those the ones in which it sounds. */
  int elsewherePresent() {
    return elsewherePresent;
  }

  /** Lowest speed at which it sounds [1/s]. */
  double heardFromHz() {
    return heardFromHz;
  }

  /** Highest speed at which it sounds [1/s]. */
  double heardToHz() {
    return heardToHz;
  }
}
