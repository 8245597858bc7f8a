package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/**
 * The shares computed anew from what they are said to be. Noise through one pole at f₀ has the
 * autocovariance exp(−2π f₀ |τ|) (the Ornstein–Uhlenbeck process); the variance of a weighed mean
 * is the double sum over its weights.
 */
class JitterSharesTest {
  private static final int POINTS = 16;
  private static final double FRAME_S = 0.256;
  private static final double[] POLES_HZ = {0.1, 0.2, 0.5, 1.0, 2.0};
  private static final double[] BETWEEN_POLES_HZ = {0.1, 0.5, 2.0};
  private static final int[] KEPT_FRAMES = {2, 4, 8, 16};

  /**
   * Weights of the frequency in time.
   *
   * @param from time of the first [frames]; they are 1/POINTS apart
   * @param weights the weights, of sum 1
   */
  private record Weights(double from, double[] weights) {
    static Weights frame() {
      double[] even = new double[POINTS];
      Arrays.fill(even, 1.0 / POINTS);
      return new Weights(-0.5, even);
    }

    /** Those of the peak of a Hann window about a place [frames]. */
    static Weights window(int frames, double centre) {
      int n = frames * POINTS;
      double[] result = new double[n];
      double passed = 0.0;
      double sum = 0.0;
      for (int i = 0; i < n; i++) {
        double t = (i + 0.5) / POINTS - 0.5 * frames;
        double step = -t * (0.5 + 0.5 * Math.cos(2.0 * Math.PI * t / frames));
        result[i] = passed + 0.5 * step;
        passed += step;
        sum += result[i];
      }
      for (int i = 0; i < n; i++) {
        result[i] /= sum;
      }
      return new Weights(centre - 0.5 * frames, result);
    }

    double covariance(Weights other, double poleHz) {
      double sum = 0.0;
      for (int i = 0; i < weights.length; i++) {
        for (int j = 0; j < other.weights.length; j++) {
          double apart = from - other.from + (double) (i - j) / POINTS;
          sum +=
              weights[i]
                  * other.weights[j]
                  * Math.exp(-2.0 * Math.PI * poleHz * FRAME_S * Math.abs(apart));
        }
      }
      return sum;
    }

    /** Variance of the difference of two means. */
    double apart(Weights other, double poleHz) {
      return covariance(this, poleHz)
          + other.covariance(other, poleHz)
          - 2.0 * covariance(other, poleHz);
    }
  }

  private static double missed(int frames, double off, double poleHz) {
    return Weights.frame().apart(Weights.window(frames, off), poleHz);
  }

  private static void assertNear(double expected, double stated, double share, String what) {
    assertTrue(
        Math.abs(stated / expected - 1.0) <= share,
        what + ": " + stated + ", computed " + expected);
  }

  private interface Ratio {
    double at(double poleHz);
  }

  private static double mean(Ratio ratio) {
    double sum = 0.0;
    for (double pole : POLES_HZ) {
      sum += Math.log(ratio.at(pole)) / POLES_HZ.length;
    }
    return Math.exp(sum);
  }

  @Test
  void shorterWindowsAboutTheKept() {
    for (int row = 0; row < 4; row++) {
      for (int held = row; held < 4; held++) {
        int shorter = 1 << row;
        int kept = KEPT_FRAMES[held];
        if (shorter >= kept) {
          continue;
        }
        Ratio ratio =
            pole ->
                Weights.window(shorter, 0.0).apart(Weights.window(kept, 0.0), pole)
                    / missed(kept, 0.0, pole);
        double stated = JitterShares.ABOUT_KEPT[row][held];
        assertNear(mean(ratio), stated, 0.06, shorter + " of " + kept + " frames");
        for (double pole : POLES_HZ) {
          double least = row == 3 ? 0.5 : 0.74;
          double share = ratio.at(pole) / stated;
          assertTrue(share > least && share < 1.0 / least, pole + " Hz, " + share);
        }
      }
    }
  }

