package org.whinograph.speed.order;

import org.whinograph.speed.LowPass;

/**
 * Reads a signal at any moment between its samples: a windowed sinc after Kaiser ("Nonrecursive
 * digital filter design using the I0-sinh window function", 1974) of {@value #TAPS} weights.
 * Sampling mirrors each line at the rate less its frequency. At 44.1 kHz and more, lines up to 13
 * kHz pass within 0.01 dB and their mirrors are 77 dB down.
 *
 * <p>Moments are rounded to {@value #PHASES} parts of a sample: at 10 kHz and 48 kHz that jitter
 * stays 68 dB below a tone. Immutable.
 */
final class AngleKernel {
  static final int TAPS = 16;
  private static final int PHASES = 1024;
  private static final double SAMPLE = 0x1p32;
  private static final int PHASE_SHIFT = 32 - Integer.numberOfTrailingZeros(PHASES);

  /** Kaiser's β for 75 dB: 0.1102 (A − 8.7). */
  private static final double BETA = 0.1102 * (75.0 - 8.7);

  /** Samples before the one at or below a moment that a value needs. */
  private static final int BEFORE = TAPS / 2 - 1;

  /** Weights, those of one phase after the other. */
  private final float[] kernel = new float[PHASES * TAPS];

  /** Designs the kernel. */
  AngleKernel() {
    double[] values = new double[TAPS];
    for (int p = 0; p < PHASES; p++) {
      double sum = 0.0;
      for (int i = 0; i < TAPS; i++) {
        double x = i - BEFORE - (p + 0.5) / PHASES;
        double edge = x / (0.5 * TAPS);
        double bell = LowPass.besselI0(BETA * Math.sqrt(Math.max(0.0, 1.0 - edge * edge)));
        double angle = Math.PI * x;
        values[i] = bell * (Math.abs(angle) < 1e-9 ? 1.0 : Math.sin(angle) / angle);
        sum += values[i];
      }
      for (int i = 0; i < TAPS; i++) {
        kernel[p * TAPS + i] = (float) (values[i] / sum);
      }
    }
  }

  /**
   * Values at evenly spaced moments.
   *
   * @param samples samples
   * @param place first moment [samples from index 0], at least half of {@value #TAPS}
   * @param step distance of the moments [samples]
   * @param values where they go
   * @param from index of the first
   * @param count how many
   */
  void read(float[] samples, double place, double step, float[] values, int from, int count) {
    float[] k = kernel;
    float[] x = samples;
    // Whole numbers, in which a sample is 2³²: to turn each moment into one takes longer.
    long moment = (long) (place * SAMPLE);
    long on = (long) (step * SAMPLE);
    for (int v = 0; v < count; v++) {
      int p = TAPS * ((int) (moment >>> PHASE_SHIFT) & (PHASES - 1));
      int s = (int) (moment >>> 32) - BEFORE;
      moment += on;
      // Written out: a loop of sixteen costs more than what is in it.
      float a = k[p] * x[s] + k[p + 4] * x[s + 4] + k[p + 8] * x[s + 8] + k[p + 12] * x[s + 12];
      float b =
          k[p + 1] * x[s + 1] + k[p + 5] * x[s + 5] + k[p + 9] * x[s + 9] + k[p + 13] * x[s + 13];
      float c =
          k[p + 2] * x[s + 2] + k[p + 6] * x[s + 6] + k[p + 10] * x[s + 10] + k[p + 14] * x[s + 14];
      float d =
          k[p + 3] * x[s + 3] + k[p + 7] * x[s + 7] + k[p + 11] * x[s + 11] + k[p + 15] * x[s + 15];
      values[from + v] = (a + b) + (c + d);
    }
  }
}
