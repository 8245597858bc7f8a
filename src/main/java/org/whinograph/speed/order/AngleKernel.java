package org.whinograph.speed.order;

import org.whinograph.speed.LowPass;

/**
 * Reads a signal at any moment between its samples: a windowed sinc after Kaiser ("Nonrecursive
 * digital filter design using the I0-sinh window function", 1974), flat within 0.01 dB up to a pass
 * band's end. Sampling mirrors each line at the rate less its frequency: those of the pass band are
 * 74 dB down, those of lines up to {@value #UNCLEAN_HZ} Hz 60 dB together with the low-pass before.
 *
 * <p>Moments are rounded to {@value #PHASES} parts of a sample: at 10 kHz and 48 kHz that jitter
 * stays 68 dB below a tone. Immutable.
 */
final class AngleKernel {
  /** Where a low-pass that begins at 13 kHz and ends at 19.5 kHz is 30 dB down. */
  private static final double UNCLEAN_HZ = 18_000.0;

  private static final int PHASES = 1024;

  /** Kaiser's β for 75 dB: 0.1102 (A − 8.7). */
  private static final double BETA = 0.1102 * (75.0 - 8.7);

  private final int taps;

  /** Weights, those of one phase after the other. */
  private final float[] kernel;

  /**
   * Designs the kernel.
   *
   * @param rate rate of the signal [Hz]
   * @param passHz end of the pass band [Hz]
   */
  AngleKernel(double rate, double passHz) {
    double clean = Math.max(0.1 * rate, rate - UNCLEAN_HZ - passHz);
    // Kaiser's length for a ripple: (A − 7.95)/(2.285 Δω).
    int wanted = (int) Math.ceil((75.0 - 7.95) / (2.285 * 2.0 * Math.PI * clean / rate)) + 1;
    taps = (wanted + 3) / 4 * 4;
    kernel = new float[PHASES * taps];
    double[] values = new double[taps];
    for (int p = 0; p < PHASES; p++) {
      double sum = 0.0;
      for (int i = 0; i < taps; i++) {
        double x = i - before() - (p + 0.5) / PHASES;
        double edge = x / (0.5 * taps);
        double bell = LowPass.besselI0(BETA * Math.sqrt(Math.max(0.0, 1.0 - edge * edge)));
        double angle = Math.PI * x;
        values[i] = bell * (Math.abs(angle) < 1e-9 ? 1.0 : Math.sin(angle) / angle);
        sum += values[i];
      }
      for (int i = 0; i < taps; i++) {
        kernel[p * taps + i] = (float) (values[i] / sum);
      }
    }
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
   * Values at evenly spaced moments.
   *
   * @param samples samples
   * @param place first moment [samples from index 0], at least {@link #before()}
   * @param step distance of the moments [samples]
   * @param values where they go
   * @param from index of the first
   * @param count how many
   */
  void read(float[] samples, double place, double step, double[] values, int from, int count) {
    for (int v = 0; v < count; v++) {
      double moment = place + v * step;
      int whole = (int) moment;
      int at = (int) ((moment - whole) * PHASES) * taps;
      int start = whole - before();
      float a = 0f;
      float b = 0f;
      float c = 0f;
      float d = 0f;
      for (int i = 0; i < taps; i += 4) {
        a += kernel[at + i] * samples[start + i];
        b += kernel[at + i + 1] * samples[start + i + 1];
        c += kernel[at + i + 2] * samples[start + i + 2];
        d += kernel[at + i + 3] * samples[start + i + 3];
      }
      values[from + v] = (a + b) + (c + d);
    }
  }
}
