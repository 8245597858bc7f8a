package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * Sharpens a coarse path. The harmonics that carry evidence are brought down to zero frequency by
 * the path itself, which takes a ramp out of all of them alike; then what is left of the speed is
 * sought by the sum of the harmonics' periodograms, in windows of half a second, one, two and four
 * seconds: each doubling is kept only where the lines stay coherent. For a sinusoid in noise the
 * periodogram over the noise density is the logarithm of the likelihood of its frequency, so its
 * curvature is the precision (Rife and Boorstyn 1974), and the windows come near the Cramér–Rao
 * bound of their length.
 *
 * <p>Not safe for use by several threads.
 */
final class CombRefiner {
  private static final int BLOCKS_PER_FRAME = 8;

  /** Part of the rate of the blocks within which a residual has no image. */
  private static final double UNAMBIGUOUS = 0.48;

  private static final int QUICK_WINDOW = 8;
  private static final int[] WINDOWS = {16, 32, 64, 128};
  private static final int MOST_HARMONICS = 4;

  /** A harmonic nearer than this to a standing line can't be told from it [Hz]. */
  private static final double CROSSING_HZ = 8.0;

  private static final int JITTER_STEPS = 30;
  private static final int SPREAD_STEPS = 12;
  private static final double LEAST_JITTER = 1e-5;
  private static final double MOST_JITTER = 5e-3;

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

  /**
   * Standard deviation of a frame's mean where the path bends, over its second difference D [1].
   * Between the middles of frames the path is taken as straight. A corner u frames from a middle
   * lifts the mean over the frame by D (1/2 − |u|)²/2; with u even over the frame the root mean
   * square of that is D √(1/320).
   */
  private static final double BEND_SHARE = Math.sqrt(1.0 / 320.0);

  /** One frame counts for no more than this many times the usual variance in the run's scatter. */
  private static final double USUAL_CLIP = 6.0;

  /** A quick window that differs by more standard deviations than this from a long one is right. */
  private static final double DISAGREEMENT = 4.0;

  /** Median of a squared standard normal deviate. */
  private static final double HALF_NORMAL = 0.455;

  /** Signal-to-noise ratio from which on a quick window isn't led astray by noise. */
  private static final double CLEAR_RATIO = 15.0;

  /**
   * A peak is sought at every third residual first. A step beside its top, a fifth of a line, a
   * Hann window is down to 0.95: what is left below the greatest by more than {@value #COARSE_LOSS}
   * of it and one nat has no greater one beside it.
   */
  private static final int COARSE = 3;

  private static final double COARSE_LOSS = 0.2;
  private static final double COARSE_LOSS_NATS = 1.0;

  /** What a parabola through points 0.2/T apart errs by, T the window, times T [1]. */
  private static final double INTERPOLATION = 0.004;

  /** Width over which a path is smoothed about which single lines are sought [frames]. */
  private static final double SLOW_FRAMES = 12.0;

  /** Least share of the gain of a coherent doubling for it to be kept. */
  private static final double LEAST_COHERENCE = 0.75;

  /**
   * Variance of the peak of a Hann-windowed periodogram in white noise, over the reciprocal of its
   * curvature: (Σw Σw²t²) / (Σw² Σwt²), by linearising the peak's condition.
   */
  private static final double HANN_VARIANCE = hannVariance();

  private final double rate;
  private final int hop;
  private final int block;
  private final double highestHz;

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param hop spacing of the frames [samples], a multiple of 8
   * @param highestHz highest frequency of a line [Hz]
   */
  CombRefiner(double rate, int hop, double highestHz) {
    this.rate = rate;
    this.hop = hop;
    this.block = hop / BLOCKS_PER_FRAME;
    this.highestHz = highestHz;
  }

  /**
   * What is known of the spacing in each frame.
   *
   * @param hz mean spacing over the frame [Hz], NaN where unknown
   * @param deviation relative standard deviation of that mean [1]
   * @param strength signal-to-noise ratio of the harmonics together in the window that was kept [1]
   * @param windowS length of that window [s]
   */
  record Refined(double[] hz, double[] deviation, double[] strength, double[] windowS) {}

