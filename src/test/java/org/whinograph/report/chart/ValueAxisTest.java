package org.whinograph.report.chart;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

class ValueAxisTest {
  @Test
  void endsAreTicksAndHoldTheValues() {
    for (double[] range :
        new double[][] {{-93.2, 31.7}, {33.1, 33.15}, {0.0, 0.0}, {-2.0, 1200.0}, {5.0, 30.0}}) {
      ValueAxis axis = ValueAxis.round(100.0, 300.0, range[0], range[1]);
      assertTrue(axis.min() <= range[0] && axis.max() >= range[1], axis::toString);
      assertTrue(axis.ticks() >= 2 && axis.ticks() <= 9, axis::toString);
      assertEquals(axis.max(), axis.tick(axis.ticks() - 1), 1e-9);
    }
  }

  @Test
  void placesRunFromBottomToTopAndStayInside() {
    ValueAxis axis = ValueAxis.round(100.0, 300.0, 0.0, 50.0);
    assertEquals(300.0, axis.y(0.0), 1e-9);
    assertEquals(100.0, axis.y(50.0), 1e-9);
    assertEquals(300.0, axis.y(-400.0), 1e-9);
  }

  @Test
  void octavesAreEquallySpacedOnTheFrequencyAxis() {
    FrequencyAxis axis = new FrequencyAxis(0.0, 310.0);
    // IEC 61260-1:2014, 5.4: three one-third octaves are a ratio of 10^0.3 exactly.
    assertEquals(30.0, axis.x(FrequencyAxis.midband(2000.0)) - axis.x(1000.0), 1e-9);
    assertEquals(1000.0, axis.hz(axis.x(1000.0)), 1e-9);
    assertEquals(31.6227766, FrequencyAxis.midband(31.5), 1e-6);
  }
}
