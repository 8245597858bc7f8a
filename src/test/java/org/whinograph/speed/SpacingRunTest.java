package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

/** A spacing that falls by 10 Hz a second from 100 Hz on: 100 t − 5 t² cycles in t seconds. */
class SpacingRunTest {
  private static final double RATE = 1000.0;
  private static final SpacingRun RUN = falling();

  private static SpacingRun falling() {
    double[] times = new double[40];
    double[] hz = new double[40];
    for (int i = 0; i < 40; i++) {
      times[i] = 125.0 + 250.0 * i;
      hz[i] = 100.0 - 10.0 * (times[i] - times[2]) / RATE;
    }
    return new SpacingRun(times, hz, 2, 30);
  }

  @Test
  void isStraightBetweenFrames() {
    assertEquals(625.0, RUN.begin());
    assertEquals(7375.0, RUN.end());
    assertEquals(100.0, RUN.highest());
    assertEquals(99.0, RUN.at(725.0), 1e-12);
    assertEquals(35.7, RUN.at(7055.0), 1e-12);
  }

  @Test
  void lowestIsThatOfTheCyclesAhead() {
    // 195 cycles take 2.19 s, to 78.1 Hz, and 65 from 3 s on, at 70 Hz, 1.00 s, to 60 Hz. Two more
    // frames, 5 Hz, may be looked at, and none is left out.
    assertEquals(78.1 - 2.5, RUN.lowest(625.0, 195.0, RATE), 2.5);
    assertEquals(60.0 - 2.5, RUN.lowest(3625.0, 65.0, RATE), 2.5);
    assertEquals(RUN.at(7375.0), RUN.lowest(625.0, 1e6, RATE), 1e-12);
  }
}
