package org.whinograph.speed;

/**
 * Brings samples down to about 16 kHz: speed needs lines below 6.6 kHz only, and every later step
 * costs a third. A linear-phase low-pass of Kaiser's design (Kaiser 1974: 50 dB), evaluated at the
 * kept samples alone. Each output is summed in the order of the taps, so blocks never matter.
 */
final class Decimator {
  /** Where the kept samples go. */
  interface Sink {
    /** Takes the next kept sample. */
    void accept(float sample);
  }

  private static final double BETA = 4.55;

  /** Outputs made at a time. */
  private static final int CHUNK = 1024;

  private final int factor;
  private final float[] taps;
  private final int reach;
  private final float[][] phases;
  private final float[] kept = new float[CHUNK];
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
    for (int i = 0; i < length; i++) {
      phases[phase][place] = (float) samples[i];
      if (++phase == factor) {
        phase = 0;
        if (++place == phases[0].length) {
          emit();
        }
      }
    }
    emit();
  }

  /**
   * Makes all outputs whose samples are there. Samples lie by their phase, so that each tap is one
   * loop over neighbours, which the compiler turns into vector instructions.
   */
  private void emit() {
    int whole = phase > 0 ? place + 1 : place;
    int outputs = whole - 2 * reach;
    if (outputs <= 0) {
      return;
    }
    java.util.Arrays.fill(kept, 0, outputs, 0f);
    for (int t = 0; t < taps.length; t++) {
      add(kept, phases[t % factor], t / factor, taps[t], outputs);
    }
    for (float[] samples : phases) {
      System.arraycopy(samples, outputs, samples, 0, whole - outputs);
    }
    place -= outputs;
    for (int m = 0; m < outputs; m++) {
      sink.accept(kept[m]);
    }
  }

  private static void add(float[] sum, float[] samples, int offset, float tap, int length) {
    for (int m = 0; m < length; m++) {
      sum[m] += tap * samples[m + offset];
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
