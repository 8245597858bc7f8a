package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;

/** Combs that a line of the hum has caught; made up by hand. */
class HeldStretchesTest {
  private static final int FRAMES = 60;
  private static final int CAUGHT_FROM = 20;

  /** A comb at 57 Hz, then about 59.98 Hz, whose sixth multiple is the strongest. */
  private static SegmentAnalysis.Comb comb(double firstHz, double jitter) {
    Random random = new Random(3);
    double[] hz = new double[FRAMES];
    for (int i = 0; i < FRAMES; i++) {
      hz[i] = (i < CAUGHT_FROM ? firstHz : 59.98) * (1.0 + jitter * random.nextGaussian());
    }
    double[] evidence = {0.1, 0.0, 0.5, 0.2, 0.0, 3.0, 0.0, 0.0};
    CombPath path = new CombPath(hz, new boolean[FRAMES], new double[FRAMES], 100.0, evidence, 0);
    return new SegmentAnalysis.Comb(
        hz.clone(), hz.clone(), new double[FRAMES], CombMotion.GLIDES, path, true, false);
  }

  private static long hidden(SegmentAnalysis.Comb comb) {
    HeldStretches.hideOnHum(comb, List.of(180.0, 360.0));
    long hidden = Arrays.stream(comb.hz()).filter(Double::isNaN).count();
    assertEquals(hidden, Arrays.stream(comb.searched()).filter(Double::isNaN).count());
    return hidden;
  }

  @Test
  void whatTheHumHasCaughtIsHidden() {
    SegmentAnalysis.Comb comb = comb(57.0, 2e-5);
    assertEquals(FRAMES - CAUGHT_FROM, hidden(comb));
    assertTrue(Double.isFinite(comb.hz()[CAUGHT_FROM - 1]));
  }

  @Test
  void aRotorThatWandersNearTheHumIsKept() {
    assertEquals(0, hidden(comb(57.0, 1e-3)));
  }

  /** What is there all the time is the search's to judge. */
  @Test
  void aCombThatIsNeverElsewhereIsKept() {
    assertEquals(0, hidden(comb(59.98, 2e-5)));
  }
}
