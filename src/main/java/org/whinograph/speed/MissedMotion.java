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
  private static final int JITTER_STEPS = 32;

  private static final int SPREAD_STEPS = 12;

  /** Weights below this say nothing about a spread that is wanted within a thousandth [1]. */
  private static final double LEAST_WEIGHT = 1e-7;

  /** Far below what any window tells: a synchronous motor has none. */
  private static final double LEAST_JITTER = 1e-7;

  private static final double MOST_JITTER = 5e-3;

  /** Half of the machines whose jitter isn't heard have none (judgement): weight of the least. */
  private static final double STILL_NATS = Math.log(JITTER_STEPS);

  private static final double[] JITTERS = jitters();

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

  /** Least part of their length by which windows that tell of jitter are apart [1]. */
  private static final double LEAST_APART = 0.75;

  /**
   * How probable it is that windows differ by a glide or a drift and not by jitter (judgement) [1].
   */
  private static final double DRIFTS = 0.02;

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

  /** Logarithm of what a frame begins with, by the window that was kept [nat]. */
  private final double[][] prior = new double[Baseband.WINDOWS.length][JITTER_STEPS];

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
      logs[0] += STILL_NATS;
      run[held] = normalised(logs);
      for (int k = 0; k < JITTER_STEPS; k++) {
        prior[held][k] = Math.log((1.0 - BENDS) * run[held][k] + BENDS / JITTER_STEPS);
      }
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
   * Rules out jitter that would show between the windows of one length: where four seconds stay
   * coherent, they differ by far less than the noise of the short windows. How fast the jitter is
   * isn't known.
   */
  private void bound(int held, double[] logs) {
    double[][] by = new double[JitterShares.BETWEEN.length][JITTER_STEPS];
    double[][] asked = new double[by.length][JITTER_STEPS];
    for (int level = 0; level <= held && level + 1 < shorter.size(); level++) {
      bound(level, held, by, asked);
    }
    for (int k = 0; k < JITTER_STEPS; k++) {
      double sum = 0.0;
      for (int speed = 0; speed < by.length; speed++) {
        double jitters = (1.0 - DRIFTS) * Math.exp(asked[speed][k]) + DRIFTS;
        sum += Math.exp(by[speed][k]) * jitters / by.length;
      }
      logs[k] += Math.log(Math.max(Double.MIN_NORMAL, sum));
    }
  }

  /**
   * The same by one length of window.
   *
   * @param by for each speed of the jitter what rules out the most [nat]
   * @param asked what speaks for jitter if the kept windows differ by nothing else [nat]
   */
  private void bound(int level, int held, double[][] by, double[][] asked) {
    Estimates at = level == held ? kept : shorter.get(level + 1);
    int apart = Baseband.WINDOWS[level] / Baseband.BLOCKS_PER_FRAME;
    double sum = 0.0;
    double noise = 0.0;
    int n = 0;
    for (int i = 0; i + apart < keptLevel.length; i++) {
      if (keptLevel[i] == held && keptLevel[i + apart] == held) {
        double d = at.value[i + apart] - at.value[i];
        sum += 0.5 * d * d;
        noise += 0.5 * (at.variance[i] + at.variance[i + apart]);
        n++;
      }
    }
    // The outer windows of a run lie against its ends.
    if (n < LEAST_APART * apart) {
      return;
    }
    double independent = Math.max(1.0, (double) n / apart);
    double found = Math.max(sum, noise) / n;
    for (int speed = 0; speed < by.length; speed++) {
      double share = JitterShares.BETWEEN[speed][level][held];
      for (int k = 0; k < JITTER_STEPS; k++) {
        double expected = noise / n + share * jitter(k) * jitter(k);
        // Half a sum of squares of so many normal deviates; a glide shows more than this.
        double ratio = found / expected;
        double log = 0.5 * independent * (Math.log(ratio) - ratio + 1.0);
        if (ratio < 1.0) {
          by[speed][k] = Math.min(by[speed][k], log);
        } else if (level == held) {
          asked[speed][k] = log;
        }
      }
    }
  }

  /**
   * Variance of a quarter of a second about the window that a frame was kept with, beside noise, as
   * is usual in the run.
   */
  double quickApart(int frame) {
    int held = keptLevel[frame];
    double share =
        atEnds(frame) == 1.0
            ? JitterShares.ABOUT_KEPT[0][held]
            : JitterShares.ABOUT_KEPT_AT_ENDS[0][held] * atEnds(frame);
    return share * mean(run[held]) + (held == 0 ? smeared : 0.0);
  }

  /** What a quarter of a second misses in a frame, as is usual in the run. */
  double missedByQuick(int frame) {
    return JitterShares.QUICK[keptLevel[frame]] * mean(run[keptLevel[frame]]);
  }

  /** What the kept window of a frame misses over what it misses away from the ends of the run. */
  private double atEnds(int frame) {
    double[] of = JitterShares.AT_ENDS[keptLevel[frame]];
    int in = Math.min(frame, keptLevel.length - 1 - frame);
    return in < of.length ? of[in] : 1.0;
  }

  double ofFrame(int frame, double other) {
    int from = Math.max(0, frame - BEND_FRAMES);
    int to = Math.min(kept.value.length, frame + BEND_FRAMES + 1);
    double[] logs = prior[keptLevel[frame]].clone();
    for (int level = 0; level < shorter.size(); level++) {
      weigh(level, keptLevel[frame], from, to, Double.POSITIVE_INFINITY, logs);
    }
    double more = other + (keptLevel[frame] == 0 ? smeared : 0.0);
    return spread(normalised(logs), more, atEnds(frame));
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
    double noiseLeft =
        JitterShares.NOISE_LEFT[Math.min(JitterShares.NOISE_LEFT.length - 1, held - level)];
    double sum = 0.0;
    double weight = 0.0;
    double spread = 0.0;
    double share = 0.0;
    double shareAtEnds = 0.0;
    int n = 0;
    for (int i = from; i < to; i++) {
      if (keptLevel[i] != held) {
        continue;
      }
      n++;
      double v = noiseLeft * at.variance[i];
      double w = 1.0 / ((v + typical) * (v + typical));
      double d = at.value[i] - kept.value[i];
      sum += w * (Math.min(d * d, clip * (v + typical)) - v);
      spread += 2.0 * w * w * v * v;
      weight += w;
      double ends = atEnds(i);
      share += ends == 1.0 ? w : 0.0;
      shareAtEnds += ends == 1.0 ? 0.0 : w * ends;
    }
    if (weight == 0.0) {
      return;
    }
    // Windows of 2^level frames overlap, so that neighbours tell the same.
    double overlap = Math.min(n, Math.pow(2.0, level));
    // The bell that holds faint windows to the middle takes noise away: less is no evidence.
    double measured = Math.max(0.0, sum / weight);
    double inside = JitterShares.ABOUT_KEPT[level][held];
    if (held == 0) {
      double turned = RADIANS * lineHz * lineHz * Math.max(0.0, measured);
      inside = Math.max(LEAST_SHARE, inside / (1.0 + turned));
    }
    share = (share * inside + shareAtEnds * JitterShares.ABOUT_KEPT_AT_ENDS[level][held]) / weight;
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
  private static double spread(double[] weights, double other, double atEnds) {
    double low = other;
    double high = other + atEnds * MOST_JITTER * MOST_JITTER;
    for (int step = 0; step < SPREAD_STEPS; step++) {
      double middle = Math.sqrt(low * high);
      double inside = 0.0;
      for (int k = 0; k < weights.length; k++) {
        if (weights[k] > LEAST_WEIGHT) {
          double deviations = 1.96 * Math.sqrt(middle / (other + atEnds * jitter(k) * jitter(k)));
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
