package org.whinograph.rehearsal;

/**
 * How samples become numbers of a fixed size.
 *
 * @param bits bits of a sample, 8 to 32, or 0 to leave samples as they are
 * @param dither whether triangular dither of ±1 step is added first, which makes the rounding error
 *     a white noise that the signal doesn't shape
 */
public record Quantisation(int bits, boolean dither) {
  /** Samples as they are. */
  public static final Quantisation NONE = new Quantisation(0, false);

  /** 24 bits with dither. */
  public static final Quantisation BITS_24 = new Quantisation(24, true);

  /** 16 bits with dither. */
  public static final Quantisation BITS_16 = new Quantisation(16, true);

  /** Checks the components. {@inheritDoc} */
  public Quantisation {
    if (bits != 0 && (bits < 8 || bits > 32)) {
      throw new IllegalArgumentException("bits: 0 or 8 to 32, got " + bits);
    }
  }

  /**
   * Mean square of the error it makes, where the signal moves over many steps: q²/12 for rounding,
   * and q²/6 for triangular dither.
   *
   * @return mean square [(full scale)²]
   */
  public double errorMeanSquare() {
    if (bits == 0) {
      return 0;
    }
    double step = StrictMath.scalb(1.0, 1 - bits);
    return step * step * (dither ? 0.25 : 1.0 / 12);
  }
}
