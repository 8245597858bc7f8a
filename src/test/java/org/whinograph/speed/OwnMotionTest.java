package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** Two readings of one fan are told from two fans. */
class OwnMotionTest {
  private static double[] ramp(double from, double to) {
    double[] hz = new double[120];
    for (int i = 0; i < hz.length; i++) {
      hz[i] = from + (to - from) * i / (hz.length - 1.0);
    }
    return hz;
  }

  private static double[] times(double[] hz, double factor) {
    return Arrays.stream(hz).map(value -> factor * value).toArray();
  }

  @Test
  void aFixedWholeRatioIsTheSameFan() {
    double[] fan = ramp(75, 150);
    for (double ratio : new double[] {2.0, 1.0, 0.5, 7.0 / 11.0, 12.0}) {
      assertFalse(OwnMotion.of(fan, times(fan, ratio)), "ratio " + ratio);
    }
  }

  @Test
  void aReadingThatLeapsToAnotherMultipleIsTheSameFan() {
    double[] fan = ramp(75, 150);
    double[] reading = times(fan, 2.0);
    for (int i = 40; i < reading.length; i++) {
      reading[i] = fan[i];
    }
    assertFalse(OwnMotion.of(fan, reading));
    for (int i = 60; i < 70; i++) {
      reading[i] = Double.NaN;
    }
    assertFalse(OwnMotion.of(fan, reading));
  }

  @Test
  void anotherSpeedIsAnotherFan() {
    double[] fan = ramp(75, 150);
    assertTrue(OwnMotion.of(fan, ramp(101, 101)));
    assertTrue(OwnMotion.of(fan, times(fan, 1.2345)));
    // A second fan from rest, as steep as the lowest speeds allow.
    assertTrue(OwnMotion.of(ramp(80, 80), ramp(10, 60)));
  }

  @Test
  void aFewFramesAreNoFan() {
    double[] fan = ramp(75, 150);
    double[] other = times(fan, 1.0);
    for (int i = 0; i < 19; i++) {
      other[i] = 101.3;
    }
    assertFalse(OwnMotion.of(fan, other));
  }
}
