package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.whinograph.speed.TwoFans.FRAMES;
import static org.whinograph.speed.TwoFans.path;
import static org.whinograph.speed.TwoFans.steady;
import static org.whinograph.speed.TwoFans.then;

import org.junit.jupiter.api.Test;

/** Two spacings a few percent apart, given to two paths in turns. */
class ExchangedPathsTest {
  private static final double LOWER_HZ = 465.0;
  private static final double UPPER_HZ = 490.0;
  private static final int AT = 80;

  /** A spacing that goes up by a share from frame to frame until it comes to rest. */
  private static double[] rampTo(double hz, double share) {
    double[] result = steady(hz);
    for (int t = 0; t < AT; t++) {
      result[t] = hz * Math.pow(1.0 + share, t - AT);
    }
    return result;
  }

  private static void assertUndone(double[] one, double[] other) {
    CombPath[] paths =
        ExchangedPaths.undone(path(then(one, AT, other)), path(then(other, AT, one)));
    assertArrayEquals(one, paths[0].spacingHz());
    assertArrayEquals(other, paths[1].spacingHz());
    assertTrue(paths[0].joined()[AT] && paths[1].joined()[AT]);
  }

  @Test
  void eachGoesOnWhereItWas() {
    assertUndone(steady(LOWER_HZ), steady(UPPER_HZ));
    // One signal drives both: they come to rest at once.
    assertUndone(rampTo(LOWER_HZ, 0.012), rampTo(UPPER_HZ, 0.012));
  }

  @Test
  void theyMayGoBack() {
    double[] one = then(then(steady(LOWER_HZ), 60, steady(UPPER_HZ)), 62, steady(LOWER_HZ));
    double[] other = then(then(steady(UPPER_HZ), 60, steady(LOWER_HZ)), 62, steady(UPPER_HZ));
    CombPath[] paths = ExchangedPaths.undone(path(one), path(other));
    assertArrayEquals(steady(LOWER_HZ), paths[0].spacingHz());
    assertArrayEquals(steady(UPPER_HZ), paths[1].spacingHz());
  }

  /** What steps past another that rests has exchanged nothing. */
  @Test
  void oneMayPassAnother() {
    double[] passing = then(steady(LOWER_HZ), AT, steady(UPPER_HZ * UPPER_HZ / LOWER_HZ));
    assertNull(ExchangedPaths.undone(path(passing), path(steady(UPPER_HZ))));
    assertNull(ExchangedPaths.undone(path(steady(UPPER_HZ)), path(passing)));
    double[] crossing = new double[FRAMES];
    for (int t = 0; t < FRAMES; t++) {
      crossing[t] = UPPER_HZ * Math.exp(0.01 * (t - AT + 0.5));
    }
    assertNull(ExchangedPaths.undone(path(crossing), path(steady(UPPER_HZ))));
  }

  @Test
  void whatIsFarApartIsLeftAlone() {
    double[] far = steady(1.2 * LOWER_HZ);
    double[] near = steady(LOWER_HZ);
    assertNull(ExchangedPaths.undone(path(then(near, AT, far)), path(then(far, AT, near))));
  }
}
