package org.whinograph.speed;

import java.util.List;
import org.whinograph.signal.Quantile;

/**
 * Variance of the mean over a frame around what was kept: jitter, and bends of the path such as the
 * corner of a ramp, that the longer windows can't follow. The scatter of shorter windows beyond
 * their noise measures it, each length with its own standard error; the posterior mean over a
 * deviation evenly distributed in its logarithm, {@value #LEAST_JITTER} to {@value #MOST_JITTER},
 * is what the measures leave open. Jitter is the same through the run, a bend is one place: what
 * the run says is the prior of each frame, but for a share {@value #BENDS} of the frames in which
 * anything may be.
 */
final class MissedMotion {
  private static final int JITTER_STEPS = 30;

  private static final int SPREAD_STEPS = 12;

  /** Weights below this say nothing about a spread that is wanted within a thousandth [1]. */
  private static final double LEAST_WEIGHT = 1e-7;

  private static final double LEAST_JITTER = 1e-5;

  private static final double MOST_JITTER = 5e-3;

  private static final double[] JITTERS = jitters();

  /**
   * Scatter of a window of 1/4 s, 1/2 s or 1 s (rows) about a kept one of 1/2 s, 1 s, 2 s or 4 s
   * (columns) over what the kept one misses of the mean over a frame [1]. A window w that is Hann's
   * weighs the frequency at t by ∫ w s ds from t on; for jitter through one pole at 0.1 Hz to 2 Hz
   * the ratios so computed scatter by a quarter about these. They hold while jitter turns the phase
   * by less than a radian within the windows.
   */
  private static final double[][] SHARES = {
    {16.0, 2.2, 1.45, 1.25}, {0.0, 0.82, 0.92, 0.95}, {0.0, 0.0, 0.33, 0.58}
  };

  /** Squared phase that a deviation of 1 Hz turns in a quarter of half a second [rad²]. */
  private static final double RADIANS = Math.pow(2.0 * Math.PI * 0.128, 2);

  /**
   * Share of the variance of the shortest kept windows that they err by, over the squared phase
   * that it turns within them, and the greatest such share (judgement) [1]: jitter smears a line,
   * and noise then moves the peak about among its parts, less so from the ratio {@value
   * #FAINT_RATIO} on.
   */
  private static final double SMEARED = 0.012;

  private static final double MOST_SMEARED = 0.3;

  private static final double FAINT_RATIO = 10.0;

  /** The same ratio where the phase is lost (judgement) [1]. */
  private static final double LEAST_SHARE = 1.5;

  /** Least variance of a kept window by itself over what it misses, computed alike, at 2 Hz [1]. */
  private static final double[] HELD_SHARES = {80.0, 2.6, 0.55, 0.2};

  /** Share of frames near which the path may bend (judgement) [1]. */
  private static final double BENDS = 0.02;

  /** Frames to either side that tell of a bend. */
  private static final int BEND_FRAMES = 2;

  /** One frame counts for no more than this many times the usual variance in the run's scatter. */
  private static final double USUAL_CLIP = 6.0;

  /** Median of a squared standard normal deviate. */
  private static final double HALF_NORMAL = 0.455;

  private final List<Estimates> shorter;
  private final Estimates kept;
  private final int[] keptLevel;
  private final double lineHz;
  private final double[][] run = new double[Baseband.WINDOWS.length][];
  private final double smeared;
  private double[] typicals;

  MissedMotion(List<Estimates> shorter, Estimates kept, int[] keptLevel, double lineHz) {
    this.lineHz = lineHz;
    this.shorter = shorter;
    this.kept = kept;
    this.keptLevel = keptLevel;
    this.smeared = smeared();
    for (int held = 0; held < Baseband.WINDOWS.length; held++) {
      double[] logs = new double[JITTER_STEPS];
      for (int level = 0; level < shorter.size(); level++) {
        weigh(level, held, 0, kept.value.length, USUAL_CLIP, logs);
      }
      bound(held, logs);
      run[held] = normalised(logs);
    }
  }

