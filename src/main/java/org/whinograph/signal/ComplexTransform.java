package org.whinograph.signal;

/**
 * Discrete Fourier transform of a long complex signal, X[k] = Σ x[n] e^(−2πikn/N), in single
 * precision. The inverse is the conjugate of the transform of the conjugate, over N.
 *
 * <p>Nothing is allocated per call. Not safe for use by several threads.
 */
public final class ComplexTransform {
  private final MatrixTransform matrix;

  /**
   * Prepares a length.
   *
   * @param length N, a power of two, at least 32
   * @throws IllegalArgumentException if the length is no power of two or below 32
   */
  public ComplexTransform(int length) {
    if (length < 32 || Integer.bitCount(length) != 1) {
      throw new IllegalArgumentException("length: a power of two and at least 32, got " + length);
    }
    this.matrix = new MatrixTransform(length, 1);
  }

  /**
   * Transforms in place.
   *
   * @param re real parts in and out [length N]
   * @param im imaginary parts in and out [length N]
   */
  public void forward(float[] re, float[] im) {
    int columns = matrix.columns();
    for (int r = 0; r < matrix.rows(); r++) {
      System.arraycopy(re, r * columns, matrix.re()[r], 0, columns);
      System.arraycopy(im, r * columns, matrix.im()[r], 0, columns);
    }
    matrix.forward();
    int rows = matrix.rows();
    for (int r = 0; r < columns; r++) {
      System.arraycopy(matrix.linesRe()[r], 0, re, r * rows, rows);
      System.arraycopy(matrix.linesIm()[r], 0, im, r * rows, rows);
    }
  }
}
