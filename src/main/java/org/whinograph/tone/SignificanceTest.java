package org.whinograph.tone;

import java.util.HashMap;
import java.util.Map;
import org.apache.commons.math3.distribution.FDistribution;

/**
 * How far a line must stand out of its neighbours before chance is no longer an explanation.
 *
 * <p>The mean of K independent periodograms of Gaussian noise follows a gamma distribution of shape
 * K, that is χ² with 2K degrees of freedom; so line over floor follows an F distribution with 2K
 * and ν degrees, ν from the number of neighbours that the floor comes from (harmonic F-test over
 * neighbours, J. Acoust. Soc. Am. 100(4), 1996, 2236). Neighbouring lines under a Hann window share
 * noise (correlations of their energies (2/3)² and (1/6)², Harris 1978), so n of them are worth
 * n/1.94; a median is worth 2/π of a mean.
 *
 * <p>Not safe for use by several threads.
 */
final class SignificanceTest {
  /** Lines of a Hann spectrum per independent line: 1 + 2 [(2/3)² + (1/6)²]. */
  static final double LINES_PER_INDEPENDENT_LINE = 1.0 + 2.0 * (4.0 / 9.0 + 1.0 / 36.0);

  /**
   * Averages beyond which the test stays as it is. No floor is smooth to better than about 0.4 dB
   * over the neighbours; with more averages the test would only find that out.
   */
  static final double MOST_AVERAGES = 3000.0;

  private static final double MEDIAN_EFFICIENCY = 2.0 / Math.PI;
  private static final double GRID = 0.2;

  private final double falseAlarmRate;
  private final Map<Long, Double> cache = new HashMap<>();

  /**
   * Prepares a test.
   *
   * @param falseAlarmRate probability that one line of plain noise passes, between 0 and 1
   */
  SignificanceTest(double falseAlarmRate) {
    this.falseAlarmRate = falseAlarmRate;
  }

  /**
   * Ratio of line to floor that plain noise exceeds with the false-alarm rate. Averages and
   * neighbours are rounded down to a grid of 20 %, which keeps the test on the safe side.
   *
   * @param averages K, independent spectra averaged, at least 1
   * @param neighbours lines that the median came from, at least 1
   * @return ratio [1]
   */
  double threshold(double averages, int neighbours) {
    int k = (int) Math.floor(Math.log(Math.min(averages, MOST_AVERAGES)) / GRID + 1e-9);
    int n = (int) Math.floor(Math.log(neighbours) / GRID + 1e-9);
    return cache.computeIfAbsent(
        ((long) k << 32) | n, key -> quantile(Math.exp(k * GRID), Math.exp(n * GRID)));
  }

  private double quantile(double averages, double neighbours) {
    double denominator =
        2.0 * averages * neighbours * MEDIAN_EFFICIENCY / LINES_PER_INDEPENDENT_LINE;
    return new FDistribution(null, 2.0 * averages, denominator)
        .inverseCumulativeProbability(1.0 - falseAlarmRate);
  }

  /**
   * Median of a gamma distribution over its mean: what a median of lines must be divided by. K = 1:
   * −1.59 dB, 4: −0.37 dB, 16: −0.09 dB (Choi, "On the medians of gamma distributions", Proc. Amer.
   * Math. Soc. 121, 1994: K − 1/3 + 8/(405 K) + 184/(25515 K²), right within 0.003 dB from K = 1).
   *
   * @param averages K, at least 1
   * @return median/mean [1]
   */
  static double medianOverMean(double averages) {
    return (averages
            - 1.0 / 3.0
            + 8.0 / (405.0 * averages)
            + 184.0 / (25515.0 * averages * averages))
        / averages;
  }
}
