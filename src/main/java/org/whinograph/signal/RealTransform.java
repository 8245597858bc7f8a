package org.whinograph.signal;

import org.jtransforms.fft.DoubleFFT_1D;

/**
 * Discrete Fourier transform of real samples: X[k] = Σ x[n] e^(−2πikn/N), unscaled, and its scaled
 * inverse.
 *
 * <p>Runs on the calling thread only, so that the chain alone decides how the two cores are shared.
 * An instance holds no state between calls and may be shared by threads.
 */
public final class RealTransform {
  static {
    // Above these lengths JTransforms would start threads of its own.
    org.jtransforms.utils.CommonUtils.setThreadsBeginN_1D_FFT_2Threads(Long.MAX_VALUE);
    org.jtransforms.utils.CommonUtils.setThreadsBeginN_1D_FFT_4Threads(Long.MAX_VALUE);
  }

  private final DoubleFFT_1D transform;
  private final int length;

  /**
   * Prepares a length; even lengths with small prime factors are fast.
   *
   * @param length N, even, at least 2
   * @throws IllegalArgumentException if the length is odd or below 2
   */
  public RealTransform(int length) {
    if (length < 2 || length % 2 != 0) {
      throw new IllegalArgumentException("length: even and at least 2, got " + length);
    }
    this.length = length;
    this.transform = new DoubleFFT_1D(length);
  }

  /**
   * The length.
   *
   * @return N
   */
  public int length() {
    return length;
  }

  /**
   * Transforms in place. Afterwards the array holds [Re 0, Re N/2, Re 1, Im 1, Re 2, Im 2, …].
   *
   * @param samples N real samples in, N/2 + 1 packed lines out [length at least N]
   */
  public void forward(double[] samples) {
    transform.realForward(samples);
  }

  /**
   * Inverse of {@link #forward}, in place and scaled by 1/N.
   *
   * @param lines packed lines in, N real samples out [length at least N]
   */
  public void inverse(double[] lines) {
    transform.realInverse(lines, true);
  }
}
