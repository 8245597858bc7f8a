package org.whinograph.speed;

/**
 * Brings samples down to about 16 kHz: speed needs lines below 6.6 kHz only, and every later step
 * costs a third. A linear-phase low-pass of Kaiser's design (Kaiser 1974: 50 dB), evaluated at the
 * kept samples alone. Outputs are computed one by one in order, so blocks never matter.
 */
final class Decimator {
  /** Where the kept samples go. */
  interface Sink {
    /** Takes the next kept sample. */
    void accept(float sample);
  }

  private static final double BETA = 4.55;

  private final int factor;
  private final float[] taps;
  private final float[] history;
  private final Sink sink;
  private int fill;
  private int untilNext;

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
    int half = factor == 1 ? 0 : 8 * factor;
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
    this.history = new float[4096 + taps.length];
    // Zeros before the first sample put the first output at the first sample.
    this.fill = half;
    this.untilNext = half + 1;
  }

  /** Takes samples. */
  void accept(double[] samples, int length) {
    for (int i = 0; i < length; i++) {
      if (fill == history.length) {
        System.arraycopy(history, fill - taps.length + 1, history, 0, taps.length - 1);
        fill = taps.length - 1;
      }
      history[fill++] = (float) samples[i];
      if (--untilNext == 0) {
        untilNext = factor;
        sink.accept(filtered(fill - taps.length));
      }
    }
  }

  private float filtered(int start) {
    float a = 0;
    float b = 0;
    float c = 0;
    float d = 0;
    int i = 0;
    for (; i + 3 < taps.length; i += 4) {
      a += taps[i] * history[start + i];
      b += taps[i + 1] * history[start + i + 1];
      c += taps[i + 2] * history[start + i + 2];
      d += taps[i + 3] * history[start + i + 3];
    }
    for (; i < taps.length; i++) {
      a += taps[i] * history[start + i];
    }
    return (a + b) + (c + d);
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
