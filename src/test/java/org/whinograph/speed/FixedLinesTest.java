package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import org.junit.jupiter.api.Test;

/** A line that stands still is where it was. */
class FixedLinesTest {
  private static final int FRAMES = 90;
  private static final double LINE_HZ = 1.95;

  private final WhitenedFrames frames = new WhitenedFrames(LINE_HZ, 29);

  @Test
  void aLineStandsWhereItIsStrongestNear() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(1010.0);
    }
    double place = FixedLines.place(frames.peaks(), 1004.0, 10.0);
    assertEquals(1010.0, place, 0.25 * LINE_HZ);
    assertEquals(1500.0, FixedLines.place(new PeakList(), 1500.0, 10.0));
    assertEquals(
        List.of(place),
        FixedLines.stillThere(
            frames.peaks(), List.of(place, 1400.0, place + 2 * LINE_HZ), LINE_HZ));
  }

  /** A tone that was known and ends on the way is a tone for as long as it lasts. */
  @Test
  void aLineThatEndsStillStoodThere() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(t < FRAMES / 3 ? 1010.0 : t < FRAMES / 2 ? 1400.0 : 0.0);
    }
    double place = FixedLines.place(frames.peaks(), 1010.0, 10.0);
    assertEquals(
        List.of(place), FixedLines.stillThere(frames.peaks(), List.of(place, 1400.0), LINE_HZ));
  }
}
