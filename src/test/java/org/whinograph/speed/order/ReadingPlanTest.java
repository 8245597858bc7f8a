package org.whinograph.speed.order;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;

/** What is read of a speed that lasts; counted by hand. */
class ReadingPlanTest {
  private static final double CELL = 0.005;
  private static final int CELLS = 12;
  private static final int IN_A_ROW = 8;

  /** So many frames at a speed in the middle of a range, then so many far above it. */
  private static ReadingPlan plan(int frames, int faster) {
    double[] logs = new double[frames + faster];
    Arrays.fill(logs, frames, logs.length, 1.0);
    return new ReadingPlan(logs, 1.0, CELL, CELLS);
  }

  @Test
  void whatIsShortIsReadWhole() {
    ReadingPlan plan = plan(2000, 90);
    assertEquals(1.0, plan.share(1.0));
    for (int i = 0; i < 90; i++) {
      assertTrue(plan.isDue(1.0));
      plan.note(1.0, 1.0, true);
    }
  }

  @Test
  void ofWhatIsLongAnEighthIsReadAndAtLeastEnough() {
    ReadingPlan plan = plan(2000, 200);
    assertEquals(0.125, plan.share(0.0));
    assertEquals(64.0 / 200.0, plan.share(1.0), 1e-12);
    assertEquals(plan.share(0.0), plan.share(0.4 * CELL));
  }

  /** Sixteen of a cell, where that is more than its part of the range's. */
  @Test
  void aCellOfItsOwnGetsEnough() {
    double[] logs = new double[2040];
    Arrays.fill(logs, 2000, 2040, 2.0 * CELL);
    ReadingPlan plan = new ReadingPlan(logs, 1.0, CELL, CELLS);
    assertEquals(0.4, plan.share(2.0 * CELL), 1e-12);
    assertEquals(0.125, plan.share(0.0), 1e-12);
  }

  @Test
  void whatIsReadLiesEvenlyOverItsTime() {
    ReadingPlan plan = plan(2400, 10);
    assertTrue(plan.isDue(0.0));
    int read = 0;
    int[] ofThird = new int[3];
    for (int i = 0; i < 2400; i++) {
      boolean reads = read > 0 || plan.isDue(0.0);
      read = reads ? (read + 1) % IN_A_ROW : 0;
      ofThird[i / 800] += reads ? 1 : 0;
      plan.note(0.0, 1.0, reads);
    }
    for (int count : ofThird) {
      assertEquals(100, count, IN_A_ROW);
    }
  }

  @Test
  void rangesLieAboutTheirMiddle() {
    double[] logs = new double[300];
    Arrays.fill(logs, 0, 100, -5.0 * CELL);
    Arrays.fill(logs, 100, 200, 5.0 * CELL);
    Arrays.fill(logs, 200, 300, 7.0 * CELL);
    ReadingPlan plan = new ReadingPlan(logs, 1.0, CELL, CELLS);
    assertEquals(64.0 / 200.0, plan.share(-5.0 * CELL), 1e-12);
    assertEquals(64.0 / 200.0, plan.share(5.0 * CELL), 1e-12);
    // 64 of the 100 of the next range: more than three fifths are read whole.
    assertEquals(1.0, plan.share(7.0 * CELL));
  }
}
