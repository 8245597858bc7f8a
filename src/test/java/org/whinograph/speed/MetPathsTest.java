package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.whinograph.speed.TwoFans.FRAMES;
import static org.whinograph.speed.TwoFans.crossingsAt;
import static org.whinograph.speed.TwoFans.path;
import static org.whinograph.speed.TwoFans.steady;
import static org.whinograph.speed.TwoFans.then;

import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

/** One fan comes down to a speed and stays there as another leaves it: both turn at once. */
class MetPathsTest {
  private static final int MEET = 80;
  private static final int RAMP = 30;
  private static final double HZ = 498.0;

  private static double[] coming() {
    double[] hz = steady(HZ);
    for (int t = 0; t < MEET; t++) {
      hz[t] = HZ * Math.exp(0.01 * Math.min(RAMP, MEET - t));
    }
    return hz;
  }

  private static double[] leaving() {
    double[] hz = steady(HZ);
    for (int t = MEET; t < FRAMES; t++) {
      hz[t] = HZ * Math.exp(-0.01 * Math.min(RAMP, t - MEET));
    }
    return hz;
  }

  private static int judged(double[] path, double[] left, boolean[] crossings, int multiples) {
    CombLines lines = new TwoFans().fan(coming(), multiples).fan(leaving(), 2).lines();
    new MetPaths(path(path), path(left), lines).judge(crossings);
    return (int) IntStream.range(0, FRAMES).filter(t -> crossings[t]).count();
  }

  @Test
  void theLinesSayThatEachTurns() {
    assertEquals(0, judged(coming(), leaving(), crossingsAt(MEET), 4));
    assertEquals(0, judged(coming(), leaving(), crossingsAt(), 4));
  }

  @Test
  void theLinesSayThatThePathsAreExchanged() {
    double[] path = then(coming(), MEET, leaving());
    double[] left = then(leaving(), MEET, coming());
    assertEquals(1, judged(path, left, crossingsAt(), 4));
    assertEquals(1, judged(path, left, crossingsAt(MEET), 4));
  }

  @Test
  void ofFansThatAreAlikeTheySayNothing() {
    assertEquals(1, judged(coming(), leaving(), crossingsAt(MEET), 2));
    assertEquals(0, judged(coming(), leaving(), crossingsAt(), 2));
  }
}
