package org.whinograph.signal;

/** What transforms that are laid out as a matrix do along its rows. */
final class Rows {
  private Rows() {}

  /**
   * Factors to turn values with, s e^(−iαc) for columns c from the first on, over again to the end
   * of the rows.
   *
   * @param scale s
   * @param angle α [rad]
   * @param first first column
   * @param count number of columns
   * @param re where real parts go
   * @param im where imaginary parts go
   */
  static void turns(double scale, double angle, int first, int count, float[] re, float[] im) {
    for (int i = 0; i < count; i++) {
      re[i] = (float) (scale * Math.cos(angle * (first + i)));
      im[i] = (float) (-scale * Math.sin(angle * (first + i)));
    }
    for (int at = count; at < re.length; at += count) {
      System.arraycopy(re, 0, re, at, count);
      System.arraycopy(im, 0, im, at, count);
    }
  }

  /** Multiplies complex values by others. */
  static void turn(float[] re, float[] im, float[] turnRe, float[] turnIm, int count) {
    for (int i = 0; i < count; i++) {
      float a = re[i];
      float b = im[i];
      re[i] = a * turnRe[i] - b * turnIm[i];
      im[i] = a * turnIm[i] + b * turnRe[i];
    }
  }

  /**
   * Four columns become rows.
   *
   * @param from rows of the matrix
   * @param c first of the columns
   * @param at where each begins in its row
   */
  static void gather(
      float[][] from, int c, float[] first, float[] second, float[] third, float[] fourth, int at) {
    for (int k = 0; k < from.length; k++) {
      float[] row = from[k];
      first[at + k] = row[c];
      second[at + k] = row[c + 1];
      third[at + k] = row[c + 2];
      fourth[at + k] = row[c + 3];
    }
  }
}