  /**
   * Refines a run of frames without jumps.
   *
   * @param audio samples; frame i is centred at (i + 1) · hop
   * @param coarseHz coarse spacing, one a frame [Hz]
   * @param from first frame of the run
   * @param to end of the run, exclusive
   * @param harmonicEvidence mean evidence of harmonics 1 …
   * @param standing lines that stand still: a harmonic that crosses one is left out there [Hz]
   * @param out where frames from … to are written
   * @return how the run moves
   */
  CombMotion refine(
      float[] audio,
      double[] coarseHz,
      int from,
      int to,
      double[] harmonicEvidence,
      List<Double> standing,
      Refined out) {
    int frames = to - from;
    double[] logHz = new double[frames];
    for (int i = 0; i < frames; i++) {
      logHz[i] = Math.log(coarseHz[from + i]);
    }
    double[] weights = new double[frames];
    Arrays.fill(weights, 1.0);
    logHz = smoothed(logHz, weights, 0.7);
    double top = 0.0;
    for (double value : logHz) {
      top = Math.max(top, Math.exp(value));
    }
    int[] orders = strongest(harmonicEvidence, top);
    int blocks = frames * BLOCKS_PER_FRAME;
    Baseband baseband = new Baseband(orders, blocks);
    baseband.fill(audio, logHz, from);
    double[][] noise = baseband.noise(frames);
    leaveOutCrossings(logHz, orders, standing, noise);
    Estimates quick = new Estimates(frames);
    baseband.turnTo(logHz, logHz);
    for (int i = 0; i < frames; i++) {
      double hz = Math.exp(logHz[i]);
      double reach = Math.max(0.02, 2.0 / hz);
      double trust = Math.max(0.004, 0.5 / hz);
      baseband.estimate(i, QUICK_WINDOW, reach, trust, noise, logHz, quick);
    }
    // Where the coarse path lags, as at the corner of a ramp, the quick windows lead on.
    double[] quickCentre = smoothed(quick.value, quick.precision(), 0.8);
    Estimates onCoarse = baseband.estimates(WINDOWS[0], logHz, logHz, noise, 0.0);
    Estimates kept = baseband.estimates(WINDOWS[0], logHz, quickCentre, noise, 0.0);
    for (int i = 0; i < frames; i++) {
      if (onCoarse.strength[i] > kept.strength[i]) {
        kept.take(onCoarse, i);
      }
    }
    int[] keptLevel = new int[frames];
    List<Estimates> shorter = new ArrayList<>(List.of(quick, kept.copy()));
    double[] previousStrength = kept.strength.clone();
    boolean[] open = new boolean[frames];
    Arrays.fill(open, true);
    for (int level = 1; level < WINDOWS.length; level++) {
      if (blocks < WINDOWS[level]) {
        break;
      }
      double width = 0.5 * WINDOWS[level] / BLOCKS_PER_FRAME;
      double[] centre = smoothed(kept.value, kept.precision(), width);
      double previousS = WINDOWS[level - 1] * block / rate;
      Estimates longer = baseband.estimates(WINDOWS[level], logHz, centre, noise, 0.6 / previousS);
      double[] gain = coherence(previousStrength, longer.strength, orders.length, WINDOWS[level]);
      boolean any = false;
      for (int i = 0; i < frames; i++) {
        open[i] &= gain[i] > LEAST_COHERENCE;
        if (open[i]) {
          any = true;
          kept.take(longer, i);
          keptLevel[i] = level;
        }
      }
      if (!any) {
        break;
      }
      previousStrength = longer.strength;
      shorter.add(longer);
    }
    CombMotion motion = CombMotion.STANDS;
    if (CombMotion.glides(kept.value, kept.deviation())) {
      motion = CombMotion.GLIDES;
    } else if (wanders(baseband, logHz, kept, keptLevel, noise)) {
      motion = CombMotion.WANDERS;
    }
    List<Estimates> quicker = shorter.subList(0, Math.min(3, shorter.size()));
    Excess excess = new Excess(quicker, kept, keptLevel, orders[0] * Math.exp(logHz[frames / 2]));
    double[] spread = new double[frames];
    double[] usual = new double[frames];
    for (int i = 0; i < frames; i++) {
      double bend = BEND_SHARE * bend(kept.value, i);
      spread[i] = excess.ofFrame(i, kept.variance[i] + bend * bend);
      usual[i] = excess.usual(i);
    }
    for (int i = 0; i < frames; i++) {
      double off = quick.value[i] - kept.value[i];
      double allowed = quick.variance[i] + kept.variance[i] + usual[i];
      boolean clear = quick.strength[i] - orders.length > CLEAR_RATIO;
      if (clear && off * off > DISAGREEMENT * DISAGREEMENT * allowed) {
        kept.take(quick, i);
        keptLevel[i] = -1;
        spread[i] = quick.variance[i] + usual[i];
      }
    }
    for (int i = 0; i < frames; i++) {
      out.hz[from + i] = Math.exp(kept.value[i]);
      out.deviation[from + i] = Math.sqrt(spread[i]);
      out.strength[from + i] = kept.strength[i] - orders.length;
      out.windowS[from + i] =
          (keptLevel[i] < 0 ? QUICK_WINDOW : WINDOWS[keptLevel[i]]) * block / rate;
    }
    return motion;
  }

