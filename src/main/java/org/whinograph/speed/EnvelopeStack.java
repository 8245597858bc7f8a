package org.whinograph.speed;

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
  /** Orders of the comb that are kept. */
  private static final int HIGHEST_ORDER = 3;

  /**
   * So many windows are looked at, then every eighth, and every 64th from eight times as many on.
   */
  private static final int DENSE = 16;

  private final OrderPowers lines;
  private final int highestBin;

  private final float[] scratch;

  /** For windows of one length, kept while that length stays the same. */
  private SquaredNoise noise;

  private int windows;

  /**
   * Starts a stack.
   *
   * @param cycles cycles of the comb in a window
   */
  EnvelopeStack(int cycles) {
    this.highestBin = HIGHEST_ORDER * cycles;
    this.lines = new OrderPowers(cycles, highestBin);
    this.scratch = new float[highestBin];
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
    if (window % every == 0 && filled == values.length) {
      stack(values, bell, whitened, count);
    }
  }

  private void stack(float[] values, float[] bell, float[] whitened, int count) {
    if (noise == null || noise.length() != values.length) {
      noise = new SquaredNoise(values.length);
    }
    float[] power = noise.powers(values, bell, whitened, count);
    int last = Math.min(highestBin, power.length);
    System.arraycopy(power, 0, scratch, 0, last);
    float median = Whitener.median(scratch, last);
    // The median of powers of noise is ln 2 of their mean.
    float scale = (float) (Math.log(2.0) / Math.max(1e-30f, median));
    lines.add(power, scale, last);
  }
}
