package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** A rotor's speed is continuous in time; thresholds are a judgement. */
class LinkedRunsTest {
  private static final double FRAME_S = 0.256;

  private final double[] hz = new double[100];

  private LinkedRuns linked(double lowestHz, double highestHz) {
    return new LinkedRuns(hz, FRAME_S, lowestHz, highestHz);
  }

  @Test
  void aRunOnThePartOfTheCombIsToldByItsSpeed() {
    Arrays.fill(hz, 0, 20, 2560.0);
    Arrays.fill(hz, 22, 32, 2540.0 / 31);
    Arrays.fill(hz, 34, 100, 2500.0);
    LinkedRuns linked = linked(Double.NaN, Double.NaN);
    linked.add(34, 100);
    assertTrue(linked.suits(0, 20));
    linked.add(0, 20);
    assertFalse(linked.suits(22, 32));
    assertEquals(2500.0, linked.lowestHz());
    assertEquals(2560.0, linked.highestHz());
  }

  @Test
  void theLongerTheSilenceTheMoreMayHaveChanged() {
    Arrays.fill(hz, 0, 40, 300.0);
    Arrays.fill(hz, 40, 100, 560.0);
    assertFalse(atGap(2));
    assertTrue(atGap(8));
  }

  private boolean atGap(int frames) {
    LinkedRuns linked = linked(Double.NaN, Double.NaN);
    linked.add(40, 100);
    return linked.suits(20, 40 - frames);
  }

  @Test
  void earlierStretchesCountWhereNothingIsNear() {
    Arrays.fill(hz, 900.0);
    assertTrue(linked(Double.NaN, Double.NaN).suits(0, 50));
    assertTrue(linked(400, 500).suits(0, 50));
    assertFalse(linked(100, 200).suits(0, 50));
  }
}
