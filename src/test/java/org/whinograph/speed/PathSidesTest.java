package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.whinograph.speed.TwoFans.FRAMES;
import static org.whinograph.speed.TwoFans.crossingsAt;
import static org.whinograph.speed.TwoFans.path;
import static org.whinograph.speed.TwoFans.sides;
import static org.whinograph.speed.TwoFans.steady;
import static org.whinograph.speed.TwoFans.then;
import static org.whinograph.speed.TwoFans.with;

import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

/** Two fans of known speeds, and a path that is known to be on both. */
class PathSidesTest {
  private static final int STOPS = 70;
  private static final int RETURNS = 100;
  private static final int CROSSES = 125;
  private static final double FIRST_HZ = 400.0;
  private static final double AGAIN_HZ = 452.0;
  private static final double SECOND_HZ = 562.0;

  private static int[] of(double[] path, boolean[] crossings, TwoFans fans) {
    return PathSides.of(path(path), crossings, crossingsAt(), null, fans.lines());
  }

  @Test
  void fromACrossingOnItIsOnTheOther() {
    double[] path = with(steady(FIRST_HZ), STOPS, RETURNS, SECOND_HZ);
    TwoFans fans = new TwoFans().fan(steady(FIRST_HZ), 3).fan(steady(SECOND_HZ), 3);
    assertArrayEquals(
        sides(PathSides.OWN, STOPS, RETURNS, PathSides.OTHER),
        of(path, crossingsAt(STOPS, RETURNS), fans));
  }

  /**
   * The first fan stops, and the path takes up the second when that is heard, then crosses to the
   * first, which runs at another speed by now. The lines that each has say which it is after the
   * silence; where they have the same ones, nothing does.
   */
  @Test
  void afterASilenceTheLinesDecideOrNothing() {
    double[] first =
        with(with(steady(FIRST_HZ), STOPS, RETURNS, Double.NaN), RETURNS, FRAMES, AGAIN_HZ);
    double[] second = with(steady(SECOND_HZ), 0, RETURNS, Double.NaN);
    double[] path = then(then(first, RETURNS, second), CROSSES, first);
    int[] unlike = of(path, crossingsAt(CROSSES), new TwoFans().fan(first, 3).fan(second, 2));
    for (int t = 0; t < FRAMES; t++) {
      boolean isSecond = t >= RETURNS && t < CROSSES;
      if (t < STOPS || t >= RETURNS) {
        assertEquals(isSecond ? PathSides.OTHER : PathSides.OWN, unlike[t], "frame " + t);
      }
    }
    int[] alike = of(path, crossingsAt(CROSSES), new TwoFans().fan(first, 3).fan(second, 3));
    assertEquals(PathSides.OPEN, alike[0], "the lesser part may be either's");
    assertEquals(PathSides.OWN, alike[FRAMES - 1]);
    assertEquals(PathSides.OTHER, alike[RETURNS]);
  }

  @Test
  void atTheSameSpeedAgainItIsTheSame() {
    double[] first = with(steady(FIRST_HZ), 20, 40, Double.NaN);
    double[] path = with(first, STOPS, RETURNS, SECOND_HZ);
    int[] sides =
        of(
            path,
            crossingsAt(STOPS, RETURNS),
            new TwoFans().fan(first, 3).fan(steady(SECOND_HZ), 3));
    assertEquals(PathSides.OWN, sides[0]);
    assertEquals(PathSides.OWN, sides[50]);
  }

  @Test
  void aLeapThatTakesSomeFramesIsOnNeither() {
    double[] path = with(steady(FIRST_HZ), STOPS, FRAMES, SECOND_HZ);
    path[STOPS] = 440.0;
    path[STOPS + 1] = 500.0;
    TwoFans fans = new TwoFans().fan(steady(FIRST_HZ), 3).fan(steady(SECOND_HZ), 3);
    int[] sides = of(path, crossingsAt(STOPS), fans);
    assertArrayEquals(
        new int[] {PathSides.OTHER, 0, 0, PathSides.OWN},
        new int[] {sides[STOPS - 1], sides[STOPS], sides[STOPS + 1], sides[STOPS + 2]});
  }

  @Test
  void whatLeapsThereAndBackAtOnceIsWhereItWas() {
    double[] path = with(steady(FIRST_HZ), STOPS, STOPS + 3, SECOND_HZ);
    TwoFans fans = new TwoFans().fan(steady(FIRST_HZ), 3).fan(steady(SECOND_HZ), 3);
    int[] own = sides(PathSides.OWN, 0, 0, PathSides.OPEN);
    assertArrayEquals(own, of(path, crossingsAt(STOPS), fans));
    int[] later = of(with(path, RETURNS, FRAMES, SECOND_HZ), crossingsAt(STOPS, RETURNS), fans);
    assertArrayEquals(
        new int[] {PathSides.OWN, PathSides.OPEN, PathSides.OWN, PathSides.OTHER},
        new int[] {later[0], later[STOPS], later[STOPS + 3], later[RETURNS]});
  }

  /**
   * Two fans that ran at one speed part, and the path stays with one of them: which was heard alone
   * before they met, nothing says.
   */
  @Test
  void whereTwoPartThatWereOneEitherMayBeTheFirst() {
    double[] rising = steady(FIRST_HZ);
    for (int t = STOPS; t < FRAMES; t++) {
      rising[t] = FIRST_HZ * Math.exp(0.01 * (t - STOPS));
    }
    CombLines lines = new TwoFans().fan(rising, 3).fan(steady(FIRST_HZ), 3).lines();
    CrossedPaths crossed = new CrossedPaths(lines);
    boolean[] crossings = crossed.crossings(path(rising));
    boolean[] partings = crossed.partings(path(rising), crossings);
    int[] sides = PathSides.of(path(rising), crossings, partings, null, lines);
    assertEquals(PathSides.OWN, sides[0]);
    assertEquals(PathSides.OPEN, sides[FRAMES - 1]);
    CombLines one = new TwoFans().fan(rising, 3).lines();
    boolean[] alone = new CrossedPaths(one).crossings(path(rising));
    assertFalse(IntStream.range(0, FRAMES).anyMatch(t -> alone[t]));
  }
}
