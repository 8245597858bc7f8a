package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.whinograph.speed.PathSides.OPEN;
import static org.whinograph.speed.PathSides.OTHER;
import static org.whinograph.speed.PathSides.OWN;
import static org.whinograph.speed.TwoFans.FRAMES;
import static org.whinograph.speed.TwoFans.path;
import static org.whinograph.speed.TwoFans.sides;
import static org.whinograph.speed.TwoFans.steady;
import static org.whinograph.speed.TwoFans.with;

import org.junit.jupiter.api.Test;

/** Two spacings that stay, given to a path and what was left beside it in turns. */
class PartedPathsTest {
  private static final int STOPS = 60;
  private static final int RETURNS = 110;
  private static final double OWN_HZ = 400.0;
  private static final double OTHER_HZ = 561.0;

  private static double[] stopping() {
    return with(steady(OWN_HZ), STOPS, RETURNS, Double.NaN);
  }

  private static double[] goingOver() {
    return with(steady(OWN_HZ), STOPS, RETURNS, OTHER_HZ);
  }

  @Test
  void eachCombGetsItsOwnFrames() {
    int[] sides = sides(OWN, STOPS, RETURNS, OTHER);
    double[] beside = with(steady(OTHER_HZ), STOPS, RETURNS, Double.NaN);
    CombPath[] parted = PartedPaths.of(path(goingOver()), sides, path(beside));
    assertArrayEquals(stopping(), parted[0].spacingHz());
    assertArrayEquals(steady(OTHER_HZ), parted[1].spacingHz());
    assertEquals(1000.0 * (FRAMES - RETURNS + STOPS) / FRAMES, parted[0].score(), 1e-9);
    CombPath[] alone = PartedPaths.of(path(goingOver()), sides, null);
    assertArrayEquals(stopping(), alone[0].spacingHz());
    assertEquals(RETURNS - STOPS, alone[1].framesOn());
  }

  /** What was left may be the path's own comb, where the search exchanged the two. */
  @Test
  void whatWasExchangedGoesBack() {
    double[] left = with(steady(OTHER_HZ), STOPS, RETURNS, OWN_HZ);
    CombPath[] parted =
        PartedPaths.of(path(goingOver()), sides(OWN, STOPS, RETURNS, OTHER), path(left));
    assertArrayEquals(steady(OWN_HZ), parted[0].spacingHz());
    assertArrayEquals(steady(OTHER_HZ), parted[1].spacingHz());
  }

  /** The search may be on the shaft's own comb in one path, on its blade-pass in the other. */
  @Test
  void bothAreBroughtToOneMultiple() {
    double[] left = with(steady(OTHER_HZ), STOPS, RETURNS, OWN_HZ / 7.0);
    CombPath[] parted =
        PartedPaths.of(path(goingOver()), sides(OWN, STOPS, RETURNS, OTHER), path(left));
    assertArrayEquals(steady(OWN_HZ), parted[0].spacingHz(), 1e-9);
    // No whole ratio is near: then nothing says on which multiple it is.
    double[] unlike = with(steady(OTHER_HZ), STOPS, RETURNS, OWN_HZ / 6.87);
    CombPath[] other =
        PartedPaths.of(path(goingOver()), sides(OWN, STOPS, RETURNS, OTHER), path(unlike));
    assertArrayEquals(stopping(), other[0].spacingHz());
  }

  @Test
  void whatMayBeEithersIsGivenToNone() {
    CombPath[] parted = PartedPaths.of(path(goingOver()), sides(OWN, STOPS, RETURNS, OPEN), null);
    assertArrayEquals(stopping(), parted[0].spacingHz());
    assertEquals(0, parted[1].framesOn());
  }
}
