package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** Hum is at whole multiples of the mains, whatever else is heard: its definition. */
class FixedLinesTest {
  private static final int FRAMES = 90;
  private static final int REST = 60;
  private static final double LINE_HZ = 1.95;

  private final WhitenedFrames frames = new WhitenedFrames(LINE_HZ, 29);

  /** A comb at 693 Hz that goes to 540 Hz, the ninth multiple of the mains. */
  private static CombPath comb() {
    double[] hz = new double[FRAMES];
    Arrays.fill(hz, 0, REST, 693.0);
    Arrays.fill(hz, REST, FRAMES, 540.0);
    double[] evidence = {3.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
    return new CombPath(hz, new boolean[FRAMES], new double[FRAMES], 100.0, evidence, 0);
  }

  private List<Double> beyond(List<Double> hum) {
    return FixedLines.humBeyond(frames.peaks(), LINE_HZ, hum, comb());
  }

  @Test
  void faintHighMultiplesOfTheMainsAreTold() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(t % 2 == 0 ? new double[] {480.0, 600.0} : new double[] {});
    }
    assertEquals(List.of(480.0, 600.0), beyond(List.of(60.0, 120.0)));
    assertEquals(List.of(), beyond(List.of()));
  }

  @Test
  void whatIsThereOnlyAtTheUsualSpeedMayBeTheShafts() {
    for (int t = 0; t < FRAMES; t++) {
      frames.add(t < REST ? new double[] {480.0} : new double[] {});
    }
    assertEquals(List.of(), beyond(List.of(60.0, 120.0)));
  }

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