  @Test
  void keptWindowsNearAnEnd() {
    for (int held = 0; held < 4; held++) {
      int kept = KEPT_FRAMES[held];
      for (int frame = 0; frame < kept / 2; frame++) {
        double off = 0.5 * kept - 0.5 - frame;
        Ratio ratio = pole -> missed(kept, off, pole) / missed(kept, 0.0, pole);
        String what = "frame " + frame + " of " + kept;
        assertNear(mean(ratio), JitterShares.AT_ENDS[held][frame], 0.06, what);
      }
    }
  }

  @Test
  void shorterWindowsNearAnEnd() {
    for (int row = 0; row < 4; row++) {
      for (int held = row; held < 4; held++) {
        int shorter = 1 << row;
        int kept = KEPT_FRAMES[held];
        double sum = 0.0;
        for (int frame = 0; frame < kept / 2; frame++) {
          double off = 0.5 * kept - 0.5 - frame;
          double shortOff = Math.max(0.0, 0.5 * shorter - 0.5 - frame);
          Ratio ratio =
              pole ->
                  Weights.window(shorter, shortOff).apart(Weights.window(kept, off), pole)
                      / missed(kept, off, pole);
          sum += mean(ratio) / (0.5 * kept);
        }
        double stated = JitterShares.ABOUT_KEPT_AT_ENDS[row][held];
        assertNear(sum, stated, 0.1, shorter + " of " + kept + " frames");
      }
    }
  }

  @Test
  void quickWindows() {
    for (int held = 0; held < 4; held++) {
      int kept = KEPT_FRAMES[held];
      double mean = mean(pole -> missed(1, 0.0, pole) / missed(kept, 0.0, pole));
      assertNear(mean, JitterShares.QUICK[held], 0.06, kept + " frames");
    }
  }

  @Test
  void windowsNextToEachOther() {
    for (int p = 0; p < BETWEEN_POLES_HZ.length; p++) {
      double pole = BETWEEN_POLES_HZ[p];
      for (int row = 0; row < 4; row++) {
        int frames = KEPT_FRAMES[row];
        double half = 0.5 * Weights.window(frames, 0.0).apart(Weights.window(frames, frames), pole);
        for (int held = row; held < 4; held++) {
          double expected = half / missed(KEPT_FRAMES[held], 0.0, pole);
          String what = pole + " Hz, " + frames + " frames, kept " + KEPT_FRAMES[held];
          assertNear(expected, JitterShares.BETWEEN[p][row][held], 0.06, what);
        }
      }
    }
  }

  /** White noise weighed by w t over ∫ w t² is what the peak is led astray by. */
  @Test
  void noiseThatIsLeft() {
    int n = 4096;
    for (int row = 0; row < 3; row++) {
      double length = Math.pow(0.5, row + 1);
      double keptPower = 0.0;
      double shortPower = 0.0;
      double both = 0.0;
      double keptSlope = 0.0;
      double shortSlope = 0.0;
      for (int i = 0; i < n; i++) {
        double t = (i + 0.5) / n - 0.5;
        double kept = 0.5 + 0.5 * Math.cos(2.0 * Math.PI * t);
        double shorter =
            Math.abs(t) > 0.5 * length ? 0.0 : 0.5 + 0.5 * Math.cos(2.0 * Math.PI * t / length);
        keptPower += kept * kept * t * t;
        shortPower += shorter * shorter * t * t;
        both += kept * shorter * t * t;
        keptSlope += kept * t * t;
        shortSlope += shorter * t * t;
      }
      double ofShort = shortPower / (shortSlope * shortSlope);
      double ofKept = keptPower / (keptSlope * keptSlope);
      double left = (ofShort + ofKept - 2.0 * both / (keptSlope * shortSlope)) / ofShort;
      assertEquals(left, JitterShares.NOISE_LEFT[row], 0.002);
    }
  }
}
