package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.PowerTransform;
import org.whinograph.signal.RealTransform;

/**
 * What the noise of a fan swells and fades with. Blades that aren't alike make the broadband noise
 * louder once a turn, even where no line of the shaft stands out of it: squared, the noise has a
 * line at the shaft's order.
 *
 * <p>Lines are taken out first and what is left is made white, so that nothing but noise is
 * squared: products of lines would stand at the same orders and tell nothing new. A hundredth of
 * modulation shows in a few windows, so that after the first windows only ever fewer are looked at.
 *
 * <p>Not safe for use by several threads.
 */
final class EnvelopeStack {
  /** A whitened line of more power is a tone: noise has such a one in 3000 [1]. */
  private static final float TONE = 8f;

  /** Lines to either side of a tone that hold some of it, the more so if it smears. */
  private static final int SKIRT = 4;

  /** Orders of the comb that are kept. */
  private static final int HIGHEST_ORDER = 3;

  /**
   * So many windows are looked at, then every eighth, and every 64th from eight times as many on.
   */
  private static final int DENSE = 16;

  private final OrderPowers lines;
  private final int highestBin;
  private int windows;
  private RealTransform real;
  private PowerTransform transform;
  private double[] section = {};
  private float[] squared = {};
  private float[] even = {};
  private final float[][] powers = new float[1][];
  private final int[] start = new int[1];
  private float[] scratch = {};

  /**
   * Starts a stack.
   *
   * @param cycles cycles of the comb in a window
   */
  EnvelopeStack(int cycles) {
    this.highestBin = HIGHEST_ORDER * cycles;
    this.lines = new OrderPowers(cycles, highestBin);
  }

  /** The lines of the envelope by order of the comb. */
  OrderPowers lines() {
    return lines;
  }

  /**
   * Adds a window.
   *
   * @param values sound at even steps of the comb's angle
   * @param bell window
   * @param filled how many values count
   * @param whitened powers of the lines over the noise floor, 0 where something else may stand [1]
   * @param count number of lines
   */
  void add(float[] values, float[] bell, int filled, float[] whitened, int count) {
    int window = windows++;
    int every = window < DENSE ? 1 : window < 8 * DENSE ? 8 : 64;
    if (window % every != 0 || filled < values.length) {
      return;
    }
    prepare(values.length);
    for (int i = 0; i < section.length; i++) {
      section[i] = (double) values[i] * bell[i];
    }
    real.forward(section);
    whiten(whitened, count);
    real.inverse(section);
    for (int i = 0; i < section.length; i++) {
      squared[i] = (float) (section[i] * section[i]);
    }
    transform.powers(squared, start, even, powers);
    int last = Math.min(highestBin, section.length / 2);
    System.arraycopy(powers[0], 0, scratch, 0, last);
    float median = Whitener.median(scratch, last);
    // The median of powers of noise is ln 2 of their mean.
    float scale = (float) (Math.log(2.0) / Math.max(1e-30f, median));
    for (int k = 0; k < last; k++) {
      lines.add(k, scale * powers[0][k]);
    }
  }

  private void prepare(int length) {
    if (section.length != length) {
      real = new RealTransform(length);
      transform = new PowerTransform(length, 1);
      section = new double[length];
      squared = new float[length];
      even = new float[length];
      Arrays.fill(even, 1f);
      powers[0] = new float[length / 2];
      scratch = new float[Math.min(highestBin, length / 2)];
    }
  }

  /** Gives each line its whitened power, and none to those that aren't noise. */
  private void whiten(float[] whitened, int count) {
    section[0] = 0.0;
    section[1] = 0.0;
    int skirtTo = 0;
    int ahead = 0;
    for (int k = 1; k < section.length / 2; k++) {
      while (ahead < Math.min(count, k + SKIRT + 1)) {
        skirtTo = whitened[ahead] < TONE ? skirtTo : ahead + SKIRT;
        ahead++;
      }
      boolean noise = k < count && k > skirtTo;
      double re = section[2 * k];
      double im = section[2 * k + 1];
      double power = re * re + im * im;
      double gain = noise && power > 0.0 ? Math.sqrt(whitened[k] / power) : 0.0;
      section[2 * k] = re * gain;
      section[2 * k + 1] = im * gain;
    }
  }
}
