package org.whinograph.speed.order;

/**
 * Low-pass that reads a signal at any moment between its samples: a windowed sinc after Kaiser
 * ("Nonrecursive digital filter design using the I0-sinh window function", 1974), flat within 0.01
 * dB up to {@value #PASS_HZ} Hz and 75 dB down from {@value #STOP_HZ} Hz on.
 *
 * <p>Moments are rounded to {@value #PHASES} parts of a sample: at 10 kHz and 48 kHz that jitter
 * stays 68 dB below a tone. Immutable.
 */
final class AngleKernel {
  static final double PASS_HZ = 13_000.0;
  static final double STOP_HZ = 19_500.0;
  private static final int PHASES = 1024;

  /** Kaiser's β for 75 dB: 0.1102 (A − 8.7). */
  private static final double BETA = 0.1102 * (75.0 - 8.7);

  private final int taps;
  private final float[][] kernel = new float[PHASES][];

  /**
   * Designs the low-pass for a rate.
   *
   * @param rate rate of the signal [Hz]
   */
  AngleKernel(double rate) {
    double transition = 2.0 * Math.PI * (STOP_HZ - PASS_HZ) / rate;
    // Kaiser's length for a ripple: (A − 7.95)/(2.285 Δω).
    int wanted = (int) Math.ceil((75.0 - 7.95) / (2.285 * transition)) + 1;
    taps = (wanted + 3) / 4 * 4;
    double cutoff = (PASS_HZ + STOP_HZ) / rate;
    for (int p = 0; p < PHASES; p++) {
      double[] values = new double[taps];
      double sum = 0.0;
      for (int i = 0; i < taps; i++) {
        double x = i - (taps / 2 - 1) - (p + 0.5) / PHASES;
        double edge = x / (0.5 * taps);
        double bell = besselI0(BETA * Math.sqrt(Math.max(0.0, 1.0 - edge * edge)));
        double angle = Math.PI * cutoff * x;
        values[i] = bell * (Math.abs(angle) < 1e-9 ? 1.0 : Math.sin(angle) / angle);
        sum += values[i];
      }
      kernel[p] = new float[taps];
      for (int i = 0; i < taps; i++) {
        kernel[p][i] = (float) (values[i] / sum);
      }
    }
  }

  private static double besselI0(double x) {
    double sum = 1.0;
    double term = 1.0;
    for (int k = 1; k < 60; k++) {
      term *= (x / (2.0 * k)) * (x / (2.0 * k));
      sum += term;
    }
    return sum;
  }

  /** Samples that one value needs. */
  int taps() {
    return taps;
  }

  /** Samples before the one at or below the moment that a value needs. */
  int before() {
    return taps / 2 - 1;
  }

  /**
   * Value at a moment.
   *
   * @param samples samples
   * @param place moment [samples from index 0], at least {@link #before()}
   */
  double at(float[] samples, double place) {
    int whole = (int) place;
    float[] weights = kernel[(int) ((place - whole) * PHASES)];
    int start = whole - (taps / 2 - 1);
    float a = 0f;
    float b = 0f;
    float c = 0f;
    float d = 0f;
    for (int i = 0; i < taps; i += 4) {
      a += weights[i] * samples[start + i];
      b += weights[i + 1] * samples[start + i + 1];
      c += weights[i + 2] * samples[start + i + 2];
      d += weights[i + 3] * samples[start + i + 3];
    }
    return (a + b) + (c + d);
  }
}
