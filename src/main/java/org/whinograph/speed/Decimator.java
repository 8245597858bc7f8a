package org.whinograph.speed;

/**
 * Brings samples down to about 16 kHz: speed needs lines below 6.6 kHz only, and every later step
 * costs a third. A linear-phase low-pass of Kaiser's design (Kaiser 1974: 50 dB), evaluated at the
 * kept samples alone. Each output is summed in one order of the taps, so blocks never matter.
 */
final class Decimator {
  /** Where the kept samples go. */
  interface Sink {
    /**
     * Takes the next kept samples.
     *
     * @param samples kept samples; the array is used again afterwards
     * @param length how many count
     */
    void accept(float[] samples, int length);
  }

  private static final double BETA = 4.55;

  /** Outputs made at a time: few enough for the nearest cache. */
  private static final int CHUNK = 512;

  private final int factor;
  private final float[] taps;
  private final int reach;
  private final float[][] phases;
  private final float[] kept = new float[CHUNK];
  private final float[] left = new float[CHUNK];
  private final float[] right = new float[CHUNK];
  private final Sink sink;
  private int phase;
  private int place;

  /**
   * Prepares the filter.
   *
   * @param factor one of so many samples is kept, at least 1
   * @param sink where they go
   */
  Decimator(int factor, Sink sink) {
    this.factor = factor;
    this.sink = sink;
    // Flat to 0.4 of the kept rate, 50 dB down from 0.6 of it: what folds lands above 0.4.
    this.reach = factor == 1 ? 0 : 8;
    int half = reach * factor;
    this.taps = new float[2 * half + 1];
    double sum = 0.0;
    double[] design = new double[taps.length];
    for (int i = -half; i <= half; i++) {
      double x = (double) i / factor;
      double sinc = i == 0 ? 1.0 : Math.sin(Math.PI * x) / (Math.PI * x);
      double edge = half == 0 ? 0.0 : (double) i / half;
      design[i + half] = sinc * besselI0(BETA * Math.sqrt(1.0 - edge * edge));
      sum += design[i + half];
    }
    for (int i = 0; i < taps.length; i++) {
      taps[i] = (float) (design[i] / sum);
    }
    this.phases = new float[factor][CHUNK + 2 * reach];
    // Zeros before the first sample put the first output at the first sample.
    this.place = reach;
  }

  /** Takes samples. */
  void accept(double[] samples, int length) {
    int at = 0;
    while (at < length) {
      int each = Math.min((length - at) / factor, phases[0].length - place);
      if (phase == 0 && each > 0) {
        for (int p = 0; p < factor; p++) {
          float[] row = phases[p];
          for (int i = 0; i < each; i++) {
            row[place + i] = (float) samples[at + i * factor + p];
          }
        }
        at += each * factor;
        place += each;
      } else {
        phases[phase][place] = (float) samples[at++];
        if (++phase == factor) {
          phase = 0;
          place++;
        }
      }
      if (place == phases[0].length) {
        emit();
      }
    }
    emit();
  }

  /**
   * Makes all outputs whose samples are there. Samples lie by their phase and are copied to the
   * place where a tap wants them, so that each pair of taps is one loop over equal indices: the
   * compiler turns only such into vector instructions.
   */
  private void emit() {
    int whole = phase > 0 ? place + 1 : place;
    int outputs = whole - 2 * reach;
    if (outputs <= 0) {
      return;
    }
    int last = taps.length - 1;
    System.arraycopy(phases[last % factor], last / factor, left, 0, outputs);
    scale(left, taps[last], kept, outputs);
    for (int t = 0; t < last; t += 2) {
      System.arraycopy(phases[t % factor], t / factor, left, 0, outputs);
      System.arraycopy(phases[(t + 1) % factor], (t + 1) / factor, right, 0, outputs);
      add(left, taps[t], right, taps[t + 1], kept, outputs);
    }
    for (float[] samples : phases) {
      System.arraycopy(samples, outputs, samples, 0, whole - outputs);
    }
    place -= outputs;
    sink.accept(kept, outputs);
  }

  private static void scale(float[] samples, float tap, float[] result, int length) {
    for (int i = 0; i < length; i++) {
      result[i] = tap * samples[i];
    }
  }

  private static void add(
      float[] left, float leftTap, float[] right, float rightTap, float[] sum, int length) {
    for (int i = 0; i < length; i++) {
      sum[i] += leftTap * left[i] + rightTap * right[i];
    }
  }

  private static double besselI0(double x) {
    double sum = 1.0;
    double term = 1.0;
    for (int k = 1; k < 40; k++) {
      term *= (x / (2.0 * k)) * (x / (2.0 * k));
      sum += term;
    }
    return sum;
  }
}
