package org.whinograph.spectrum;

/**
 * Windows that frames are multiplied with before the transform, each a sum of cosines Σ (−1)^i a_i
 * cos(2πin/N), in the periodic ("DFT-even") form: sample N would repeat sample 0.
 *
 * <p>In that form the transform of a window is exactly its coefficients, so that its gain and its
 * noise bandwidth are exact: coherent gain a_0, effective noise bandwidth (a_0² + ½ Σ a_i²)/a_0²
 * lines (Harris, "On the use of windows for harmonic analysis with the discrete Fourier transform",
 * Proc. IEEE 66, 1978, eqs. 11 and 15).
 */
public enum Window {
  /** Hann, a = ½, ½ (Harris 1978, table I). The window that ECMA-418-1 asks for. */
  HANN(2.0, 0.5, 0.5),
  /**
   * Flat top HFT95 of Heinzel, Rüdiger and Schilling, "Spectrum and spectral density estimation by
   * the DFT", 2002, section D.3.4: reads the level of a tone between two lines within 0.0044 dB.
   */
  FLAT_TOP(5.0, 1.0, 1.9383379, 1.3045202, 0.4028270, 0.0350665),
  /** Blackman–Harris, 4 terms, −92 dB (Harris 1978, table I). */
  BLACKMAN_HARRIS(4.0, 0.35875, 0.48829, 0.14128, 0.01168),
  /** Rectangular: no window. */
  RECTANGULAR(1.0, 1.0);

  private final double mainLobeHalfWidthLines;

  @SuppressWarnings("ImmutableEnumChecker") // Never written and never handed out.
  private final double[] terms;

  Window(double mainLobeHalfWidthLines, double... terms) {
    this.mainLobeHalfWidthLines = mainLobeHalfWidthLines;
    this.terms = terms;
  }

  /**
   * The window's samples.
   *
   * @param length N, at least 16
   * @return samples [1, length N, sample n at angle 2πn/N]
   * @throws IllegalArgumentException if the length is below 16
   */
  public double[] samples(int length) {
    if (length < 16) {
      throw new IllegalArgumentException("length: at least 16, got " + length);
    }
    double[] samples = new double[length];
    for (int n = 0; n < length; n++) {
      double sum = 0.0;
      double sign = 1.0;
      for (int i = 0; i < terms.length; i++) {
        // The product is reduced first, so that large i·n costs no accuracy.
        sum += sign * terms[i] * Math.cos(2.0 * Math.PI * (((long) i * n) % length) / length);
        sign = -sign;
      }
      samples[n] = sum;
    }
    return samples;
  }

  /**
   * Mean of the window's samples: what it does to the amplitude of a tone on a line.
   *
   * @return coherent gain a_0 [1]
   */
  public double coherentGain() {
    return terms[0];
  }

  /**
   * Width of the rectangle that passes as much white noise: 1.5 for Hann.
   *
   * @return effective noise bandwidth [lines]
   */
  public double noiseBandwidthLines() {
    double sum = terms[0] * terms[0];
    for (int i = 1; i < terms.length; i++) {
      sum += 0.5 * terms[i] * terms[i];
    }
    return sum / (terms[0] * terms[0]);
  }

  /**
   * Distance from the middle of the main lobe to its first zero.
   *
   * @return half width [lines]
   */
  public double mainLobeHalfWidthLines() {
    return mainLobeHalfWidthLines;
  }

  /**
   * Response to a tone that lies between lines, for a long window.
   *
   * @param offsetLines distance of the tone from the line [lines]
   * @return amplitude relative to a tone on the line [1], signed
   */
  public double response(double offsetLines) {
    double sum = terms[0] * sinc(offsetLines);
    for (int i = 1; i < terms.length; i++) {
      sum += 0.5 * terms[i] * (sinc(offsetLines - i) + sinc(offsetLines + i));
    }
    return sum / terms[0];
  }

  private static double sinc(double x) {
    if (Math.abs(x) < 1e-9) {
      return 1.0;
    }
    return Math.sin(Math.PI * x) / (Math.PI * x);
  }

  /**
   * Correlation between two stretches of white noise that were cut with this window some samples
   * apart: Σ w[n] w[n + d] / Σ w[n]².
   *
   * @param length N, at least 16
   * @param distance d, at least 0 [samples]; N and more give 0
   * @return correlation [1]
   */
  public double overlapCorrelation(int length, int distance) {
    double[] w = samples(length);
    double product = 0.0;
    double energy = 0.0;
    for (int n = 0; n < length; n++) {
      energy += w[n] * w[n];
      if (n + distance < length) {
        product += w[n] * w[n + distance];
      }
    }
    return product / energy;
  }
}