  /** What the shortest kept windows err by where they are smeared, off the trend of the path. */
  private double smeared() {
    int apart = Baseband.WINDOWS[0] / Baseband.BLOCKS_PER_FRAME;
    double[] squares = new double[keptLevel.length];
    double noise = 0.0;
    int n = 0;
    for (int i = 0; i + 2 * apart < keptLevel.length; i++) {
      if (keptLevel[i] == 0 && keptLevel[i + apart] == 0 && keptLevel[i + 2 * apart] == 0) {
        double bend = kept.value[i] - 2.0 * kept.value[i + apart] + kept.value[i + 2 * apart];
        squares[n++] = bend * bend / 6.0;
        noise += kept.variance[i + apart];
      }
    }
    if (n < 2 * apart) {
      return 0.0;
    }
    double median = Quantile.median(squares, n);
    double wander = Math.max(0.0, median / HALF_NORMAL - noise / n);
    double turned = RADIANS * lineHz * lineHz * wander;
    double share = SMEARED * turned * Math.min(1.0, Math.pow(FAINT_RATIO / kept.meanStrength(), 2));
    return Math.min(MOST_SMEARED, share) * wander;
  }

  /**
   * Rules out jitter that would show between the kept windows themselves: where four seconds stay
   * coherent, they differ by far less than the noise of the short windows.
   */
  private void bound(int held, double[] logs) {
    int apart = Baseband.WINDOWS[held] / Baseband.BLOCKS_PER_FRAME;
    double sum = 0.0;
    double noise = 0.0;
    int n = 0;
    for (int i = 0; i + apart < keptLevel.length; i++) {
      if (keptLevel[i] == held && keptLevel[i + apart] == held) {
        double d = kept.value[i + apart] - kept.value[i];
        sum += 0.5 * d * d;
        noise += 0.5 * (kept.variance[i] + kept.variance[i + apart]);
        n++;
      }
    }
    double independent = (double) n / apart;
    if (independent < 1.0) {
      return;
    }
    double found = sum / n;
    for (int k = 0; k < JITTER_STEPS; k++) {
      double expected = noise / n + HELD_SHARES[held] * jitter(k) * jitter(k);
      // Half a sum of squares of so many normal deviates; a slower jitter shows more than this.
      double ratio = Math.min(1.0, found / expected);
      logs[k] += 0.5 * independent * (Math.log(ratio) - ratio + 1.0);
    }
  }

  /** What is usual in the run for the window that a frame was kept with. */
  double usual(int frame) {
    return mean(run[keptLevel[frame]]) + (keptLevel[frame] == 0 ? smeared : 0.0);
  }

  double ofFrame(int frame, double other) {
    int from = Math.max(0, frame - BEND_FRAMES);
    int to = Math.min(kept.value.length, frame + BEND_FRAMES + 1);
    double[] logs = new double[JITTER_STEPS];
    for (int level = 0; level < shorter.size(); level++) {
      weigh(level, keptLevel[frame], from, to, Double.POSITIVE_INFINITY, logs);
    }
    for (int k = 0; k < JITTER_STEPS; k++) {
      logs[k] += Math.log((1.0 - BENDS) * run[keptLevel[frame]][k] + BENDS / JITTER_STEPS);
    }
    return spread(normalised(logs), other + (keptLevel[frame] == 0 ? smeared : 0.0));
  }

