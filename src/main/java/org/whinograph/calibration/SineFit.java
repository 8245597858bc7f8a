package org.whinograph.calibration;

/**
 * Least-squares fit of one sine to samples: IEEE Std 1057-2017, clause 4.6 and annex B (three and
 * four parameters).
 *
 * <p>A fit measures a tone's level without the scalloping of a spectrum line and without waiting
 * for many periods, and what it leaves over is the distortion and the noise.
 *
 * @param amplitude A in A cos(2πft + φ) + C [unit of the samples]
 * @param phase φ at the middle of the stretch [rad, −π to π]
 * @param offset C [unit of the samples]
 * @param frequencyHz f: the given one, or the fitted one [Hz]
 * @param residualMeanSquare mean square of what is left over [unit of the samples, squared]
 */
public record SineFit(
    double amplitude, double phase, double offset, double frequencyHz, double residualMeanSquare) {

  /** Gauss–Newton steps; from a start within half a line of the DFT three reach rounding. */
  private static final int STEPS = 6;

  /**
   * Three-parameter fit: amplitude, phase and offset at a known frequency (IEEE Std 1057-2017,
   * B.1).
   *
   * @param samples samples
   * @param from index of the first sample of the stretch
   * @param length samples in the stretch, at least 4
   * @param sampleRateHz rate [Hz]
   * @param frequencyHz known frequency [Hz], above 0 and below half the rate
   * @return the fit
   * @throws IllegalArgumentException if the stretch or the frequency is out of its limits
   */
  public static SineFit threeParameters(
      double[] samples, int from, int length, double sampleRateHz, double frequencyHz) {
    check(samples, from, length, sampleRateHz, frequencyHz);
    double step = 2 * Math.PI * frequencyHz / sampleRateHz;
    // About its middle the cosine is even and the sine is odd: two equations for the cosine and the
    // offset, one for the sine.
    double cc = 0;
    double ss = 0;
    double c1 = 0;
    double xc = 0;
    double xs = 0;
    double x1 = 0;
    double first = -step * (length - 1) / 2;
    double c = Math.cos(first);
    double s = Math.sin(first);
    double turnC = Math.cos(step);
    double turnS = Math.sin(step);
    for (int i = 0; i < length; i++) {
      double x = samples[from + i];
      cc += c * c;
      ss += s * s;
      c1 += c;
      xc += x * c;
      xs += x * s;
      x1 += x;
      double next = c * turnC - s * turnS;
      s = s * turnC + c * turnS;
      c = next;
    }
    double determinant = cc * length - c1 * c1;
    double a = (xc * length - x1 * c1) / determinant;
    double offset = (cc * x1 - c1 * xc) / determinant;
    double b = xs / ss;
    return of(samples, from, length, step, frequencyHz, a, b, offset);
  }

  /**
   * Four-parameter fit: frequency too, by Gauss–Newton steps from a start (IEEE Std 1057-2017,
   * B.2).
   *
   * @param samples samples
   * @param from index of the first sample of the stretch
   * @param length samples in the stretch, at least 8
   * @param sampleRateHz rate [Hz]
   * @param startHz frequency to start from [Hz], within half of rate/length of the tone; the fit
   *     stays within one such line of it
   * @return the fit
   * @throws IllegalArgumentException if the stretch or the frequency is out of its limits
   */
  public static SineFit fourParameters(
      double[] samples, int from, int length, double sampleRateHz, double startHz) {
    check(samples, from, length, sampleRateHz, startHz);
    double line = sampleRateHz / length;
    double frequency = startHz;
    double[][] normal = new double[4][5];
    double[] column = new double[4];
    SineFit fit = threeParameters(samples, from, length, sampleRateHz, frequency);
    for (int pass = 0; pass < STEPS; pass++) {
      double step = 2 * Math.PI * frequency / sampleRateHz;
      double a = fit.amplitude * Math.cos(fit.phase);
      double b = -fit.amplitude * Math.sin(fit.phase);
      for (double[] row : normal) {
        java.util.Arrays.fill(row, 0);
      }
      double first = -step * (length - 1) / 2;
      double c = Math.cos(first);
      double s = Math.sin(first);
      double turnC = Math.cos(step);
      double turnS = Math.sin(step);
      for (int i = 0; i < length; i++) {
        double t = (i - (length - 1) / 2.0) / length;
        column[0] = c;
        column[1] = s;
        column[2] = 1;
        column[3] = t * (b * c - a * s);
        double x = samples[from + i];
        for (int row = 0; row < 4; row++) {
          for (int k = row; k < 4; k++) {
            normal[row][k] += column[row] * column[k];
          }
          normal[row][4] += column[row] * x;
        }
        double next = c * turnC - s * turnS;
        s = s * turnC + c * turnS;
        c = next;
      }
      for (int row = 1; row < 4; row++) {
        for (int k = 0; k < row; k++) {
          normal[row][k] = normal[k][row];
        }
      }
      double turn = solveLast(normal);
      if (!Double.isFinite(turn)) {
        return fit;
      }
      double change = turn / length * sampleRateHz / (2 * Math.PI);
      double moved = Math.max(startHz - line, Math.min(startHz + line, frequency + change));
      moved = Math.max(0.1 * line, Math.min(0.5 * sampleRateHz - 0.1 * line, moved));
      boolean settled = Math.abs(moved - frequency) < 1e-9 * frequency;
      frequency = moved;
      fit = threeParameters(samples, from, length, sampleRateHz, frequency);
      if (settled) {
        break;
      }
    }
    return fit;
  }

  /** Solves the four normal equations and returns the last unknown; NaN if they are singular. */
  private static double solveLast(double[][] m) {
    for (int pivot = 0; pivot < 4; pivot++) {
      int best = pivot;
      for (int row = pivot + 1; row < 4; row++) {
        if (Math.abs(m[row][pivot]) > Math.abs(m[best][pivot])) {
          best = row;
        }
      }
      double[] swap = m[pivot];
      m[pivot] = m[best];
      m[best] = swap;
      if (m[pivot][pivot] == 0) {
        return Double.NaN;
      }
      for (int row = pivot + 1; row < 4; row++) {
        double factor = m[row][pivot] / m[pivot][pivot];
        for (int k = pivot; k < 5; k++) {
          m[row][k] -= factor * m[pivot][k];
        }
      }
    }
    return m[3][4] / m[3][3];
  }

  private static SineFit of(
      double[] samples,
      int from,
      int length,
      double step,
      double frequencyHz,
      double a,
      double b,
      double offset) {
    double first = -step * (length - 1) / 2;
    double c = Math.cos(first);
    double s = Math.sin(first);
    double turnC = Math.cos(step);
    double turnS = Math.sin(step);
    double sum = 0;
    for (int i = 0; i < length; i++) {
      double rest = samples[from + i] - a * c - b * s - offset;
      sum += rest * rest;
      double next = c * turnC - s * turnS;
      s = s * turnC + c * turnS;
      c = next;
    }
    return new SineFit(Math.hypot(a, b), Math.atan2(-b, a), offset, frequencyHz, sum / length);
  }

  private static void check(
      double[] samples, int from, int length, double sampleRateHz, double frequencyHz) {
    if (from < 0 || length < 4 || from + length > samples.length) {
      throw new IllegalArgumentException(
          "from, length: a stretch of at least 4 samples within "
              + samples.length
              + ", got "
              + from
              + ", "
              + length);
    }
    if (!(frequencyHz > 0) || !(frequencyHz < sampleRateHz / 2)) {
      throw new IllegalArgumentException(
          "frequencyHz: above 0 and below half the rate of "
              + sampleRateHz
              + " Hz, got "
              + frequencyHz);
    }
  }
}
