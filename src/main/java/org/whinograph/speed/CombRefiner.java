package org.whinograph.speed;

import java.util.Arrays;

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
  private static final int[] WINDOWS = {16, 32, 64, 128};
  private static final int MOST_HARMONICS = 4;

  /** Least share of the gain of a coherent doubling for it to be kept. */
  private static final double LEAST_COHERENCE = 0.8;

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
   * @param out where frames from … to are written
   */
  void refine(
      float[] audio, double[] coarseHz, int from, int to, double[] harmonicEvidence, Refined out) {
    int frames = to - from;
    double[] logHz = new double[frames];
    for (int i = 0; i < frames; i++) {
      logHz[i] = Math.log(coarseHz[from + i]);
    }
    double[] weights = new double[frames];
    Arrays.fill(weights, 1.0);
    logHz = smoothed(logHz, weights, 1.5);
    double top = 0.0;
    for (double value : logHz) {
      top = Math.max(top, Math.exp(value));
    }
    int[] orders = strongest(harmonicEvidence, top);
    int blocks = frames * BLOCKS_PER_FRAME;
    Baseband baseband = new Baseband(orders, blocks);
    baseband.fill(audio, logHz, from);
    double[][] noise = baseband.noise(frames);
    double[] shortest = null;
    double[] shortestVariance = null;
    double[] kept = null;
    double[] keptVariance = null;
    double[] keptStrength = null;
    int[] keptLevel = new int[frames];
    double[] previousStrength = null;
    double meanHz = Math.exp(mean(logHz));
    double reach = Math.max(0.005, 1.0 / meanHz);
    double[] centre = logHz.clone();
    boolean[] open = new boolean[frames];
    Arrays.fill(open, true);
    for (int level = 0; level < WINDOWS.length; level++) {
      if (level > 0 && frames * BLOCKS_PER_FRAME < WINDOWS[level]) {
        break;
      }
      double[] value = new double[frames];
      double[] variance = new double[frames];
      double[] strength = new double[frames];
      baseband.turnTo(logHz, centre);
      for (int i = 0; i < frames; i++) {
        baseband.estimate(
            i, WINDOWS[level], reach, noise, Math.exp(centre[i]), value, variance, strength);
        value[i] += centre[i];
      }
      if (level == 0) {
        shortest = value;
        shortestVariance = variance;
        kept = value.clone();
        keptVariance = variance.clone();
        keptStrength = strength.clone();
      } else {
        double[] gain = coherence(previousStrength, strength, orders.length, WINDOWS[level]);
        boolean any = false;
        for (int i = 0; i < frames; i++) {
          open[i] &= gain[i] > LEAST_COHERENCE;
          if (open[i]) {
            any = true;
            kept[i] = value[i];
            keptVariance[i] = variance[i];
            keptStrength[i] = strength[i];
            keptLevel[i] = level;
          }
        }
        if (!any) {
          break;
        }
      }
      previousStrength = strength;
      double[] precision = new double[frames];
      for (int i = 0; i < frames; i++) {
        precision[i] = 1.0 / keptVariance[i];
      }
      centre = smoothed(kept, precision, 0.5 * WINDOWS[level] / BLOCKS_PER_FRAME);
      double seconds = WINDOWS[level] * block / rate;
      reach = 0.6 / (seconds * meanHz);
    }
    double[] excess = excess(shortest, shortestVariance, kept, keptLevel);
    for (int i = 0; i < frames; i++) {
      out.hz[from + i] = Math.exp(kept[i]);
      out.deviation[from + i] = Math.sqrt(keptVariance[i] + excess[i]);
      out.strength[from + i] = keptStrength[i] - orders.length;
      out.windowS[from + i] = WINDOWS[keptLevel[i]] * block / rate;
    }
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
   * Variance of the mean over a frame around the longer window's mean: jitter that the long window
   * can't follow, as the scatter of the short windows beyond their noise.
   */
  private static double[] excess(
      double[] shortest, double[] variance, double[] kept, int[] keptLevel) {
    int n = shortest.length;
    double[] result = new double[n];
    int half = 40;
    for (int i = 0; i < n; i++) {
      if (keptLevel[i] == 0) {
        continue;
      }
      double sum = 0.0;
      double weight = 0.0;
      for (int k = Math.max(0, i - half); k <= Math.min(n - 1, i + half); k++) {
        double w = 1.0 / (variance[k] * variance[k]);
        double d = shortest[k] - kept[k];
        d = Math.min(d * d, 9.0 * variance[k]);
        sum += w * (d - variance[k]);
        weight += w;
      }
      result[i] = Math.max(0.0, sum / weight);
    }
    return result;
  }

  private static double mean(double[] values) {
    double sum = 0.0;
    for (double value : values) {
      sum += value;
    }
    return sum / values.length;
  }

  /**
   * Local straight lines through the values, weighed by precision and a bell of the given width.
   */
  private static double[] smoothed(double[] values, double[] precision, double width) {
    int n = values.length;
    int half = (int) Math.ceil(2.5 * width);
    double[] result = new double[n];
    for (int i = 0; i < n; i++) {
      double s0 = 0.0;
      double s1 = 0.0;
      double s2 = 0.0;
      double y0 = 0.0;
      double y1 = 0.0;
      for (int k = Math.max(0, i - half); k <= Math.min(n - 1, i + half); k++) {
        double x = k - i;
        double w = precision[k] * Math.exp(-0.5 * x * x / (width * width));
        s0 += w;
        s1 += w * x;
        s2 += w * x * x;
        y0 += w * values[k];
        y1 += w * x * values[k];
      }
      double determinant = s0 * s2 - s1 * s1;
      result[i] = determinant > 1e-9 * s0 * s2 ? (s2 * y0 - s1 * y1) / determinant : y0 / s0;
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

    Baseband(int[] orders, int blocks) {
      this.orders = orders;
      this.blocks = blocks;
      this.re = new double[orders.length][blocks];
      this.im = new double[orders.length][blocks];
      this.turnedRe = new double[orders.length][blocks];
      this.turnedIm = new double[orders.length][blocks];
    }

    /** ln of the spacing at a block's centre, between the frames' centres. */
    private double logAt(double[] logHz, int b) {
      double place = (b + 0.5) / BLOCKS_PER_FRAME - 0.5;
      int n = logHz.length;
      if (n == 1) {
        return logHz[0];
      }
      int left = Math.max(0, Math.min(n - 2, (int) Math.floor(place)));
      return logHz[left] + (place - left) * (logHz[left + 1] - logHz[left]);
    }

    void fill(float[] audio, double[] logHz, int firstFrame) {
      int length = 2 * block;
      double[] window = new double[length];
      for (int i = 0; i < length; i++) {
        window[i] = 0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length);
      }
      double[] windowed = new double[length];
      double cycles = 0.0;
      double before = 0.0;
      for (int b = 0; b < blocks; b++) {
        double hz = Math.exp(logAt(logHz, b));
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
          double rotationRe = Math.cos(step);
          double rotationIm = -Math.sin(step);
          double phase = -2.0 * Math.PI * (orders[m] * cycles % 1.0) + step * (block - 0.5);
          double cos = Math.cos(phase);
          double sin = Math.sin(phase);
          double sumRe = 0.0;
          double sumIm = 0.0;
          for (int i = 0; i < length; i++) {
            double x = windowed[i];
            sumRe += x * cos;
            sumIm += x * sin;
            double next = cos * rotationRe - sin * rotationIm;
            sin = cos * rotationIm + sin * rotationRe;
            cos = next;
          }
          re[m][b] = sumRe;
          im[m][b] = sumIm;
        }
      }
    }

    /** Takes the difference between a better path and the first one out of the phases. */
    void turnTo(double[] first, double[] better) {
      double cycles = 0.0;
      double before = 0.0;
      for (int b = 0; b < blocks; b++) {
        double difference = Math.exp(logAt(better, b)) - Math.exp(logAt(first, b));
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

    /** Seeks the residual of one frame within ±reach. */
    void estimate(
        int frame,
        int window,
        double reach,
        double[][] noise,
        double localHz,
        double[] value,
        double[] variance,
        double[] strength) {
      int length = Math.min(window, blocks);
      double seconds = length * block / rate;
      int highest = 1;
      for (int order : orders) {
        highest = Math.max(highest, order);
      }
      double step = 0.2 / (seconds * localHz * highest);
      int side = Math.max(2, (int) Math.ceil(reach / step));
      step = reach / side;
      double best = -1.0;
      int bestAt = 0;
      double[] sums = new double[2 * side + 1];
      for (int k = -side; k <= side; k++) {
        sums[k + side] = sum(frame, length, k * step, noise, localHz);
        if (sums[k + side] > best) {
          best = sums[k + side];
          bestAt = k;
        }
      }
      // A peak at the edge is taken as it is, with the variance of the whole reach.
      if (Math.abs(bestAt) == side) {
        value[frame] = bestAt * step;
        variance[frame] = reach * reach;
        strength[frame] = best;
        return;
      }
      double a = sums[bestAt + side - 1];
      double c = sums[bestAt + side + 1];
      double bend = a - 2.0 * best + c;
      double offset = bend < 0.0 ? 0.5 * (a - c) / bend : 0.0;
      double curvature = Math.max(1e-6, -bend) / (step * step);
      value[frame] = (bestAt + offset) * step;
      variance[frame] = Math.min(reach * reach, HANN_VARIANCE / curvature);
      strength[frame] = best;
    }

    private double sum(int frame, int length, double residual, double[][] noise, double localHz) {
      double total = 0.0;
      for (int m = 0; m < orders.length; m++) {
        double turns = orders[m] * residual * localHz * block / rate;
        total += power(turnedRe[m], turnedIm[m], frame, length, turns) / noise[m][frame];
      }
      return total;
    }
  }
}
