package org.whinograph.speed;

import java.util.Arrays;

/**
 * Low-pass that keeps one of so many samples, so that every later step costs less: linear phase by
 * Kaiser's design ("Nonrecursive digital filter design using the I0-sinh window function", 1974),
 * evaluated at the kept samples alone. The first kept sample lies at the first sample.
 *
 * <p>Each output is summed in one order of the taps, so blocks never matter. Nothing is allocated
 * per block. Not safe for use by several threads.
 */
public final class LowPass {
  /**
   * Outputs made at a time: few enough for the nearest cache, and no power of two. Rows of 512
   * would come to lie 4 kB apart, where a processor takes one for the other and waits: four times
   * as long was measured.
   */
  private static final int CHUNK = 640;

  /** Taps worked on at a time. */
  private static final int ABREAST = 4;

  private final int factor;

  /** Weights, with zeros behind to a whole number of loops. */
  private final float[] taps;

  private final int reach;
  private final float[][] phases;
  private final float[] kept = new float[CHUNK];
  private final float[][] shifted = new float[ABREAST][CHUNK];
  private int phase;
  private int place;

  /**
   * Designs the filter.
   *
   * @param factor one of so many samples is kept, at least 1
   * @param pass end of the pass band [1, of the kept rate]
   * @param stop begin of the stop band [1, of the kept rate]; if there is nothing above it before
   *     or after, samples pass as they are
   * @param attenuationDb how far down the stop band is, and the ripple of the pass band [dB], above
   *     21
   */
  public LowPass(int factor, double pass, double stop, double attenuationDb) {
    this.factor = factor;
    // Kaiser's length for a ripple: (A − 7.95)/(2.285 Δω).
    double length = (attenuationDb - 7.95) / (2.285 * 2.0 * Math.PI * (stop - pass));
    this.reach = factor == 1 && stop >= 0.5 ? 0 : (int) Math.ceil(0.5 * length);
    // Kaiser's β above 50 dB; below, and above 21, 0.5842 (A − 21)^0.4 + 0.07886 (A − 21).
    double beta =
        attenuationDb >= 50.0
            ? 0.1102 * (attenuationDb - 8.7)
            : 0.5842 * Math.pow(attenuationDb - 21.0, 0.4) + 0.07886 * (attenuationDb - 21.0);
    int half = reach * factor;
    this.taps = new float[(2 * half / ABREAST + 1) * ABREAST];
    double sum = 0.0;
    double[] design = new double[2 * half + 1];
    for (int i = -half; i <= half; i++) {
      double x = (pass + stop) * i / factor;
      double sinc = i == 0 ? 1.0 : Math.sin(Math.PI * x) / (Math.PI * x);
      double edge = half == 0 ? 0.0 : (double) i / half;
      design[i + half] = sinc * besselI0(beta * Math.sqrt(1.0 - edge * edge));
      sum += design[i + half];
    }
    for (int i = 0; i < design.length; i++) {
      taps[i] = (float) (design[i] / sum);
    }
    this.phases = new float[factor][CHUNK + 2 * reach];
    // Zeros before the first sample put the first output at the first sample.
    this.place = reach;
  }

  /**
   * How far an output reaches: it tells of samples so much before and after it.
   *
   * @return half the filter's length [kept samples]
   */
  public int reach() {
    return reach;
  }

  /**
   * Takes samples, as many as there is room for; what they give is to be made or skipped before the
   * next.
   *
   * @param samples samples [any unit]
   * @param from first to be taken
   * @param to end of those that count
   * @return the first that wasn't taken, or {@code to}
   */
  public int take(double[] samples, int from, int to) {
    int at = from;
    while (at < to && place < phases[0].length) {
      at += phase == 0 && to - at >= factor ? takeWhole(samples, at, to) : takeOne(samples[at]);
    }
    return at;
  }

  private int takeOne(double sample) {
    phases[phase][place] = (float) sample;
    phase++;
    if (phase == factor) {
      phase = 0;
      place++;
    }
    return 1;
  }

  /** Takes as many samples of every phase as there are and as there is room for. */
  private int takeWhole(double[] samples, int at, int to) {
    int each = Math.min((to - at) / factor, phases[0].length - place);
    for (int p = 0; p < factor; p++) {
      copy(samples, at + p, factor, phases[p], place, each);
    }
    place += each;
    return each * factor;
  }

  private static void copy(
      double[] samples, int from, int step, float[] row, int place, int count) {
    for (int i = 0; i < count; i++) {
      row[place + i] = (float) samples[from + i * step];
    }
  }

  /**
   * How many kept samples can be made of those that were taken.
   *
   * @return number of samples, at least 0
   */
  public int ready() {
    return Math.max(0, reached() - 2 * reach);
  }

  /** Samples of the first phase that were taken and are still there. */
  private int reached() {
    return phase > 0 ? place + 1 : place;
  }

  /**
   * Makes all that are ready.
   *
   * @return the kept samples, in the unit of those taken: the first {@link #ready} count; the array
   *     is used again for the next
   */
  public float[] make() {
    filter(ready());
    skip();
    return kept;
  }

  /** Lets go of all that are ready without making them. */
  public void skip() {
    int outputs = ready();
    if (outputs == 0) {
      return;
    }
    int whole = reached();
    for (float[] samples : phases) {
      System.arraycopy(samples, outputs, samples, 0, whole - outputs);
    }
    place -= outputs;
  }

  /**
   * Makes outputs. Samples lie by their phase and are copied to the place where a tap wants them,
   * so that each few taps are one loop over equal indices: the compiler turns only such into vector
   * instructions.
   */
  private void filter(int outputs) {
    int last = 2 * reach * factor;
    Arrays.fill(kept, 0, outputs, 0f);
    for (int t = 0; t < taps.length; t += ABREAST) {
      for (int i = t; i < t + ABREAST; i++) {
        // Zeros may weigh any samples.
        int tap = Math.min(i, last);
        System.arraycopy(phases[tap % factor], tap / factor, shifted[i - t], 0, outputs);
      }
      add(
          shifted[0],
          taps[t],
          shifted[1],
          taps[t + 1],
          shifted[2],
          taps[t + 2],
          shifted[3],
          taps[t + 3],
          kept,
          outputs);
    }
  }

  private static void add(
      float[] first,
      float firstTap,
      float[] second,
      float secondTap,
      float[] third,
      float thirdTap,
      float[] fourth,
      float fourthTap,
      float[] sum,
      int length) {
    for (int i = 0; i < length; i++) {
      sum[i] +=
          (firstTap * first[i] + secondTap * second[i])
              + (thirdTap * third[i] + fourthTap * fourth[i]);
    }
  }

  /**
   * Modified Bessel function of the first kind and order 0, by its series.
   *
   * @param x argument, up to 20
   * @return I0(x)
   */
  public static double besselI0(double x) {
    double sum = 1.0;
    double term = 1.0;
    for (int k = 1; k < 60; k++) {
      term *= (x / (2.0 * k)) * (x / (2.0 * k));
      sum += term;
      if (term < 1e-17 * sum) {
        break;
      }
    }
    return sum;
  }
}
