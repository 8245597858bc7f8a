package org.whinograph.signal;

import java.util.Arrays;

/**
 * Powers |X[k]|² of windowed samples, X[k] = Σ w[n] x[n] e^(−2πikn/N), in single precision: errors
 * are 10⁻⁶ of the strongest line or of what a line of white noise would have, 120 dB down, and it
 * takes little more than half the time of {@link RealTransform}.
 *
 * <p>The section is laid out as a matrix, row by row. Two of its columns, real ones, are
 * transformed as the real and imaginary parts of one; what is known of half the lines of each, the
 * values turned, is transposed and transformed again (Bailey, "FFTs in external or hierarchical
 * memory", 1990). So nearly every loop runs along rows. Several sections at once make the rows
 * longer.
 *
 * <p>Nothing is allocated per call. Not safe for use by several threads.
 */
public final class PowerTransform {
  private final int length;
  private final int batch;
  private final int rows;
  private final int columns;

  /** Rows of the first transform that aren't the mirrors of others. */
  private final int kept;

  private final ColumnTransform down;
  private final ColumnTransform across;
  private final float[] section;
  private final float[][] re;
  private final float[][] im;

  /** Spectra of the columns in the left half of the matrix, and of those in the right half. */
  private final float[][] leftRe;

  private final float[][] leftIm;
  private final float[][] rightRe;
  private final float[][] rightIm;

  private final float[][][] parts;

  /** Imaginary parts of the two rows that are their own mirrors. */
  private final float[][] ownIm;

  private final float[][] leftTurnRe;
  private final float[][] leftTurnIm;
  private final float[][] rightTurnRe;
  private final float[][] rightTurnIm;
  private final float[][] acrossRe;
  private final float[][] acrossIm;

  /**
   * Prepares a length.
   *
   * @param length N, a power of two, at least 64
   * @param batch how many sections are transformed at once, at least 1
   * @throws IllegalArgumentException if the length is no power of two or below 64, or the batch
   *     below 1
   */
  public PowerTransform(int length, int batch) {
    if (length < 64 || Integer.bitCount(length) != 1) {
      throw new IllegalArgumentException("length: a power of two and at least 64, got " + length);
    }
    if (batch < 1) {
      throw new IllegalArgumentException("batch: at least 1, got " + batch);
    }
    this.length = length;
    this.batch = batch;
    this.rows = 1 << (Integer.numberOfTrailingZeros(length) / 2);
    this.columns = length / rows;
    this.kept = rows / 2 + 1;
    this.down = new ColumnTransform(rows);
    this.across = new ColumnTransform(columns);
    this.section = new float[length];
    int half = columns / 2;
    this.re = new float[rows][batch * half];
    this.im = new float[rows][batch * half];
    this.leftRe = new float[kept][];
    this.leftIm = new float[kept][];
    this.rightRe = new float[kept][];
    this.rightIm = new float[kept][];
    this.ownIm = new float[4][batch * half];
    this.leftTurnRe = new float[kept][batch * half];
    this.leftTurnIm = new float[kept][batch * half];
    this.rightTurnRe = new float[kept][batch * half];
    this.rightTurnIm = new float[kept][batch * half];
    for (int k = 0; k < kept; k++) {
      // A row and its mirror add up to twice what is wanted.
      double scale = 2 * k % rows == 0 ? 1.0 : 0.5;
      double angle = 2.0 * Math.PI * k / length;
      Rows.turns(scale, angle, 0, half, leftTurnRe[k], leftTurnIm[k]);
      Rows.turns(scale, angle, half, half, rightTurnRe[k], rightTurnIm[k]);
    }
    this.parts = new float[][][] {leftRe, leftIm, rightRe, rightIm};
    this.acrossRe = new float[columns][batch * kept];
    this.acrossIm = new float[columns][batch * kept];
  }

  /**
   * The length.
   *
   * @return N [samples]
   */
  public int length() {
    return length;
  }

  /**
   * How many sections are transformed at once.
   *
   * @return number of sections
   */
  public int batch() {
    return batch;
  }

