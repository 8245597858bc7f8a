package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Random;
import java.util.function.IntToDoubleFunction;
import org.junit.jupiter.api.Test;

class CombMotionTest {
  private static final double NOISE = 1e-4;
  private static final int APART = 4;

  private final Random random = new Random(41);

  private double[] line(IntToDoubleFunction truth) {
    double[] values = new double[80];
    for (int i = 0; i < values.length; i++) {
      values[i] = truth.applyAsDouble(i) + NOISE * random.nextGaussian();
    }
    return values;
  }

  private static double[] even(double value) {
    double[] values = new double[80];
    java.util.Arrays.fill(values, value);
    return values;
  }

  private boolean wander(IntToDoubleFunction first, IntToDoubleFunction second) {
    double[] variance = even(NOISE * NOISE);
    return CombMotion.wander(
        List.of(line(first), line(second)), List.of(variance, variance), line(first), APART);
  }

  @Test
  void linesOfOneShaftWanderTogether() {
    double[] walk = new double[80];
    for (int i = 1; i < walk.length; i++) {
      walk[i] = 0.9 * walk[i - 1] + 5e-4 * random.nextGaussian();
    }
    assertTrue(wander(i -> walk[i], i -> walk[i]));
    assertFalse(wander(i -> walk[i], i -> walk[i] + 2e-3), "out of tune");
  }

  @Test
  void fixedLinesStandStillAndSoDoLinesThatLeapNowAndThen() {
    assertFalse(wander(i -> 0.0, i -> 0.0));
    assertFalse(wander(i -> i < 40 ? 0.0 : 0.2, i -> i < 40 ? 0.0 : 0.2));
  }

  @Test
  void oneLineThatBeatsMovesNoOther() {
    assertFalse(wander(i -> 2e-3 * Math.sin(0.9 * i), i -> 0.0));
  }

  @Test
  void aRampGlidesAndALeapDoesNot() {
    double[] noise = even(NOISE);
    assertTrue(CombMotion.glides(line(i -> 0.002 * i), noise));
    assertFalse(CombMotion.glides(line(i -> i < 40 ? 0.0 : 0.2), noise));
    assertFalse(CombMotion.glides(line(i -> 0.0), noise));
  }
}
