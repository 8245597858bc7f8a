package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import org.junit.jupiter.api.Test;

/** Lines drawn by hand, so that it is known which go on. */
class VisitedLinesTest {
  private static final int VISIT_FROM = 60;
  private static final double FIXED_HZ = 607.0;

  /** A fan whose speed rises by 4 % and a path that leaves it for another line near the end. */
  private static double[] spacing() {
    double[] spacing = new double[FixedLineFixture.FRAMES];
    for (int t = 0; t < spacing.length; t++) {
      spacing[t] = t < VISIT_FROM ? fanHz(t) : FIXED_HZ;
    }
    return spacing;
  }

  private static double fanHz(int t) {
    return 400.0 * (1.0 + 5e-4 * t);
  }

  private static List<Double> found(int lineFrom, boolean second) {
    FixedLineFixture sound = new FixedLineFixture();
    for (int t = 0; t < FixedLineFixture.FRAMES; t++) {
      sound.line(t, fanHz(t), 30.0);
      if (t >= lineFrom) {
        sound.line(t, FIXED_HZ, 20.0);
      }
      if (second && t >= VISIT_FROM) {
        sound.line(t, 2.0 * FIXED_HZ, 20.0);
      }
    }
    return new VisitedLines(sound.peaks(), FixedLineFixture.LINE_HZ)
        .of(FixedLineFixture.path(spacing(), 5.0));
  }

  @Test
  void aLineThatGoesOnElsewhereIsFound() {
    List<Double> lines = found(0, false);
    assertEquals(1, lines.size());
    assertEquals(FIXED_HZ, lines.get(0), 0.5);
  }

  /** The line of a fan that was switched to another speed begins with it. */
  @Test
  void aLineThatBeginsWithTheVisitIsTheShafts() {
    assertEquals(List.of(), found(VISIT_FROM, false));
  }

  /** Two lines in tune may be another fan's. */
  @Test
  void aCombIsNoFixedLine() {
    assertEquals(List.of(), found(0, true));
  }
}
