package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** Lines drawn by hand, so that it is known whose each is. */
class TunedLinesTest {
  private static double fanHz(int t, double sway) {
    return 400.0 * (1.0 + sway * Math.sin(0.3 * t));
  }

  private static FixedLineFixture sound(double sway, double secondHz) {
    FixedLineFixture sound = new FixedLineFixture();
    for (int t = 0; t < FixedLineFixture.FRAMES; t++) {
      sound.line(t, fanHz(t, sway), 40.0);
      sound.line(t, secondHz > 0.0 ? secondHz : 2.0 * fanHz(t, sway), 40.0);
    }
    return sound;
  }

  private static CombPath path(double sway, double... evidence) {
    double[] spacing = new double[FixedLineFixture.FRAMES];
    for (int t = 0; t < spacing.length; t++) {
      spacing[t] = fanHz(t, sway);
    }
    return FixedLineFixture.path(spacing, evidence);
  }

  private static TunedLines lines(FixedLineFixture sound) {
    return new TunedLines(sound.peaks(), FixedLineFixture.LINE_HZ);
  }

  @Test
  void aLineThatStandsWhileTheShaftMovesIsForeign() {
    assertEquals(801.0, lines(sound(0.003, 801.0)).foreign(path(0.003, 7.0, 7.0)), 0.5);
  }

  @Test
  void linesThatMoveAsOneAreTheShafts() {
    assertTrue(Double.isNaN(lines(sound(0.003, 0.0)).foreign(path(0.003, 7.0, 7.0))));
  }

  @Test
  void aPathThatSwaysAboutAStillLineIsPutOnIt() {
    CombPath settled = lines(sound(0.0, 806.0)).settled(path(0.003, 8.0, 2.0));
    assertEquals(400.0, settled.spacingHz()[17], 0.2);
    assertTrue(settled.harmonicEvidence()[0] > 5.0);
    // Out of tune by 6 Hz, though the search put up with it.
    assertTrue(settled.harmonicEvidence()[1] < 1.0, "" + settled.harmonicEvidence()[1]);
  }

  @Test
  void aPathAlongALineThatMovesIsKept() {
    CombPath path = path(0.003, 8.0, 2.0);
    assertSame(path, lines(sound(0.003, 0.0)).settled(path));
  }
}
