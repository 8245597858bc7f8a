package org.whinograph.speed;

/**
 * How jitter of the speed, Gaussian noise through one pole, shows in windows of a comb's harmonics,
 * over what a window of the length that was kept misses of the mean over a frame [1].
 *
 * <p>The peak of a Hann window w weighs the frequency at t by ∫ w s ds from t on, whatever the
 * harmonic, while jitter turns the phase by less than a radian within it. Ratios of variances so
 * computed are given: geometric means over poles at 0.1, 0.2, 0.5, 1 and 2 Hz unless told
 * otherwise.
 *
 * <p>Kept windows are of 1/2 s, 1 s, 2 s and 4 s.
 */
final class JitterShares {
  private JitterShares() {}

  /**
   * Variance of a window of 1/4 s, 1/2 s, 1 s or 2 s (rows) about a kept one (columns). The poles'
   * ratios scatter by a quarter about these, those of the last row by half.
   */
  static final double[][] ABOUT_KEPT = {
    {15.0, 2.2, 1.45, 1.26},
    {0.0, 0.81, 0.91, 0.95},
    {0.0, 0.0, 0.31, 0.55},
    {0.0, 0.0, 0.0, 0.17}
  };

  /**
   * What a kept window (rows) misses in the first frames of a run, where it lies off the middle of
   * the frame, over what it misses about the middle.
   */
  static final double[][] AT_ENDS = {
    {110.0}, {11.8, 2.8}, {5.0, 3.8, 2.3, 1.17}, {2.9, 2.7, 2.5, 2.2, 1.8, 1.5, 1.2, 1.02}
  };

  /** The same as {@link #ABOUT_KEPT} in those frames, over what is missed there; their means. */
  static final double[][] ABOUT_KEPT_AT_ENDS = {
    {1.4, 1.3, 1.2, 1.17}, {0.0, 0.7, 0.93, 0.96}, {0.0, 0.0, 0.5, 0.68}, {0.0, 0.0, 0.0, 0.33}
  };

  /** What a window of 1/4 s misses over what a kept one misses. */
  static final double[] QUICK = {16.0, 0.54, 0.15, 0.08};

  /**
   * Half the mean squared difference of a window of 1/2 s, 1 s, 2 s or 4 s and the next of its
   * length (rows), kept windows in columns, for poles at 0.1 Hz, 0.5 Hz and 2 Hz.
   */
  static final double[][][] BETWEEN = {
    {{641.0, 16.8, 3.9, 1.5}, {0.0, 28.0, 6.5, 2.5}, {0.0, 0.0, 9.2, 3.5}, {0.0, 0.0, 0.0, 3.9}},
    {{336.0, 9.9, 2.7, 1.36}, {0.0, 9.9, 2.7, 1.37}, {0.0, 0.0, 2.0, 1.0}, {0.0, 0.0, 0.0, 0.6}},
    {{80.0, 4.4, 1.76, 1.24}, {0.0, 2.6, 1.04, 0.73}, {0.0, 0.0, 0.56, 0.39}, {0.0, 0.0, 0.0, 0.2}}
  };

  /**
   * Variance by noise of the difference of a window from a kept one of twice, four times or eight
   * times its length, which hears the same noise, over that of the shorter by itself: by
   * linearising the peak's condition, which weighs noise by w t.
   */
  static final double[] NOISE_LEFT = {0.677, 0.951, 0.994};
}
