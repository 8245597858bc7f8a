package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.Quantile;

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

  private static final int QUICK_WINDOW = 8;
  private static final int MOST_HARMONICS = 4;

  /** A harmonic nearer than this to a standing line can't be told from it [Hz]. */
  private static final double CROSSING_HZ = 8.0;

  /**
   * What a window of half a second errs by at most about a corner, over the change of slope [1].
   */
  private static final double BEND_SHARE = 0.01;

  /**
   * The same where the path bends too sharply for the windows, so that they tell the frame's middle
   * [1]. A corner u frames from a middle lifts the mean over the frame by D (1/2 − |u|)²/2, D the
   * second difference; with u even over the frame the root mean square of that is D √(1/320).
   */
  private static final double SHARP_SHARE = Math.sqrt(1.0 / 320.0);

  /** A quick window that differs by more standard deviations than this from a long one is right. */
  private static final double DISAGREEMENT = 4.0;

  /** Signal-to-noise ratio from which on a quick window isn't led astray by noise. */
  private static final double CLEAR_RATIO = 15.0;

  /** What a parabola through points 0.2/T apart errs by, T the window, times T [1]. */
  private static final double INTERPOLATION = 0.004;

  /** Width over which a path is smoothed about which single lines are sought [frames]. */
  private static final double SLOW_FRAMES = 12.0;

  /** Power over the noise from which on a harmonic has a say of its own [1]. */
  private static final double CLEAR_POWER = 2.0;

  /** Least share of the gain of a coherent doubling for it to be kept. */
  private static final double LEAST_COHERENCE = 0.75;

  private final double rate;
  private final int hop;
  private final int block;
  private final BlockMixer mixer;
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
    this.block = hop / Baseband.BLOCKS_PER_FRAME;
    this.mixer = new BlockMixer(block);
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
   * @param lookForWander whether it matters if the run wanders: what tells costs as much as the
   *     rest
   * @param out where frames from … to are written
   * @return how the run moves; what wanders is said to stand where that doesn't matter
   */
  CombMotion refine(
      float[] audio,
      double[] coarseHz,
      int from,
      int to,
      double[] harmonicEvidence,
      List<Double> standing,
      boolean lookForWander,
      Refined out) {
    int frames = to - from;
    double[] logHz = coarse(coarseHz, from, to);
    int[] orders = strongest(harmonicEvidence, Math.exp(Arrays.stream(logHz).max().orElseThrow()));
    int blocks = frames * Baseband.BLOCKS_PER_FRAME;
    Baseband baseband = new Baseband(rate, hop, orders, blocks);
    baseband.fill(audio, logHz, from, mixer);
    double[][] noise = baseband.noise(frames);
    leaveOutCrossings(logHz, orders, standing, noise);
    Estimates quick = quick(baseband, logHz, noise);
    // Where the coarse path lags, as at the corner of a ramp, the quick windows lead on.
    double[] quickCentre = LocalLines.smoothed(quick.value, quick.precision(), 0.8);
    Estimates onCoarse = baseband.estimates(Baseband.WINDOWS[0], logHz, logHz, noise, 0.0);
    Estimates kept = baseband.estimates(Baseband.WINDOWS[0], logHz, quickCentre, noise, 0.0);
    int[] keptLevel = new int[frames];
    takeStronger(kept, onCoarse, keptLevel);
    List<Estimates> shorter = new ArrayList<>(List.of(quick, kept.copy()));
    double[][] previous = kept.copy().powers;
    boolean[] open = new boolean[frames];
    Arrays.fill(open, true);
    for (int level = 1; level < Baseband.WINDOWS.length; level++) {
      if (blocks < Baseband.WINDOWS[level]) {
        break;
      }
      double width = 0.5 * Baseband.WINDOWS[level] / Baseband.BLOCKS_PER_FRAME;
      double[] centre = LocalLines.smoothed(kept.value, kept.precision(), width);
      double previousS = Baseband.WINDOWS[level - 1] * block / rate;
      Estimates longer =
          baseband.estimates(Baseband.WINDOWS[level], logHz, centre, noise, 0.6 / previousS);
      double[] gain = coherence(previous, longer.powers, orders, Baseband.WINDOWS[level]);
      if (!takeCoherent(kept, longer, gain, open, keptLevel, level)) {
        break;
      }
      previous = longer.powers;
      shorter.add(longer);
    }
    if (2L * Arrays.stream(keptLevel).filter(level -> level == 0).count() > frames) {
      // Along a path without most of the motion the shortest windows smear less.
      double[] centre = LocalLines.smoothed(kept.value, kept.precision(), 0.7);
      takeStronger(
          kept, baseband.estimates(Baseband.WINDOWS[0], logHz, centre, noise, 0.0), keptLevel);
    }
    CombMotion motion = CombMotion.STANDS;
    if (CombMotion.glides(kept.value, kept.deviation())) {
      motion = CombMotion.GLIDES;
    } else if (lookForWander && wanders(baseband, logHz, kept, keptLevel, noise)) {
      motion = CombMotion.WANDERS;
    }
    MissedMotion missed =
        new MissedMotion(shorter, kept, keptLevel, orders[0] * Math.exp(logHz[frames / 2]));
    double[] spread = spread(missed, kept);
    takeQuick(kept, quick, missed, orders.length, keptLevel, spread);
    write(kept, keptLevel, spread, orders.length, from, out);
    return motion;
  }

  /** The coarse spacing of a run, smoothed [ln Hz]. */
  private static double[] coarse(double[] coarseHz, int from, int to) {
    double[] logHz = new double[to - from];
    for (int i = 0; i < logHz.length; i++) {
      logHz[i] = Math.log(coarseHz[from + i]);
    }
    double[] weights = new double[logHz.length];
    Arrays.fill(weights, 1.0);
    return LocalLines.smoothed(logHz, weights, 0.7);
  }

  /** What the quickest windows say along the coarse spacing. */
  private static Estimates quick(Baseband baseband, double[] logHz, double[][] noise) {
    Estimates quick = new Estimates(logHz.length, noise.length);
    baseband.turnTo(logHz, logHz);
    for (int i = 0; i < logHz.length; i++) {
      double hz = Math.exp(logHz[i]);
      double reach = Math.max(0.02, 2.0 / hz);
      double trust = Math.max(0.004, 0.5 / hz);
      baseband.estimate(i, QUICK_WINDOW, reach, trust, noise, logHz, quick);
    }
    return quick;
  }

  /** Takes longer windows where they still are coherent; whether they are anywhere. */
  private static boolean takeCoherent(
      Estimates kept, Estimates longer, double[] gain, boolean[] open, int[] keptLevel, int level) {
    boolean any = false;
    for (int i = 0; i < open.length; i++) {
      open[i] &= gain[i] > LEAST_COHERENCE;
      if (open[i]) {
        any = true;
        kept.take(longer, i);
        keptLevel[i] = level;
      }
    }
    return any;
  }

  /** Variance of the mean over each frame about what was kept. */
  private static double[] spread(MissedMotion missed, Estimates kept) {
    double[] result = new double[kept.value.length];
    for (int i = 0; i < result.length; i++) {
      double second = Baseband.secondDifference(kept.value, i);
      boolean sharp = Math.abs(second) > Baseband.SHARPEST_BEND;
      double bend = (sharp ? SHARP_SHARE : BEND_SHARE) * second;
      result[i] = missed.ofFrame(i, kept.variance[i] + kept.misled[i] + bend * bend);
    }
    return result;
  }

  /** Takes the quickest windows where they clearly say something else. */
  private static void takeQuick(
      Estimates kept,
      Estimates quick,
      MissedMotion missed,
      int orders,
      int[] keptLevel,
      double[] spread) {
    for (int i = 0; i < keptLevel.length; i++) {
      double off = quick.value[i] - kept.value[i];
      double allowed = quick.variance[i] + kept.variance[i] + missed.quickApart(i);
      boolean clear = quick.strength[i] - orders > CLEAR_RATIO;
      if (clear && off * off > DISAGREEMENT * DISAGREEMENT * allowed) {
        kept.take(quick, i);
        spread[i] = quick.variance[i] + missed.missedByQuick(i);
        keptLevel[i] = -1;
      }
    }
  }

  private void write(
      Estimates kept, int[] keptLevel, double[] spread, int orders, int from, Refined out) {
    for (int i = 0; i < keptLevel.length; i++) {
      out.hz[from + i] = Math.exp(kept.value[i]);
      out.deviation[from + i] = Math.sqrt(spread[i]);
      out.strength[from + i] = kept.strength[i] - orders;
      out.windowS[from + i] =
          (keptLevel[i] < 0 ? QUICK_WINDOW : Baseband.WINDOWS[keptLevel[i]]) * block / rate;
    }
  }

  /** Takes what is stronger where the shortest windows are kept. */
  private static void takeStronger(Estimates kept, Estimates other, int[] keptLevel) {
    for (int i = 0; i < keptLevel.length; i++) {
      if (keptLevel[i] == 0 && other.strength[i] > kept.strength[i]) {
        kept.take(other, i);
      }
    }
  }

  /**
   * Whether the harmonics, each by itself, wander more than noise makes them. The comb as a whole
   * won't do: between tones that only nearly fit one comb it goes to and fro.
   */
  private boolean wanders(
      Baseband baseband, double[] logHz, Estimates kept, int[] keptLevel, double[][] noise) {
    double[] levels = Arrays.stream(keptLevel).asDoubleStream().toArray();
    int window = Baseband.WINDOWS[(int) Math.max(0.0, Quantile.median(levels, levels.length))];
    int apart = window / Baseband.BLOCKS_PER_FRAME;
    // Hardly any of what the comb as a whole did may be put into a line that stands still.
    double[] even = new double[logHz.length];
    Arrays.fill(even, 1.0);
    double[] centre = LocalLines.smoothed(kept.value, even, SLOW_FRAMES);
    List<Estimates> lines = new ArrayList<>();
    for (int m = 0; m < baseband.orders().length; m++) {
      double[][] own = {noise[m]};
      Estimates line = baseband.only(m).estimates(window, logHz, centre, own, 0.0);
      double length = window * block / rate;
      for (int i = 0; i < line.variance.length; i++) {
        double bias = INTERPOLATION / (length * baseband.orders()[m] * Math.exp(centre[i]));
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

  /**
   * Share of the gain of a coherent doubling, averaged over the new window. What a harmonic tells
   * of the speed goes with the square of its order: the low ones stay coherent for long after the
   * high ones, which tell the most, have smeared.
   */
  private static double[] coherence(
      double[][] before, double[][] after, int[] orders, int windowBlocks) {
    int n = before[0].length;
    int half = Math.max(4, windowBlocks / Baseband.BLOCKS_PER_FRAME);
    double[] result = new double[n];
    for (int i = 0; i < n; i++) {
      int from = Math.max(0, i - half);
      int to = Math.min(n, i + half + 1);
      double informationBefore = 0.0;
      double informationAfter = 0.0;
      double powerBefore = 0.0;
      double powerAfter = 0.0;
      for (int m = 0; m < orders.length; m++) {
        double b = mean(before[m], from, to) - 1.0;
        double a = mean(after[m], from, to) - 1.0;
        powerBefore += b;
        powerAfter += a;
        if (b > CLEAR_POWER) {
          informationBefore += orders[m] * (double) orders[m] * b;
          informationAfter += orders[m] * (double) orders[m] * a;
        }
      }
      double power = powerBefore > 0.0 ? powerAfter / (2.0 * powerBefore) : 0.0;
      result[i] = informationBefore > 0.0 ? informationAfter / (2.0 * informationBefore) : power;
    }
    return result;
  }

  private static double mean(double[] values, int from, int to) {
    double sum = 0.0;
    for (int i = from; i < to; i++) {
      sum += values[i];
    }
    return sum / (to - from);
  }
}
