package org.whinograph.speed;

/**
 * What the power of one spectral line says: the logarithm of how much likelier it is with a tone
 * than with noise alone.
 *
 * <p>In a whitened spectrum the power p of a line is exponentially distributed with mean 1 under
 * noise and with mean 1 + ρ if a tone of signal-to-noise ratio ρ is there (Rayleigh amplitude). The
 * ratio is averaged over ρ, evenly distributed in ln ρ: no level is favoured.
 */
final class LineEvidence {
  private static final double LEAST_RATIO = 2.0;
  private static final double GREATEST_RATIO = 200.0;
  private static final int RATIOS = 40;
  private static final double STEP = 0.125;
  private static final double TABLE_END = 40.0;
  private static final float[] TABLE = table();

  /** Share ρ/(1 + ρ) of the tone in a line, for the ratios ρ of a mean, and ln(1 + ρ). */
  private static final double[] MEAN_SHARES = new double[RATIOS];

  private static final double[] MEAN_LOGS = new double[RATIOS];

  static {
    for (int r = 0; r < RATIOS; r++) {
      double ratio = 0.1 * Math.pow(1e4, (r + 0.5) / RATIOS);
      MEAN_SHARES[r] = ratio / (1.0 + ratio);
      MEAN_LOGS[r] = Math.log1p(ratio);
    }
  }

  private LineEvidence() {}

  private static float[] table() {
    float[] result = new float[(int) (TABLE_END / STEP) + 1];
    for (int i = 0; i < result.length; i++) {
      double power = i * STEP;
      double sum = 0.0;
      for (int r = 0; r < RATIOS; r++) {
        double share = (r + 0.5) / RATIOS;
        double ratio = LEAST_RATIO * Math.pow(GREATEST_RATIO / LEAST_RATIO, share);
        sum += Math.exp(power * ratio / (1.0 + ratio)) / (1.0 + ratio);
      }
      result[i] = (float) Math.log(sum / RATIOS);
    }
    return result;
  }

  /** Evidence of one power p of mean 1 under noise [nat]. */
  static float of(double power) {
    int i = (int) (power / STEP);
    return i >= TABLE.length ? TABLE[TABLE.length - 1] : TABLE[i];
  }

  /**
   * Evidence of the mean of several powers, each of mean 1 under noise, with a tone of any ratio
   * from a fiftieth on [nat].
   *
   * @param meanPower mean power [1]
   * @param count how many independent powers the mean is worth
   */
  static double ofMean(double meanPower, double count) {
    double best = Double.NEGATIVE_INFINITY;
    double sum = 0.0;
    double[] terms = new double[RATIOS];
    for (int r = 0; r < RATIOS; r++) {
      terms[r] = count * (meanPower * MEAN_SHARES[r] - MEAN_LOGS[r]);
      best = Math.max(best, terms[r]);
    }
    for (double term : terms) {
      sum += Math.exp(term - best);
    }
    return best + Math.log(sum / RATIOS);
  }
}
