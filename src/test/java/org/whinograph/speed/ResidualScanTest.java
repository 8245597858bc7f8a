package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** The scan of residuals against looking at every one of them. */
class ResidualScanTest {
  private static final int SIDE = 40;
  private static final double STEP_DEVIATIONS = 1.0 / 28.0;

  @Test
  void findsTheGreatestSumOfTwoLinesWithoutLookingEverywhere() {
    Random random = new Random(61);
    ResidualScan scan = new ResidualScan(2);
    int looks = 0;
    int scans = 400;
    for (int n = 0; n < scans; n++) {
      double middle = 60.0 * (random.nextDouble() - 0.5);
      double other = 60.0 * (random.nextDouble() - 0.5);
      scan.begin(SIDE, STEP_DEVIATIONS);
      while (scan.next()) {
        int k = scan.place();
        scan.add(0, lobe(k - middle, 40.0), lobe(-k - middle, 40.0));
        scan.add(1, lobe(k - other, 25.0), lobe(-k - other, 25.0));
        looks++;
      }
      int best = 0;
      for (int k = -SIDE; k <= SIDE; k++) {
        best = sum(k, middle, other) > sum(best, middle, other) ? k : best;
      }
      assertEquals(best, scan.greatest());
      assertEquals(sum(best, middle, other), scan.sum(best), 1e-12);
      assertEquals(lobe(best - other, 25.0), scan.power(1, best), 0.0);
    }
    assertTrue(looks < 0.7 * scans * (SIDE + 1), looks + " looks");
  }

  /** Against the mean over all residuals, each likely as e to its sum. */
  @Test
  void spreadTellsOfAnotherPlaceThatIsAsLikely() {
    for (double second : new double[] {0.0, 9.0, 11.5, 12.0}) {
      ResidualScan scan = new ResidualScan(1);
      scan.begin(SIDE, 0.01);
      while (scan.next()) {
        int k = scan.place();
        scan.add(0, twoLines(k, second), twoLines(-k, second));
      }
      double total = 0.0;
      double squares = 0.0;
      for (int k = -SIDE; k <= SIDE; k++) {
        double likelihood = Math.exp(twoLines(k, second) - 0.5 * k * k * 1e-4);
        total += likelihood;
        squares += likelihood * (k - scan.greatest()) * (k - scan.greatest());
      }
      double expected = squares / total;
      // What is 12 nat below is left out, and only every third is looked at away from the top.
      assertEquals(expected, scan.spread(scan.greatest()), 0.2 + 0.15 * expected);
      // Half way to the other if both are as likely.
      assertTrue(second < 12.0 || expected > 0.4 * 30 * 30, "" + expected);
    }
  }

  private static double twoLines(int k, double second) {
    return lobe(k + 10, 12.0) + lobe(k - 20, second);
  }

  private static double sum(int k, double middle, double other) {
    double bell = 0.5 * k * k * STEP_DEVIATIONS * STEP_DEVIATIONS;
    return lobe(k - middle, 40.0) + lobe(k - other, 25.0) - bell;
  }

  /**
   * Power of a line through a Hann window, a fifth of a line a step: (sin πx / (πx (1 − x²)))²
   * (Harris, "On the use of windows", 1978).
   */
  private static double lobe(double steps, double peak) {
    double x = 0.2 * steps + 1e-9;
    double amplitude = Math.sin(Math.PI * x) / (Math.PI * x * (1.0 - x * x));
    return peak * amplitude * amplitude;
  }
}
