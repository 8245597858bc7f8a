package org.whinograph.weighting;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;

class TimeWeightingTest {
  /** IEC 61672-1:2013, 5.8: F 125 ms, S 1 s. */
  @Test
  void timeConstants() {
    assertEquals(0.125, TimeWeighting.F.timeConstantS(), 0.0);
    assertEquals(1.0, TimeWeighting.S.timeConstantS(), 0.0);
  }

  /** What the integral of 5.8 gives: after one time constant a step has reached 1 − 1/e. */
  @ParameterizedTest
  @EnumSource
  void stepReachesItsShareAfterOneTimeConstant(TimeWeighting weighting) {
    double rate = 44_100;
    double average = 0.0;
    long samples = Math.round(rate * weighting.timeConstantS());
    for (long i = 0; i < samples; i++) {
      average += weighting.coefficient(rate) * (1.0 - average);
    }
    assertEquals(1.0 - Math.exp(-samples / (rate * weighting.timeConstantS())), average, 1e-12);
  }
}
