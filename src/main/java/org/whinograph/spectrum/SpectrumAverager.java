package org.whinograph.spectrum;

import org.whinograph.quantity.LevelUnit;

/**
 * Averages the energy of frames, line by line (ECMA-418-1: Hann window, linear averaging). Decibels
 * are never averaged: noise would read 2.51 dB low.
 *
 * <p>Bounded memory, no allocation per frame. Not safe for use by several threads.
 */
public final class SpectrumAverager implements FrameListener {
  private final double[] sum;
  private final double lineSpacingHz;
  private final Window window;
  private final int length;
  private final double[] correlations;
  private long frames;

  /**
   * Prepares an average over the frames of a stream.
   *
   * @param window the window of the stream
   * @param length frame length N [samples]
   * @param hop distance between frames [samples]
   * @param sampleRateHz frames a second [Hz]
   */
  public SpectrumAverager(Window window, int length, int hop, double sampleRateHz) {
    if (!(sampleRateHz > 0)) {
      throw new IllegalArgumentException("sampleRateHz: above 0, got " + sampleRateHz);
    }
    this.window = window;
    this.length = length;
    this.sum = new double[length / 2 + 1];
    this.lineSpacingHz = sampleRateHz / length;
    this.correlations = new double[(length - 1) / hop];
    for (int j = 0; j < correlations.length; j++) {
      correlations[j] = window.overlapCorrelation(length, (j + 1) * hop);
    }
  }

  /** {@inheritDoc} */
  @Override
  public void frame(long index, double[] lines) {
    int half = length / 2;
    sum[0] += 0.5 * lines[0] * lines[0];
    sum[half] += 0.5 * lines[1] * lines[1];
    for (int k = 1; k < half; k++) {
      double re = lines[2 * k];
      double im = lines[2 * k + 1];
      sum[k] += re * re + im * im;
    }
    frames++;
  }

  /**
   * Frames averaged so far.
   *
   * @return number of frames
   */
  public long frames() {
    return frames;
  }

  /**
   * The average so far.
   *
   * @param unit what levels refer to
   * @return a copy, or null if there was no frame yet
   */
  public Spectrum spectrum(LevelUnit unit) {
    if (frames == 0) {
      return null;
    }
    double[] mean = new double[sum.length];
    for (int k = 0; k < mean.length; k++) {
      mean[k] = sum[k] / frames;
    }
    return new Spectrum(
        mean, lineSpacingHz, window.noiseBandwidthLines(), frames, independentFrames(), unit);
  }

  /**
   * What overlapping frames are worth: M / (1 + 2 Σ (1 − j/M) ρ_j²), where ρ_j is the overlap
   * correlation of the window (Welch, "The use of fast Fourier transform for the estimation of
   * power spectra", IEEE Trans. Audio Electroacoust. 15, 1967, section on variances).
   */
  private double independentFrames() {
    double inflation = 1.0;
    for (int j = 0; j < correlations.length; j++) {
      double weight = Math.max(0.0, 1.0 - (j + 1.0) / frames);
      inflation += 2.0 * weight * correlations[j] * correlations[j];
    }
    return frames / inflation;
  }
}
