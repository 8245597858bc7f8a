package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
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
  private static Comb comb(double firstHz, double jitter) {
    Random random = new Random(3);
    double[] hz = new double[FRAMES];
    for (int i = 0; i < FRAMES; i++) {
      hz[i] = (i < CAUGHT_FROM ? firstHz : 59.98) * (1.0 + jitter * random.nextGaussian());
    }
    double[] evidence = {0.1, 0.0, 0.5, 0.2, 0.0, 3.0, 0.0, 0.0};
    CombPath path = new CombPath(hz, new boolean[FRAMES], new double[FRAMES], 100.0, evidence, 0);
    return new Comb(
        hz.clone(), hz.clone(), new double[FRAMES], CombMotion.GLIDES, path, true, false);
  }

  private static long hidden(Comb comb) {
    HeldStretches.hideOnHum(comb, List.of(180.0, 360.0));
    long hidden = Arrays.stream(comb.hz()).filter(Double::isNaN).count();
    assertEquals(hidden, Arrays.stream(comb.searched()).filter(Double::isNaN).count());
    return hidden;
  }

  @Test
  void whatTheHumHasCaughtIsHidden() {
    Comb comb = comb(57.0, 2e-5);
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

  private static final double LINE_HZ = 1.95;
  private static final double FIXED_HZ = 391.0;

  /** A comb at 385.8 Hz that goes over to 391 Hz, and a run of another speed after it. */
  private static CombPath coastDown() {
    double[] hz = new double[90];
    boolean[] joined = new boolean[90];
    Arrays.fill(joined, true);
    Arrays.fill(hz, 0, 24, 385.8);
    Arrays.fill(hz, 24, 45, FIXED_HZ);
    Arrays.fill(hz, 45, 90, 1875.0);
    joined[0] = false;
    joined[45] = false;
    double[] evidence = {4.0, 0.0, 0.0, 2.0, 0.0, 0.0, 0.0, 1.0};
    return new CombPath(hz, joined, new double[90], 100.0, evidence, 1);
  }

  /** Peaks of such a fan; the line is clear in so many of ten frames. */
  private static PeakList sound(int oftenFirst, int oftenLast) {
    WhitenedFrames frames = new WhitenedFrames(LINE_HZ, 31);
    for (int t = 0; t < 90; t++) {
      int often = t < 24 || t >= 45 ? oftenLast : oftenFirst;
      double fixed = t * 7 % 10 < often ? FIXED_HZ : 0.0;
      double fan = t < 24 ? 4 * 385.8 : t < 45 ? 0.0 : 1875.0;
      double twice = t < 24 ? 8 * 385.8 : 0.0;
      frames.add(fixed, fan, twice);
    }
    return frames.peaks();
  }

  @Test
  void aFaintLineThatGoesOnAtOtherTimesHoldsAStretch() {
    double[] held = new HeldStretches(sound(6, 5), LINE_HZ).in(coastDown());
    for (int t = 28; t < 41; t++) {
      assertEquals(FIXED_HZ, held[t], 0.5, "frame " + t);
    }
    assertTrue(Double.isNaN(held[10]) && Double.isNaN(held[60]));
  }

  @Test
  void aLineThatIsNowhereElseIsTheFans() {
    assertNull(new HeldStretches(sound(10, 0), LINE_HZ).in(coastDown()));
  }

  /** A voice drew the path away and it came back: what leads it there again is the same comb. */
  @Test
  void aRunAtThePlaceOfTheRunsBeforeIsNoVisit() {
    double[] hz = new double[90];
    boolean[] joined = new boolean[90];
    Arrays.fill(joined, true);
    Arrays.fill(hz, FIXED_HZ);
    Arrays.fill(hz, 50, 60, 181.0);
    joined[0] = false;
    joined[50] = false;
    joined[60] = false;
    double[] evidence = {6.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
    CombPath path = new CombPath(hz, joined, new double[90], 100.0, evidence, 2);
    WhitenedFrames frames = new WhitenedFrames(LINE_HZ, 31);
    for (int t = 0; t < 90; t++) {
      frames.add(t < 50 || t >= 60 ? FIXED_HZ : 181.0, 1010.0);
    }
    assertNull(new HeldStretches(frames.peaks(), LINE_HZ).in(path));
  }

  @Test
  void aLineIsTakenOutWhereItGoesOnBesideAComb() {
    HeldStretches stretches = new HeldStretches(sound(9, 9), LINE_HZ);
    assertEquals(List.of(FIXED_HZ), stretches.goingOn(coastDown(), List.of(FIXED_HZ, 1010.0)));
  }
}
