package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import org.junit.jupiter.api.Test;

/** Lines beside a comb, each a strong peak in every frame; counted by hand. */
class StrongPeaksTest {
  private static final int FRAMES = 200;
  private static final int LINES = 3200;
  private static final double LINE_HZ = 2.0;
  private static final double HIGHEST_HZ = 6000.0;

  /** A comb that glides from 500 Hz to 600 Hz. */
  private static double[] gliding() {
    double[] hz = new double[FRAMES];
    Arrays.setAll(hz, t -> 500.0 + 100.0 * t / FRAMES);
    return hz;
  }

  /** Peaks at ratios to the comb and at places that stand still. */
  private static PeakList peaks(double[] comb, double[] ratios, double[] placesHz) {
    PeakList peaks = new PeakList();
    for (double spacing : comb) {
      float[] power = new float[LINES];
      for (double ratio : ratios) {
        power[(int) Math.rint(ratio * spacing / LINE_HZ)] = 40f;
      }
      for (double hz : placesHz) {
        power[(int) Math.rint(hz / LINE_HZ)] = 40f;
      }
      peaks.addFrame(power, LINES, LINE_HZ, 20.0, HIGHEST_HZ);
    }
    return peaks;
  }

  private static int beside(double[] comb, double[] ratios, double... placesHz) {
    PeakList peaks = peaks(comb, ratios, placesHz);
    StrongPeaks strong = new StrongPeaks(peaks, LINE_HZ, HIGHEST_HZ);
    assertEquals((ratios.length + placesHz.length) * FRAMES, strong.left());
    return strong.leftBeside(comb, List.of());
  }

  @Test
  void ordersOfAShaftThatMovesMakeNoSecondComb() {
    double[] orders = {10.0 / 11.0, 12.0 / 11.0, 24.0 / 11.0};
    assertEquals(0.0, beside(gliding(), orders), 0.1 * FRAMES);
  }

  @Test
  void linesThatNoOtherGoesWithMakeNone() {
    assertEquals(0, beside(gliding(), new double[0], 100.0, 6000.0 - 10.0));
  }

  @Test
  void twoLinesOfOneCombThatStandStillDo() {
    assertEquals(FRAMES, beside(gliding(), new double[0], 1234.0, 1234.0 * 3.0 / 2.0));
  }

  /** Lines that were looked at before are no news; one more is. */
  @Test
  void whatWasSettledBeforeIsNot() {
    double[] comb = gliding();
    double[] places = {1234.0, 1234.0 * 3.0 / 2.0};
    PeakList peaks = peaks(comb, new double[0], places);
    StrongPeaks strong = new StrongPeaks(peaks, LINE_HZ, HIGHEST_HZ);
    assertEquals(FRAMES, strong.leftBeside(comb, List.of()));
    List<Double> settled = strong.lines();
    assertEquals(places.length, settled.size());
    strong = new StrongPeaks(peaks, LINE_HZ, HIGHEST_HZ);
    assertEquals(0, strong.leftBeside(comb, settled));
    peaks = peaks(comb, new double[0], new double[] {1234.0, 1234.0 * 3.0 / 2.0, 1234.0 * 2.0});
    strong = new StrongPeaks(peaks, LINE_HZ, HIGHEST_HZ);
    assertEquals(FRAMES, strong.leftBeside(comb, settled));
  }

  /** Another rotor's lines neither go along nor stay. */
  @Test
  void linesThatMoveOtherwiseDo() {
    double[] comb = gliding();
    PeakList peaks = new PeakList();
    for (int t = 0; t < FRAMES; t++) {
      float[] power = new float[LINES];
      power[(int) ((900.0 - t) / LINE_HZ)] = 40f;
      peaks.addFrame(power, LINES, LINE_HZ, 20.0, HIGHEST_HZ);
    }
    StrongPeaks strong = new StrongPeaks(peaks, LINE_HZ, HIGHEST_HZ);
    assertEquals(FRAMES, strong.leftBeside(comb, List.of()), 0.1 * FRAMES);
  }

  /** While the comb rests, what goes along also stays. */
  @Test
  void besideACombThatRestsOrdersCount() {
    double[] comb = new double[FRAMES];
    Arrays.fill(comb, 550.0);
    double[] orders = {10.0 / 11.0, 15.0 / 11.0};
    assertEquals(FRAMES, beside(comb, orders));
  }

  @Test
  void aPathStaysWhereOtherMultiplesAreStrong() {
    double[] comb = gliding();
    double[] evidence = {9.0, 9.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0};
    CombPath path = new CombPath(comb, new boolean[FRAMES], new double[FRAMES], 100.0, evidence, 0);
    boolean[] visits = new boolean[FRAMES];
    Arrays.fill(visits, 40, 60, true);
    PeakList both = peaks(comb, new double[] {1.0, 2.0}, new double[0]);
    assertTrue(new HeldStretches(both, LINE_HZ).staysWithout(path, visits));
    // The line that is visited is all that the path has there.
    for (int t = 40; t < 60; t++) {
      for (int p = both.start(t); p < both.start(t + 1); p++) {
        both.mute(p);
      }
    }
    assertFalse(new HeldStretches(both, LINE_HZ).staysWithout(path, visits));
  }
}
