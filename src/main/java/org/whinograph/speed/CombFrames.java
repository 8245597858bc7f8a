package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.Quantile;

/**
 * Spacing of a comb through the whole recording, frame by frame. Not safe for use by several
 * threads.
 */
final class CombFrames {
  private static final double TWO_SIDED_95 = 1.96;

  /** Greatest multiple of a shaft's frequency that a comb may be on. */
  private static final int MOST_MULTIPLE = 24;

  /**
   * Greatest of the smaller number of a ratio of two combs of one shaft: one of them is on a low
   * order or both share a divisor (judgement). Among all ratios of numbers up to 24 one of two
   * machines finds its place too often.
   */
  private static final int MOST_OF_SMALLER = 3;

  private float[] hz = new float[1024];
  private float[] deviation = new float[1024];
  private int count;
  private double[] overlap;

  /** A spacing, or another multiple of it, in each frame [Hz]. */
  static double[] times(double[] hz, double factor) {
    return Arrays.stream(hz).map(each -> factor * each).toArray();
  }

  void append(double[] newHz, double[] newDeviation, int from, int to) {
    int needed = count + Math.max(0, to - from);
    if (needed > hz.length) {
      hz = Arrays.copyOf(hz, Math.max(needed, 2 * hz.length));
      deviation = Arrays.copyOf(deviation, hz.length);
    }
    for (int i = from; i < to; i++) {
      boolean known = newHz != null && i < newHz.length;
      hz[count] = known ? (float) newHz[i] : Float.NaN;
      deviation[count] = known ? (float) newDeviation[i] : Float.NaN;
      count++;
    }
  }

  /** Keeps the frames that the next segment shares. */
  void remember(double[] segmentHz, int from, int shared) {
    overlap =
        segmentHz == null || segmentHz.length < from + shared
            ? null
            : Arrays.copyOfRange(segmentHz, from, from + shared);
  }

  /**
   * The same comb again: a segment may lock on another multiple than the one before; where both
   * know the same frames, their ratio tells by what the new one is to be multiplied.
   *
   * @return that factor; 1 where they share no known frame, NaN where it is another comb
   */
  double link(double[] hz) {
    double ratio = ratioTo(hz);
    if (Double.isNaN(ratio) || Math.abs(Math.log(ratio)) < 0.01) {
      return 1.0;
    }
    return multiple(1.0 / ratio);
  }

  /**
   * The ratio of small whole numbers that a ratio of the spacings of two combs of one shaft is, NaN
   * if it is none.
   */
  static double multiple(double ratio) {
    double best = Double.NaN;
    double bestOff = 0.004;
    for (int q = 1; q <= MOST_MULTIPLE; q++) {
      double p = Math.rint(ratio * q);
      double off = Math.abs(Math.log(ratio * q / p)) * Math.sqrt(p * q);
      boolean usual = Math.min(p, q) <= MOST_OF_SMALLER && p >= 1.0 && p <= MOST_MULTIPLE;
      if (usual && off < bestOff) {
        bestOff = off;
        best = p / q;
      }
    }
    return best;
  }

  /** Median ratio of a new segment to the frames it shares, NaN without any. */
  private double ratioTo(double[] newHz) {
    if (overlap == null) {
      return Double.NaN;
    }
    double[] ratios = new double[overlap.length];
    int n = 0;
    for (int i = 0; i < Math.min(overlap.length, newHz.length); i++) {
      double ratio = newHz[i] / overlap[i];
      if (!Double.isNaN(ratio)) {
        ratios[n++] = ratio;
      }
    }
    if (n == 0) {
      return Double.NaN;
    }
    return Quantile.median(ratios, n);
  }

  /** Whether any frame is known. */
  boolean any() {
    return knownHz().length > 0;
  }

  /** Whether a segment knows frames that the one before knows too. */
  boolean shares(double[] hz) {
    return !Double.isNaN(ratioTo(hz));
  }

  double[] knownHz() {
    double[] known = new double[count];
    int n = 0;
    for (int i = 0; i < count; i++) {
      if (!Float.isNaN(hz[i])) {
        known[n++] = hz[i];
      }
    }
    return Arrays.copyOf(known, n);
  }

  /** Relative standard deviation of the median: frames of a second count as independent. */
  double deviationOfMedian(double frameS) {
    double sum = 0.0;
    int n = 0;
    for (int i = 0; i < count; i++) {
      if (!Float.isNaN(hz[i])) {
        sum += deviation[i] * (double) deviation[i];
        n++;
      }
    }
    double independent = Math.max(1.0, n * frameS / 4.0);
    // The median of n normal values has π/2 times the variance of their mean.
    return Math.sqrt(sum / n * Math.PI / 2.0 / independent);
  }

  SpeedTrack track(double frameS, double factor, boolean hidden, double most) {
    double[] times = new double[count];
    double[] values = new double[count];
    double[] low = new double[count];
    double[] high = new double[count];
    for (int i = 0; i < count; i++) {
      times[i] = (i + 1.0) * frameS;
      double value = hidden || hz[i] * factor > most ? Double.NaN : hz[i] * factor;
      values[i] = value;
      low[i] = value * (1.0 - TWO_SIDED_95 * deviation[i]);
      high[i] = value * (1.0 + TWO_SIDED_95 * deviation[i]);
    }
    return new SpeedTrack(times, values, low, high);
  }
}