  /**
   * Whether the harmonics, each by itself, wander more than noise makes them. The comb as a whole
   * won't do: between tones that only nearly fit one comb it goes to and fro.
   */
  private boolean wanders(
      Baseband baseband, double[] logHz, Estimates kept, int[] keptLevel, double[][] noise) {
    int[] sorted = keptLevel.clone();
    Arrays.sort(sorted);
    int window = WINDOWS[Math.max(0, sorted[sorted.length / 2])];
    int apart = window / BLOCKS_PER_FRAME;
    // Hardly any of what the comb as a whole did may be put into a line that stands still.
    double[] even = new double[logHz.length];
    Arrays.fill(even, 1.0);
    double[] centre = smoothed(kept.value, even, SLOW_FRAMES);
    List<Estimates> lines = new ArrayList<>();
    for (int m = 0; m < baseband.orders.length; m++) {
      double[][] own = {noise[m]};
      Estimates line = baseband.only(m).estimates(window, logHz, centre, own, 0.0);
      double length = window * block / rate;
      for (int i = 0; i < line.variance.length; i++) {
        double bias = INTERPOLATION / (length * baseband.orders[m] * Math.exp(centre[i]));
        line.variance[i] += bias * bias;
      }
      lines.add(line);
    }
    lines.sort((a, b) -> Double.compare(b.meanStrength(), a.meanStrength()));
    lines.subList(1, lines.size()).removeIf(line -> line.meanStrength() < CLEAR_RATIO);
    return CombMotion.wander(
        lines.stream().map(line -> line.value).toList(),
        lines.stream().map(line -> line.variance).toList(),
        kept.value,
        apart);
  }

  /** Second difference of a path at a frame. */
  private static double bend(double[] value, int i) {
    if (i == 0 || i + 1 >= value.length) {
      return 0.0;
    }
    return value[i - 1] - 2.0 * value[i] + value[i + 1];
  }

  /** The harmonics that carry the most, weighed by how sharply each tells the speed. */
  private int[] strongest(double[] evidence, double topHz) {
    boolean[] taken = new boolean[evidence.length];
    int[] picked = new int[MOST_HARMONICS];
    int count = 0;
    while (count < MOST_HARMONICS) {
      int best = -1;
      for (int m = 0; m < evidence.length; m++) {
        boolean fits = (m + 1) * topHz < highestHz;
        if (!taken[m]
            && fits
            && evidence[m] > 0.8
            && (best < 0 || worth(evidence, m) > worth(evidence, best))) {
          best = m;
        }
      }
      if (best < 0) {
        break;
      }
      taken[best] = true;
      picked[count++] = best + 1;
    }
    if (count == 0) {
      picked[count++] = 1;
    }
    return Arrays.copyOf(picked, count);
  }

  private static double worth(double[] evidence, int m) {
    return evidence[m] * Math.sqrt(m + 1.0);
  }

  private static void leaveOutCrossings(
      double[] logHz, int[] orders, List<Double> standing, double[][] noise) {
    for (int m = 0; m < orders.length; m++) {
      for (int i = 0; i < logHz.length; i++) {
        double hz = orders[m] * Math.exp(logHz[i]);
        for (double line : standing) {
          if (Math.abs(hz - line) < CROSSING_HZ) {
            noise[m][i] = Double.POSITIVE_INFINITY;
          }
        }
      }
    }
  }

  /** Share of the gain of a coherent doubling, averaged over the new window. */
  private static double[] coherence(double[] before, double[] after, int orders, int windowBlocks) {
    int n = before.length;
    int half = Math.max(4, windowBlocks / BLOCKS_PER_FRAME);
    double[] result = new double[n];
    for (int i = 0; i < n; i++) {
      double a = 0.0;
      double b = 0.0;
      for (int k = Math.max(0, i - half); k <= Math.min(n - 1, i + half); k++) {
        a += after[k] - orders;
        b += before[k] - orders;
      }
      result[i] = b > 0.0 ? a / (2.0 * b) : 0.0;
    }
    return result;
  }