  /**
   * Transforms sections of a signal.
   *
   * @param samples the signal x [any unit]
   * @param starts where each section begins [samples, length: batch]
   * @param window weights w [length N]
   * @param powers the powers, unscaled [unit of the samples, squared; batch rows of at least N/2,
   *     line k at k/N of the sample rate]
   */
  public void powers(float[] samples, int[] starts, float[] window, float[][] powers) {
    for (int b = 0; b < batch; b++) {
      System.arraycopy(samples, starts[b], section, 0, length);
      multiply(section, window, length);
      layOut(b * columns / 2);
    }
    down.forward(re, im, batch * columns / 2);
    separate();
    for (int part = 0; part < parts.length; part++) {
      transpose(parts[part], part % 2 == 0 ? acrossRe : acrossIm, part / 2 * columns / 2);
    }
    across.forward(acrossRe, acrossIm, batch * kept);
    square(powers);
  }

  private void square(float[][] powers) {
    for (int j = 0; j < columns; j++) {
      square(acrossRe[j], acrossIm[j], batch * kept);
      for (int b = 0; b < batch; b++) {
        put(acrossRe[j], b * kept, j, powers[b]);
      }
    }
  }

  private static void multiply(float[] values, float[] weights, int count) {
    for (int i = 0; i < count; i++) {
      values[i] *= weights[i];
    }
  }

  private void layOut(int at) {
    int half = columns / 2;
    for (int r = 0; r < rows; r++) {
      System.arraycopy(section, r * columns, re[r], at, half);
      System.arraycopy(section, r * columns + half, im[r], at, half);
    }
  }

  /**
   * Spectra of real columns a and b out of that of a + ib, Z: 2 A[k] = Z[k] + Z*[R−k] and 2i B[k] =
   * Z[k] − Z*[R−k] for R rows, times e^(−2πikc/N) for column c.
   */
  private void separate() {
    int width = batch * columns / 2;
    for (int k = 0; k < kept; k++) {
      if (2 * k % rows == 0) {
        leftRe[k] = re[k];
        leftIm[k] = cleared(ownIm[2 * k / rows]);
        rightRe[k] = im[k];
        rightIm[k] = cleared(ownIm[2 + 2 * k / rows]);
      } else {
        leftRe[k] = re[rows - k];
        leftIm[k] = im[rows - k];
        rightRe[k] = im[k];
        rightIm[k] = re[k];
        addAndSubtract(leftRe[k], rightIm[k], width);
        addAndSubtract(rightRe[k], leftIm[k], width);
      }
      Rows.turn(leftRe[k], leftIm[k], leftTurnRe[k], leftTurnIm[k], width);
      Rows.turn(rightRe[k], rightIm[k], rightTurnRe[k], rightTurnIm[k], width);
    }
  }

  /** The sums and the differences of two rows. */
  private static void addAndSubtract(float[] a, float[] b, int count) {
    for (int i = 0; i < count; i++) {
      float x = a[i];
      float y = b[i];
      a[i] = x + y;
      b[i] = x - y;
    }
  }

  private static float[] cleared(float[] row) {
    Arrays.fill(row, 0f);
    return row;
  }

  private void transpose(float[][] from, float[][] to, int first) {
    int half = columns / 2;
    for (int b = 0; b < batch; b++) {
      for (int c = 0; c < half; c += 4) {
        int row = first + c;
        Rows.gather(from, b * half + c, to[row], to[row + 1], to[row + 2], to[row + 3], b * kept);
      }
    }
  }

  private static void square(float[] re, float[] im, int count) {
    for (int i = 0; i < count; i++) {
      re[i] = re[i] * re[i] + im[i] * im[i];
    }
  }

  /** Lines k + jR stand in row j, k up to R/2; beyond N/2 they are the mirrors of others. */
  private void put(float[] row, int from, int j, float[] power) {
    if (j < columns / 2) {
      System.arraycopy(row, from, power, j * rows, kept);
      return;
    }
    int mirror = (columns - j) * rows;
    for (int k = 1; k < kept - 1; k++) {
      power[mirror - k] = row[from + k];
    }
  }
}
