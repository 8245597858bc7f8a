package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.ComplexTransform;
import org.whinograph.signal.PowerTransform;

/**
 * Spectrum of the square of what is noise in a window of sound: each line is given its whitened
 * power, and none if it is a tone.
 *
 * <p>Not safe for use by several threads.
 */
final class SquaredNoise {
  /** A whitened line of more power is a tone: noise has such a one in 3000 [1]. */
  private static final float TONE = 8f;

  /** Lines to either side of a tone that hold some of it, the more so if it smears. */
  private static final int SKIRT = 4;

  private final ComplexTransform transform;
  private final PowerTransform squares;
  private final float[] re;
  private final float[] im;
  private final float[] even;
  private final float[][] powers;
  private final int[] start = new int[1];

  /**
   * Prepares a length.
   *
   * @param length length of the windows, a power of two, at least 64
   */
  SquaredNoise(int length) {
    this.transform = new ComplexTransform(length);
    this.squares = new PowerTransform(length, 1);
    this.re = new float[length];
    this.im = new float[length];
    this.even = new float[length];
    Arrays.fill(even, 1f);
    this.powers = new float[1][length / 2];
  }

  /** Length of the windows. */
  int length() {
    return re.length;
  }

  /**
   * Squares a window.
   *
   * @param values sound
   * @param bell window
   * @param whitened powers of the lines over the noise floor, 0 where something else may stand [1]
   * @param count number of lines that are known
   * @return powers of the square's lines, without scale; used again for the next window
   */
  float[] powers(float[] values, float[] bell, float[] whitened, int count) {
    for (int i = 0; i < re.length; i++) {
      re[i] = values[i] * bell[i];
    }
    Arrays.fill(im, 0f);
    transform.forward(re, im);
    whiten(whitened, Math.min(count, re.length / 2));
    // Of one side of the spectrum the real part is the noise: conjugated, the transform is its own
    // inverse.
    transform.forward(re, im);
    for (int i = 0; i < re.length; i++) {
      re[i] *= re[i];
    }
    squares.powers(re, start, even, powers);
    return powers[0];
  }

  /** Gives each line its whitened power, and none to those that aren't noise; conjugates them. */
  private void whiten(float[] whitened, int count) {
    re[0] = 0f;
    im[0] = 0f;
    int skirtTo = 0;
    int ahead = 0;
    for (int k = 1; k < count; k++) {
      while (ahead < Math.min(count, k + SKIRT + 1)) {
        skirtTo = whitened[ahead] < TONE ? skirtTo : ahead + SKIRT;
        ahead++;
      }
      double power = re[k] * (double) re[k] + im[k] * (double) im[k];
      boolean noise = k > skirtTo && power > 0.0;
      float gain = noise ? (float) Math.sqrt(whitened[k] / power) : 0f;
      re[k] *= gain;
      im[k] *= -gain;
    }
    Arrays.fill(re, count, re.length, 0f);
    Arrays.fill(im, count, im.length, 0f);
  }
}