  /**
   * Variance of the mean over a frame around what was kept: jitter, and bends of the path such as
   * the corner of a ramp, that the longer windows can't follow. The scatter of shorter windows
   * beyond their noise measures it, each length with its own standard error; the posterior mean
   * over a deviation evenly distributed in its logarithm, {@value #LEAST_JITTER} to {@value
   * #MOST_JITTER}, is what the measures leave open. Jitter is the same through the run, a bend is
   * one place: what the run says is the prior of each frame, but for a share {@value #BENDS} of the
   * frames in which anything may be.
   */
  private static final class Excess {
    private final List<Estimates> shorter;
    private final Estimates kept;
    private final int[] keptLevel;
    private final double lineHz;
    private final double[][] run = new double[WINDOWS.length][];
    private final double smeared;

    Excess(List<Estimates> shorter, Estimates kept, int[] keptLevel, double lineHz) {
      this.lineHz = lineHz;
      this.shorter = shorter;
      this.kept = kept;
      this.keptLevel = keptLevel;
      this.smeared = smeared();
      for (int held = 0; held < WINDOWS.length; held++) {
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
      int apart = WINDOWS[0] / BLOCKS_PER_FRAME;
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
      Arrays.sort(squares, 0, n);
      double wander = Math.max(0.0, squares[n / 2] / HALF_NORMAL - noise / n);
      double turned = RADIANS * lineHz * lineHz * wander;
      double share =
          SMEARED * turned * Math.min(1.0, Math.pow(FAINT_RATIO / kept.meanStrength(), 2));
      return Math.min(MOST_SMEARED, share) * wander;
    }

    /**
     * Rules out jitter that would show between the kept windows themselves: where four seconds stay
     * coherent, they differ by far less than the noise of the short windows.
     */
    private void bound(int held, double[] logs) {
      int apart = WINDOWS[held] / BLOCKS_PER_FRAME;
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

    private double[] typicals;

    /** Variance that a window of some length usually has about what was kept. */
    private double typical(Estimates at, int level) {
      if (typicals == null) {
        typicals = new double[shorter.size()];
      }
      if (typicals[level] == 0.0) {
        double[] sorted = at.variance.clone();
        Arrays.sort(sorted);
        double noise = sorted[sorted.length / 2];
        for (int i = 0; i < sorted.length; i++) {
          double off = at.value[i] - kept.value[i];
          sorted[i] = off * off;
        }
        Arrays.sort(sorted);
        typicals[level] = Math.max(noise, sorted[sorted.length / 2] / HALF_NORMAL);
      }
      return typicals[level];
    }

    private static double[] normalised(double[] logs) {
      double top = Arrays.stream(logs).max().getAsDouble();
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
     * Variance of the normal distribution whose 95 % interval is that of the posterior, in which
     * the variance itself is open: its mean would let a few great ones widen every interval.
     */
    private static double spread(double[] weights, double other) {
      double low = other;
      double high = other + MOST_JITTER * MOST_JITTER;
      for (int step = 0; step < SPREAD_STEPS; step++) {
        double middle = Math.sqrt(low * high);
        double inside = 0.0;
        for (int k = 0; k < weights.length; k++) {
          double deviations = 1.96 * Math.sqrt(middle / (other + jitter(k) * jitter(k)));
          inside += weights[k] * erf(deviations / Math.sqrt(2.0));
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
  }

  private static double jitter(int step) {
    return LEAST_JITTER * Math.pow(MOST_JITTER / LEAST_JITTER, step / (JITTER_STEPS - 1.0));
  }

  /** Estimates of every frame of a run. */
  private static final class Estimates {
    final double[] value;
    final double[] variance;
    final double[] strength;

    Estimates(int frames) {
      value = new double[frames];
      variance = new double[frames];
      strength = new double[frames];
    }

    double[] precision() {
      double[] result = new double[variance.length];
      for (int i = 0; i < result.length; i++) {
        result[i] = 1.0 / variance[i];
      }
      return result;
    }

    double[] deviation() {
      double[] result = new double[variance.length];
      for (int i = 0; i < result.length; i++) {
        result[i] = Math.sqrt(variance[i]);
      }
      return result;
    }

    double meanStrength() {
      return Arrays.stream(strength).sum() / strength.length;
    }

    Estimates copy() {
      Estimates result = new Estimates(value.length);
      for (int i = 0; i < value.length; i++) {
        result.take(this, i);
      }
      return result;
    }

    void take(Estimates other, int frame) {
      value[frame] = other.value[frame];
      variance[frame] = other.variance[frame];
      strength[frame] = other.strength[frame];
    }
  }

  /**
   * Local straight lines in Hz through logarithmic values, weighed by precision and a bell of the
   * given width: a ramp even in Hz stays as it is.
   */
  private static double[] smoothed(double[] values, double[] precision, double width) {
    int n = values.length;
    int half = (int) Math.ceil(2.5 * width);
    double[] result = new double[n];
    double[] hz = new double[n];
    for (int i = 0; i < n; i++) {
      hz[i] = Math.exp(values[i]);
    }
    for (int i = 0; i < n; i++) {
      double s0 = 0.0;
      double s1 = 0.0;
      double s2 = 0.0;
      double y0 = 0.0;
      double y1 = 0.0;
      double least = Double.POSITIVE_INFINITY;
      double greatest = 0.0;
      for (int k = Math.max(0, i - half); k <= Math.min(n - 1, i + half); k++) {
        double x = k - i;
        double w = precision[k] * Math.exp(-0.5 * x * x / (width * width));
        s0 += w;
        s1 += w * x;
        s2 += w * x * x;
        y0 += w * hz[k];
        y1 += w * x * hz[k];
        least = Math.min(least, hz[k]);
        greatest = Math.max(greatest, hz[k]);
      }
      double determinant = s0 * s2 - s1 * s1;
      double local = determinant > 1e-9 * s0 * s2 ? (s2 * y0 - s1 * y1) / determinant : y0 / s0;
      // Weights that differ by orders of magnitude make a line swing beyond all values.
      result[i] = Math.log(Math.max(least, Math.min(greatest, local)));
    }
    return result;
  }

  private static double hannVariance() {
    int n = 4096;
    double w1 = 0.0;
    double w2 = 0.0;
    double w1t2 = 0.0;
    double w2t2 = 0.0;
    for (int i = 0; i < n; i++) {
      double t = (i + 0.5) / n - 0.5;
      double w = 0.5 + 0.5 * Math.cos(2.0 * Math.PI * t);
      w1 += w;
      w2 += w * w;
      w1t2 += w * t * t;
      w2t2 += w * w * t * t;
    }
    return w1 * w2t2 / (w2 * w1t2);
  }

  /** The harmonics of a run at zero frequency, a few samples a frame. */
  private final class Baseband {
    private final int[] orders;
    private final int blocks;
    private final double[][] re;
    private final double[][] im;
    private final double[][] turnedRe;
    private final double[][] turnedIm;
    private final double[][] windowedRe;
    private final double[][] windowedIm;
    private double[] window = {};

    Baseband(int[] orders, int blocks) {
      this(orders, blocks, new double[orders.length][blocks], new double[orders.length][blocks]);
    }

    private Baseband(int[] orders, int blocks, double[][] re, double[][] im) {
      this.orders = orders;
      this.blocks = blocks;
      this.re = re;
      this.im = im;
      this.turnedRe = new double[orders.length][blocks];
      this.turnedIm = new double[orders.length][blocks];
      int longest = WINDOWS[WINDOWS.length - 1];
      this.windowedRe = new double[orders.length][longest];
      this.windowedIm = new double[orders.length][longest];
    }

    /** The same of one harmonic, counted by its place among the orders. */
    Baseband only(int m) {
      return new Baseband(
          new int[] {orders[m]}, blocks, new double[][] {re[m]}, new double[][] {im[m]});
    }

    /** Spacing at a block's centre, straight between the frames' centres [Hz]. */
    private double hzAt(double[] hz, int b) {
      double place = (b + 0.5) / BLOCKS_PER_FRAME - 0.5;
      int n = hz.length;
      if (n == 1) {
        return hz[0];
      }
      int left = Math.max(0, Math.min(n - 2, (int) Math.floor(place)));
      return hz[left] + (place - left) * (hz[left + 1] - hz[left]);
    }

    private double[] exp(double[] logs) {
      double[] result = new double[logs.length];
      for (int i = 0; i < logs.length; i++) {
        result[i] = Math.exp(logs[i]);
      }
      return result;
    }

    void fill(float[] audio, double[] logHz, int firstFrame) {
      int length = 2 * block;
      double[] window = new double[length];
      for (int i = 0; i < length; i++) {
        window[i] = 0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length);
      }
      double[] windowed = new double[length];
      double[] path = exp(logHz);
      double cycles = 0.0;
      double before = 0.0;
      for (int b = 0; b < blocks; b++) {
        double hz = hzAt(path, b);
        cycles += b == 0 ? 0.0 : 0.5 * (before + hz) * block / rate;
        before = hz;
        // Frame i covers (i + 0.5) … (i + 1.5) hops; blocks cut it evenly.
        int centre = firstFrame * hop + hop / 2 + b * block + block / 2;
        int start = centre - block;
        for (int i = 0; i < length; i++) {
          int at = start + i;
          windowed[i] = at >= 0 && at < audio.length ? window[i] * audio[at] : 0.0;
        }
        for (int m = 0; m < orders.length; m++) {
          double step = 2.0 * Math.PI * orders[m] * hz / rate;
          double phase = -2.0 * Math.PI * (orders[m] * cycles % 1.0) + step * (block - 0.5);
          mix(windowed, phase, step, m, b);
        }
      }
    }

    /**
     * Mixes a block down by a harmonic that starts at a phase. Even and odd samples turn apart: a
     * rotation waits for the one before, so that one alone would leave most of the processor idle.
     */
    private void mix(double[] windowed, double phase, double step, int m, int b) {
      double rotationRe = Math.cos(2.0 * step);
      double rotationIm = -Math.sin(2.0 * step);
      double cos = Math.cos(phase);
      double sin = Math.sin(phase);
      double oddCos = Math.cos(phase - step);
      double oddSin = Math.sin(phase - step);
      double sumRe = 0.0;
      double sumIm = 0.0;
      double oddRe = 0.0;
      double oddIm = 0.0;
      // A block's window is twice a block long, so its length is even.
      for (int i = 0; i < windowed.length; i += 2) {
        double x = windowed[i];
        double y = windowed[i + 1];
        sumRe += x * cos;
        sumIm += x * sin;
        oddRe += y * oddCos;
        oddIm += y * oddSin;
        double next = cos * rotationRe - sin * rotationIm;
        sin = cos * rotationIm + sin * rotationRe;
        cos = next;
        next = oddCos * rotationRe - oddSin * rotationIm;
        oddSin = oddCos * rotationIm + oddSin * rotationRe;
        oddCos = next;
      }
      re[m][b] = sumRe + oddRe;
      im[m][b] = sumIm + oddIm;
    }

    /** Takes the difference between a better path and the first one out of the phases. */
    void turnTo(double[] first, double[] better) {
      double[] from = exp(first);
      double[] to = exp(better);
      double cycles = 0.0;
      double before = 0.0;
      for (int b = 0; b < blocks; b++) {
        double difference = hzAt(to, b) - hzAt(from, b);
        cycles += b == 0 ? 0.0 : 0.5 * (before + difference) * block / rate;
        before = difference;
        for (int m = 0; m < orders.length; m++) {
          double angle = -2.0 * Math.PI * orders[m] * cycles;
          double cos = Math.cos(angle);
          double sin = Math.sin(angle);
          turnedRe[m][b] = re[m][b] * cos - im[m][b] * sin;
          turnedIm[m][b] = re[m][b] * sin + im[m][b] * cos;
        }
      }
    }

    /**
     * Noise power in a block of each harmonic, by frame: from lines 6 to 12 Hz aside, which no
     * harmonic reaches.
     */
    double[][] noise(int frames) {
      double[][] result = new double[orders.length][frames];
      int length = Math.min(WINDOWS[0], blocks);
      double[] raw = new double[frames];
      for (int m = 0; m < orders.length; m++) {
        for (int i = 0; i < frames; i++) {
          double sum = 0.0;
          int lines = 0;
          for (int line = 3; line <= 6; line++) {
            for (int sign = -1; sign <= 1; sign += 2) {
              double turns = sign * (double) line / WINDOWS[0];
              sum += power(re[m], im[m], i, length, turns) / response(turns);
              lines++;
            }
          }
          raw[i] = Math.log(Math.max(1e-30, sum / lines));
        }
        double[] even = new double[frames];
        Arrays.fill(even, 1.0);
        double[] smooth = smoothed(raw, even, 8.0);
        for (int i = 0; i < frames; i++) {
          result[m][i] = Math.exp(smooth[i]);
        }
      }
      return result;
    }

    /** Power response of the block window at a frequency in turns a block, 1 at 0. */
    private double response(double turns) {
      double x = 2.0 * turns;
      double sinc = Math.sin(Math.PI * x) / (Math.PI * x);
      double amplitude = sinc / (1.0 - x * x);
      return amplitude * amplitude;
    }

    private int begin(int frame, int length) {
      int centre = frame * BLOCKS_PER_FRAME + BLOCKS_PER_FRAME / 2;
      return Math.max(0, Math.min(blocks - length, centre - length / 2));
    }

    /** Hann periodogram of white noise of unit power has mean 1. */
    private double power(double[] zRe, double[] zIm, int frame, int length, double turns) {
      int start = begin(frame, length);
      double sumRe = 0.0;
      double sumIm = 0.0;
      double energy = 0.0;
      double rotationRe = Math.cos(2.0 * Math.PI * turns);
      double rotationIm = -Math.sin(2.0 * Math.PI * turns);
      double hannRe = Math.cos(2.0 * Math.PI / length);
      double hannIm = Math.sin(2.0 * Math.PI / length);
      double hCos = Math.cos(Math.PI / length);
      double hSin = Math.sin(Math.PI / length);
      double cos = 1.0;
      double sin = 0.0;
      for (int i = 0; i < length; i++) {
        double w = 0.5 - 0.5 * hCos;
        double x = w * zRe[start + i];
        double y = w * zIm[start + i];
        sumRe += x * cos - y * sin;
        sumIm += x * sin + y * cos;
        energy += w * w;
        double next = cos * rotationRe - sin * rotationIm;
        sin = cos * rotationIm + sin * rotationRe;
        cos = next;
        next = hCos * hannRe - hSin * hannIm;
        hSin = hCos * hannIm + hSin * hannRe;
        hCos = next;
      }
      return (sumRe * sumRe + sumIm * sumIm) / energy;
    }

    /**
     * Seeks the residuals of all frames around a better path.
     *
     * @param window length of the windows [blocks]
     * @param first the path that the baseband was made with
     * @param centre the better path
     * @param noise noise by harmonic and frame
     * @param reachHz how far to look [Hz], or 0 for half a percent and at least 1 Hz
     */
    Estimates estimates(
        int window, double[] first, double[] centre, double[][] noise, double reachHz) {
      Estimates result = new Estimates(centre.length);
      turnTo(first, centre);
      for (int i = 0; i < centre.length; i++) {
        double hz = Math.exp(centre[i]);
        double reach = reachHz > 0.0 ? reachHz / hz : Math.max(0.005, 1.0 / hz);
        estimate(i, window, reach, 0.7 * reach, noise, centre, result);
      }
      return result;
    }

    /**
     * Seeks the residual of one frame within ±wanted: the peak of the periodograms' sum, held near
     * the middle by a bell of standard deviation {@code trust}, lest noise lead it astray.
     */
    void estimate(
        int frame,
        int window,
        double wanted,
        double trust,
        double[][] noise,
        double[] centre,
        Estimates result) {
      int length = Math.min(window, blocks);
      double localHz = Math.exp(centre[frame]);
      double seconds = length * block / rate;
      int highest = 1;
      int lowest = Integer.MAX_VALUE;
      for (int order : orders) {
        highest = Math.max(highest, order);
        lowest = Math.min(lowest, order);
      }
      // One value a block repeats its periodogram every 1/block: beyond half of that a high line
      // would be taken for its own image.
      double reach = Math.min(wanted, UNAMBIGUOUS * rate / (block * localHz * lowest));
      int side = Math.max(2, (int) Math.ceil(reach * seconds * localHz * highest / 0.2));
      double step = reach / side;
      double[] sums = new double[2 * side + 1];
      Arrays.fill(sums, Double.NEGATIVE_INFINITY);
      prepare(frame, length, noise);
      double turns = step * localHz * block / rate;
      for (int k = 0; k <= side; k += COARSE) {
        sum(length, turns, k, step / trust, sums);
      }
      double enough = sums[greatest(sums)];
      enough -= COARSE_LOSS * Math.abs(enough) + COARSE_LOSS_NATS;
      for (int k = 0; k <= side; k += COARSE) {
        if (Math.max(sums[side - k], sums[side + k]) >= enough) {
          for (int near = Math.max(0, k - 1); near <= Math.min(side, k + 1); near++) {
            sum(length, turns, near, step / trust, sums);
          }
        }
      }
      int bestAt;
      do {
        bestAt = greatest(sums) - side;
        int k = Math.abs(bestAt);
        sum(length, turns, Math.abs(k - 1), step / trust, sums);
        sum(length, turns, Math.min(side, k + 1), step / trust, sums);
      } while (greatest(sums) - side != bestAt);
      double best = sums[bestAt + side];
      double at = bestAt * step;
      double variance = reach * reach;
      // A peak at the edge is taken as it is, with the variance of the whole reach.
      if (Math.abs(bestAt) < side) {
        double a = sums[bestAt + side - 1];
        double c = sums[bestAt + side + 1];
        double bend = Math.min(-1e-9, a - 2.0 * best + c);
        at += Math.max(-0.5, Math.min(0.5, 0.5 * (a - c) / bend)) * step;
        variance = Math.min(variance, HANN_VARIANCE * step * step / -bend);
      }
      result.value[frame] = centre[frame] + at;
      result.variance[frame] = variance;
      result.strength[frame] = best + 0.5 * (at / trust) * (at / trust);
    }

    /** Windows the harmonics of one frame, each in units of its noise. */
    private void prepare(int frame, int length, double[][] noise) {
      int start = begin(frame, length);
      double[] window = hann(length);
      for (int m = 0; m < orders.length; m++) {
        double scale = 1.0 / Math.sqrt(0.375 * length * noise[m][frame]);
        for (int i = 0; i < length; i++) {
          windowedRe[m][i] = scale * window[i] * turnedRe[m][start + i];
          windowedIm[m][i] = scale * window[i] * turnedIm[m][start + i];
        }
      }
    }

    private double[] hann(int length) {
      if (window.length != length) {
        window = new double[length];
        for (int i = 0; i < length; i++) {
          window[i] = 0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length);
        }
      }
      return window;
    }

    private static int greatest(double[] values) {
      int best = 0;
      for (int i = 1; i < values.length; i++) {
        if (values[i] > values[best]) {
          best = i;
        }
      }
      return best;
    }

    /**
     * Sums of the prepared periodograms, less the bell, at a residual of the fundamental and its
     * opposite, which share their products. What was summed before is left alone.
     *
     * @param length length of the windows, even [blocks]
     * @param stepTurns spacing of the residuals [turns a block]
     * @param k which residual, at least 0
     * @param stepDeviations spacing of the residuals [standard deviations of the bell]
     * @param sums the sums, by residual; the middle one is at 0
     */
    private void sum(int length, double stepTurns, int k, double stepDeviations, double[] sums) {
      int side = sums.length / 2;
      if (sums[side + k] != Double.NEGATIVE_INFINITY) {
        return;
      }
      double up = 0.0;
      double down = 0.0;
      for (int m = 0; m < orders.length; m++) {
        double angle = 2.0 * Math.PI * orders[m] * stepTurns * k;
        double rotationRe = Math.cos(2.0 * angle);
        double rotationIm = Math.sin(2.0 * angle);
        double cos = 1.0;
        double sin = 0.0;
        double oddCos = Math.cos(angle);
        double oddSin = Math.sin(angle);
        double[] zRe = windowedRe[m];
        double[] zIm = windowedIm[m];
        double reCos = 0.0;
        double reSin = 0.0;
        double imCos = 0.0;
        double imSin = 0.0;
        // Even and odd blocks turn apart, so that one rotation needn't wait for the other.
        for (int i = 0; i < length; i += 2) {
          reCos += zRe[i] * cos + zRe[i + 1] * oddCos;
          reSin += zRe[i] * sin + zRe[i + 1] * oddSin;
          imCos += zIm[i] * cos + zIm[i + 1] * oddCos;
          imSin += zIm[i] * sin + zIm[i + 1] * oddSin;
          double next = cos * rotationRe - sin * rotationIm;
          sin = cos * rotationIm + sin * rotationRe;
          cos = next;
          next = oddCos * rotationRe - oddSin * rotationIm;
          oddSin = oddCos * rotationIm + oddSin * rotationRe;
          oddCos = next;
        }
        double re = reCos + imSin;
        double im = imCos - reSin;
        up += re * re + im * im;
        re = reCos - imSin;
        im = imCos + reSin;
        down += re * re + im * im;
      }
      double bell = 0.5 * k * k * stepDeviations * stepDeviations;
      sums[side + k] = up - bell;
      sums[side - k] = k == 0 ? up : down - bell;
    }
  }
}
