package org.whinograph.signal;

/**
 * Discrete Fourier transforms of long complex signals, X[k] = Σ x[n] e^(−2πikn/N), in single
 * precision. A signal is laid out as a matrix, row by row. Its columns are transformed side by
 * side, the values turned, the matrix transposed and transformed again (Bailey, "FFTs in external
 * or hierarchical memory", 1990): each inner loop runs along rows. Several signals at once make the
 * rows longer.
 *
 * <p>Nothing is allocated per call. Not safe for use by several threads.
 */
final class MatrixTransform {
  private final int batch;
  private final int rows;
  private final int columns;
  private final float[][] re;
  private final float[][] im;
  private final float[][] acrossRe;
  private final float[][] acrossIm;
  private final float[][] turnRe;
  private final float[][] turnIm;
  private final ColumnTransform down;
  private final ColumnTransform across;

  /**
   * Prepares a length.
   *
   * @param length N, a power of two, at least 32
   * @param batch how many signals are transformed at once, at least 1
   */
  MatrixTransform(int length, int batch) {
    this.batch = batch;
    this.rows = 1 << ((Integer.numberOfTrailingZeros(length) + 1) / 2);
    this.columns = length / rows;
    this.re = new float[rows][batch * columns];
    this.im = new float[rows][batch * columns];
    this.acrossRe = new float[columns][batch * rows];
    this.acrossIm = new float[columns][batch * rows];
    this.down = new ColumnTransform(rows);
    this.across = new ColumnTransform(columns);
    this.turnRe = new float[rows][batch * columns];
    this.turnIm = new float[rows][batch * columns];
    for (int k = 0; k < rows; k++) {
      Rows.turns(1.0, 2.0 * Math.PI * k / length, 0, columns, turnRe[k], turnIm[k]);
    }
  }

  /** Rows of the matrix that a signal is laid out in, and length of the rows of its lines. */
  int rows() {
    return rows;
  }

  /** Length of its rows, and rows that its lines are laid out in. */
  int columns() {
    return columns;
  }

  /**
   * Real parts of the signals, to be filled before each transform, which spoils them: x[n] of
   * signal b in row n / columns, place b columns + n mod columns.
   */
  float[][] re() {
    return re;
  }

  /** Imaginary parts of the signals, laid out alike. */
  float[][] im() {
    return im;
  }

  /**
   * Real parts of the lines after a transform: X[k] of signal b in row k / rows, place b rows + k
   * mod rows.
   */
  float[][] linesRe() {
    return acrossRe;
  }

  /** Imaginary parts of the lines, laid out alike. */
  float[][] linesIm() {
    return acrossIm;
  }

  /** Transforms what stands in the rows of the signals. */
  void forward() {
    down.forward(re, im, batch * columns);
    for (int k = 1; k < rows; k++) {
      Rows.turn(re[k], im[k], turnRe[k], turnIm[k], batch * columns);
    }
    transpose(re, acrossRe);
    transpose(im, acrossIm);
    across.forward(acrossRe, acrossIm, batch * rows);
  }

  private void transpose(float[][] from, float[][] to) {
    for (int b = 0; b < batch; b++) {
      for (int c = 0; c < columns; c += 4) {
        Rows.gather(from, b * columns + c, to[c], to[c + 1], to[c + 2], to[c + 3], b * rows);
      }
    }
  }
}
