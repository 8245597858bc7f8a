package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/**
 * Grids run within 0.2 Hz of 50 Hz or 60 Hz (Regulation (EU) 2017/1485, Annex III, table 1, the
 * widest; from memory).
 */
class StackedHumTest {
  /** Whether lines at multiples of a frequency are hum, each off its place by 0.05 Hz at most. */
  private static boolean isHum(double hz, double... multiples) {
    List<StackedLines.Line> lines =
        Arrays.stream(multiples)
            .mapToObj(k -> new StackedLines.Line(k * hz + 0.05 * Math.sin(9.0 * k), 40.0, 0.0))
            .toList();
    return new StackedHum(lines, 1.0).isAll();
  }

  @Test
  void multiplesOfAnyMainsAreHum() {
    for (double nominal : new double[] {50.0, 60.0}) {
      for (double off = -0.19; off < 0.2; off += 0.02) {
        double hz = nominal + off;
        assertTrue(isHum(hz, 1, 2, 3, 5), "" + hz);
        assertTrue(isHum(hz, 7, 14, 16, 19, 20), "" + hz);
        assertTrue(isHum(hz, 5, 11, 12, 21, 24, 28, 30, 38), "" + hz);
      }
    }
  }

  @Test
  void otherLinesArent() {
    assertFalse(isHum(49.5, 1, 2, 3, 5));
    assertFalse(isHum(50.5, 7, 14, 16, 19, 20));
    assertFalse(isHum(61.0, 5, 11, 12, 21, 24, 28, 30, 38));
    // A shaft of 2400/min with blade-pass lines of seven blades.
    assertFalse(isHum(40.0, 1, 2, 7, 14, 21));
  }

  @Test
  void multiplesOfOneLineMayBeAFans() {
    assertFalse(isHum(50.03, 9, 18, 27, 36));
    assertTrue(isHum(50.03, 2, 4, 6, 12));
  }

  @Test
  void aFewLinesMayBeAnything() {
    assertFalse(isHum(50.0, 1, 2, 3));
    assertFalse(new StackedHum(List.of(), 1.0).isAll());
  }

  @Test
  void oneOfManyMayBeSomethingElses() {
    assertTrue(isHum(50.1, 1, 2, 3, 3.41, 5, 6, 8, 11, 12));
    assertTrue(isHum(50.1, 0.8, 1, 2, 3, 5, 6, 8, 11, 12));
    assertFalse(isHum(50.1, 0.8, 1, 2, 3, 3.41, 5, 6, 8, 11, 12));
  }
}