  /**
   * Adds what windows of one length say in frames kept with another to the logarithms of the
   * posterior.
   */
  private void weigh(int level, int held, int from, int to, double clip, double[] logs) {
    if (held < level) {
      return;
    }
    Estimates at = shorter.get(level);
    double typical = typical(at, level);
    double sum = 0.0;
    double weight = 0.0;
    double spread = 0.0;
    int n = 0;
    for (int i = from; i < to; i++) {
      if (keptLevel[i] != held) {
        continue;
      }
      n++;
      double v = at.variance[i];
      double w = 1.0 / ((v + typical) * (v + typical));
      double d = at.value[i] - kept.value[i];
      sum += w * (Math.min(d * d, clip * (v + typical)) - v);
      spread += 2.0 * w * w * v * v;
      weight += w;
    }
    if (weight == 0.0) {
      return;
    }
    // Windows of 2^level frames overlap, so that neighbours tell the same.
    double overlap = Math.min(n, Math.pow(2.0, level));
    double measured = sum / weight;
    double share = SHARES[level][held];
    if (held == 0) {
      double turned = RADIANS * lineHz * lineHz * Math.max(0.0, measured);
      share = Math.max(LEAST_SHARE, share / (1.0 + turned));
    }
    for (int k = 0; k < JITTER_STEPS; k++) {
      double variance = share * jitter(k) * jitter(k);
      double own = 2.0 * variance * variance * overlap / n;
      double error = spread * overlap / (weight * weight) + own;
      double off = measured - variance;
      logs[k] -= 0.5 * off * off / error + 0.5 * Math.log(error);
    }
  }

  /** Variance that a window of some length usually has about what was kept. */
  private double typical(Estimates at, int level) {
    if (typicals == null) {
      typicals = new double[shorter.size()];
    }
    if (typicals[level] == 0.0) {
      int n = at.variance.length;
      double[] squares = new double[n];
      for (int i = 0; i < n; i++) {
        double off = at.value[i] - kept.value[i];
        squares[i] = off * off;
      }
      double noise = Quantile.median(at.variance, n);
      typicals[level] = Math.max(noise, Quantile.median(squares, n) / HALF_NORMAL);
    }
    return typicals[level];
  }

  private static double[] normalised(double[] logs) {
    double top = logs[0];
    for (double log : logs) {
      top = Math.max(top, log);
    }
    double[] result = new double[logs.length];
    double sum = 0.0;
    for (int k = 0; k < logs.length; k++) {
      result[k] = Math.exp(logs[k] - top);
      sum += result[k];
    }
    for (int k = 0; k < logs.length; k++) {
      result[k] /= sum;
    }
    return result;
  }

  /**
   * Variance of the normal distribution whose 95 % interval is that of the posterior, in which the
   * variance itself is open: its mean would let a few great ones widen every interval.
   */
  private static double spread(double[] weights, double other) {
    double low = other;
    double high = other + MOST_JITTER * MOST_JITTER;
    for (int step = 0; step < SPREAD_STEPS; step++) {
      double middle = Math.sqrt(low * high);
      double inside = 0.0;
      for (int k = 0; k < weights.length; k++) {
        if (weights[k] > LEAST_WEIGHT) {
          double deviations = 1.96 * Math.sqrt(middle / (other + jitter(k) * jitter(k)));
          inside += weights[k] * erf(deviations / Math.sqrt(2.0));
        }
      }
      if (inside < 0.95) {
        low = middle;
      } else {
        high = middle;
      }
    }
    return high;
  }

  /** Error function within 1.5e-7: Abramowitz and Stegun, Handbook (1964), 7.1.26. */
  private static double erf(double x) {
    double t = 1.0 / (1.0 + 0.3275911 * x);
    double sum = 1.061405429;
    sum = -1.453152027 + t * sum;
    sum = 1.421413741 + t * sum;
    sum = -0.284496736 + t * sum;
    sum = 0.254829592 + t * sum;
    return 1.0 - t * sum * Math.exp(-x * x);
  }

  private static double mean(double[] weights) {
    double sum = 0.0;
    for (int k = 0; k < weights.length; k++) {
      sum += weights[k] * jitter(k) * jitter(k);
    }
    return sum;
  }

  private static double[] jitters() {
    double[] result = new double[JITTER_STEPS];
    for (int k = 0; k < JITTER_STEPS; k++) {
      result[k] = LEAST_JITTER * Math.pow(MOST_JITTER / LEAST_JITTER, k / (JITTER_STEPS - 1.0));
    }
    return result;
  }

  private static double jitter(int step) {
    return JITTERS[step];
  }
}
