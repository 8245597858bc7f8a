package org.whinograph.speed;

import java.util.Arrays;

/**
 * Mixes blocks of sound down by a frequency of each: Σ w[n] x[n] e^(−iωn) with n counted from the
 * middle of a block, half a block of the next to either side, through a Hann window w.
 *
 * <p>Many blocks are worked on side by side, in single precision: each loop runs along a row of
 * them, which the compiler turns into vector instructions. Rotations go on by products; over a
 * block they err by a few 10⁻⁵.
 *
 * <p>Nothing is allocated per call. Not safe for use by several threads.
 */
final class BlockMixer {
  /** Blocks side by side. No power of two, since rows would come to lie 512 bytes apart. */
  static final int ABREAST = 120;

  /** Blocks that are read at a time, a divisor of that. */
  private static final int TOGETHER = 4;

  private final int block;
  private final float[] window;
  private final float[][] sound;

  /** Sums and differences of the samples evenly about the middle of each block (columns). */
  private final float[][] even;

  private final float[][] odd;
  private final float[] cos = new float[ABREAST];
  private final float[] sin = new float[ABREAST];
  private final float[] stepRe = new float[ABREAST];
  private final float[] stepIm = new float[ABREAST];
  private final float[] sumCos = new float[ABREAST];
  private final float[] sumSin = new float[ABREAST];

  /**
   * Prepares.
   *
   * @param block spacing of the blocks [samples]
   */
  BlockMixer(int block) {
    this.block = block;
    this.window = new float[block];
    for (int i = 0; i < block; i++) {
      window[i] = (float) (0.5 + 0.5 * Math.cos(Math.PI * (i + 0.5) / block));
    }
    // They don't lie 4 kB apart, where a processor takes one for the other.
    this.sound = new float[TOGETHER][2 * block + 24];
    this.even = new float[block][ABREAST];
    this.odd = new float[block][ABREAST];
  }

  /**
   * Takes some blocks.
   *
   * @param audio samples, taken as 0 outside
   * @param centre middle of the first block [samples]
   * @param count number of blocks, at most {@value #ABREAST}
   */
  void take(float[] audio, int centre, int count) {
    for (int b = 0; b < count; b += TOGETHER) {
      for (int i = 0; i < TOGETHER; i++) {
        cut(audio, centre + (b + i - 1) * block, sound[i]);
      }
      fold(sound[0], sound[1], sound[2], sound[3], b);
    }
  }

  private void cut(float[] audio, int from, float[] values) {
    int first = Math.max(0, Math.min(audio.length, from));
    int end = Math.max(first, Math.min(audio.length, from + 2 * block));
    if (end - first < 2 * block) {
      Arrays.fill(values, 0f);
    }
    if (end > first) {
      System.arraycopy(audio, first, values, first - from, end - first);
    }
  }

  private void fold(float[] first, float[] second, float[] third, float[] fourth, int at) {
    for (int i = 0; i < block; i++) {
      int after = block + i;
      int before = block - 1 - i;
      float weight = window[i];
      float[] row = even[i];
      row[at] = weight * (first[after] + first[before]);
      row[at + 1] = weight * (second[after] + second[before]);
      row[at + 2] = weight * (third[after] + third[before]);
      row[at + 3] = weight * (fourth[after] + fourth[before]);
      row = odd[i];
      row[at] = weight * (first[after] - first[before]);
      row[at + 1] = weight * (second[after] - second[before]);
      row[at + 2] = weight * (third[after] - third[before]);
      row[at + 3] = weight * (fourth[after] - fourth[before]);
    }
  }

  /**
   * Mixes the blocks that were taken.
   *
   * @param steps frequency ω of each [rad a sample]
   * @param order what it is multiplied by
   * @param count number of blocks
   */
  void mix(double[] steps, int order, int count) {
    for (int b = 0; b < count; b++) {
      double half = 0.5 * order * steps[b];
      double re = Math.cos(half);
      double im = Math.sin(half);
      cos[b] = (float) re;
      sin[b] = (float) im;
      stepRe[b] = (float) (re * re - im * im);
      stepIm[b] = (float) (2.0 * re * im);
    }
    Arrays.fill(sumCos, 0f);
    Arrays.fill(sumSin, 0f);
    for (int i = 0; i < block; i++) {
      add(even[i], odd[i], cos, sin, sumCos, sumSin, count);
      turn(cos, sin, stepRe, stepIm, count);
    }
  }

  private static void add(
      float[] even,
      float[] odd,
      float[] cos,
      float[] sin,
      float[] sumCos,
      float[] sumSin,
      int count) {
    for (int i = 0; i < count; i++) {
      sumCos[i] += even[i] * cos[i];
      sumSin[i] += odd[i] * sin[i];
    }
  }

  private static void turn(float[] re, float[] im, float[] stepRe, float[] stepIm, int count) {
    for (int i = 0; i < count; i++) {
      float a = re[i];
      float b = im[i];
      re[i] = a * stepRe[i] - b * stepIm[i];
      im[i] = a * stepIm[i] + b * stepRe[i];
    }
  }

  /** Σ w x cos ωn of a block. */
  double even(int b) {
    return sumCos[b];
  }

  /** Σ w x sin ωn of a block. */
  double odd(int b) {
    return sumSin[b];
  }
}
