package org.whinograph.rehearsal;

import java.util.function.DoubleUnaryOperator;
import org.whinograph.signal.RealTransform;

/**
 * A filter that turns white noise into noise of a wanted density, and the density that it really
 * gives.
 *
 * <p>The impulse response of the wanted magnitude is cut to {@value #TAPS} taps under a Hann
 * window, which smooths the density over some hertz. What is left is not an estimate: white noise
 * of variance 1 through taps h has the one-sided density |H(f)|² · 2/fs, and that is what {@link
 * #density()} holds. Immutable.
 */
final class NoiseFilter {
  /** Length of the impulse response. */
  static final int TAPS = 8192;

  /** Length of the transforms by which the taps are designed and their density is computed. */
  static final int GRID = 1 << 17;

  private final double[] taps;
  private final double[] density;
  private final double spacingHz;

  /**
   * Designs a filter.
   *
   * @param wanted density over frequency [(20 µPa)²/Hz over Hz], at least 0
   * @param sampleRateHz rate [Hz]
   */
  NoiseFilter(DoubleUnaryOperator wanted, double sampleRateHz) {
    spacingHz = sampleRateHz / GRID;
    RealTransform transform = new RealTransform(GRID);
    double[] work = new double[GRID];
    work[0] = Math.sqrt(wanted.applyAsDouble(0) * sampleRateHz / 2);
    work[1] = Math.sqrt(wanted.applyAsDouble(sampleRateHz / 2) * sampleRateHz / 2);
    for (int k = 1; k < GRID / 2; k++) {
      work[2 * k] = Math.sqrt(wanted.applyAsDouble(k * spacingHz) * sampleRateHz / 2);
    }
    transform.inverse(work);
    taps = new double[TAPS];
    int centre = TAPS / 2;
    for (int i = 0; i < TAPS; i++) {
      int lag = i - centre;
      double window = 0.5 + 0.5 * StrictMath.cos(2 * Math.PI * lag / TAPS);
      taps[i] = window * work[lag < 0 ? lag + GRID : lag];
    }
    java.util.Arrays.fill(work, 0);
    System.arraycopy(taps, 0, work, 0, TAPS);
    transform.forward(work);
    density = new double[GRID / 2 + 1];
    double scale = 2 / sampleRateHz;
    density[0] = scale * work[0] * work[0];
    density[GRID / 2] = scale * work[1] * work[1];
    for (int k = 1; k < GRID / 2; k++) {
      density[k] = scale * (work[2 * k] * work[2 * k] + work[2 * k + 1] * work[2 * k + 1]);
    }
  }

  /** Impulse response [20 µPa, length {@link #TAPS}]. */
  double[] taps() {
    return taps;
  }

  /** Density [(20 µPa)²/Hz, length GRID/2 + 1, line k at k · fs/GRID]. */
  double[] density() {
    return density;
  }
}
