package org.whinograph.signal;

/**
 * Discrete Fourier transforms of many complex signals side by side, X[k] = Σ x[n] e^(−2πikn/N), in
 * single precision. Row n of a matrix holds sample n of every signal, so that each inner loop runs
 * along a row with one factor for the whole of it, and has no more arrays in it than the compiler
 * makes vector instructions of.
 *
 * <p>Nothing is allocated per call. Not safe for use by several threads.
 */
public final class ColumnTransform {
  private final int length;
  private final float[][] spare;

  /** e^(−2πik/N) for the first half of the lines. */
  private final float[] rootRe;

  private final float[] rootIm;

  /**
   * Prepares a length.
   *
   * @param length N, a power of two, at least 2
   * @throws IllegalArgumentException if the length is no power of two or below 2
   */
  public ColumnTransform(int length) {
    if (length < 2 || Integer.bitCount(length) != 1) {
      throw new IllegalArgumentException("length: a power of two and at least 2, got " + length);
    }
    this.length = length;
    this.spare = new float[length][];
    this.rootRe = new float[length / 2];
    this.rootIm = new float[length / 2];
    for (int k = 0; k < rootRe.length; k++) {
      rootRe[k] = (float) Math.cos(2.0 * Math.PI * k / length);
      rootIm[k] = (float) -Math.sin(2.0 * Math.PI * k / length);
    }
  }

  /**
   * Transforms in place; rows change their places.
   *
   * @param re real parts in and out [N rows of at least {@code width}]
   * @param im imaginary parts in and out [N rows of at least {@code width}]
   * @param width number of signals
   */
  public void forward(float[][] re, float[][] im, int width) {
    transform(re, im, width, length);
  }

  /**
   * Transforms in place signals that are zero from N/2 on: what stands in these rows is not read.
   *
   * @param re real parts in and out [N rows of at least {@code width}]
   * @param im imaginary parts in and out [N rows of at least {@code width}]
   * @param width number of signals
   */
  public void forwardPadded(float[][] re, float[][] im, int width) {
    int half = length / 2;
    for (int j = 0; j < half; j++) {
      turn(re[j], im[j], re[j + half], im[j + half], rootRe[j], rootIm[j], width);
    }
    transform(re, im, width, half);
  }

  /** Cooley and Tukey's radix 2, decimated in frequency, from some size of the parts on. */
  private void transform(float[][] x, float[][] y, int width, int from) {
    for (int size = from; size > 1; size /= 2) {
      int half = size / 2;
      for (int j = 0; j < half; j++) {
        float re = rootRe[j * (length / size)];
        float im = rootIm[j * (length / size)];
        for (int s = j; s < length; s += size) {
          if (j == 0) {
            fold(x[s], y[s], x[s + half], y[s + half], width);
          } else {
            fold(x[s], y[s], x[s + half], y[s + half], re, im, width);
          }
        }
      }
    }
    sort(x);
    sort(y);
  }

  private static void turn(
      float[] ar, float[] ai, float[] br, float[] bi, float turnRe, float turnIm, int count) {
    for (int i = 0; i < count; i++) {
      float a = ar[i];
      float b = ai[i];
      br[i] = a * turnRe - b * turnIm;
      bi[i] = a * turnIm + b * turnRe;
    }
  }

  private static void fold(float[] ar, float[] ai, float[] br, float[] bi, int count) {
    for (int i = 0; i < count; i++) {
      float a = ar[i];
      float b = ai[i];
      float c = br[i];
      float d = bi[i];
      ar[i] = a + c;
      ai[i] = b + d;
      br[i] = a - c;
      bi[i] = b - d;
    }
  }

  private static void fold(
      float[] ar, float[] ai, float[] br, float[] bi, float turnRe, float turnIm, int count) {
    for (int i = 0; i < count; i++) {
      float a = ar[i];
      float b = ai[i];
      float c = br[i];
      float d = bi[i];
      ar[i] = a + c;
      ai[i] = b + d;
      br[i] = (a - c) * turnRe - (b - d) * turnIm;
      bi[i] = (a - c) * turnIm + (b - d) * turnRe;
    }
  }

  /** Puts rows that lie in the order of reversed bits into that of frequency. */
  private void sort(float[][] x) {
    System.arraycopy(x, 0, spare, 0, length);
    int shift = Integer.numberOfLeadingZeros(length) + 1;
    for (int k = 0; k < length; k++) {
      x[k] = spare[Integer.reverse(k) >>> shift];
    }
  }
}
