package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;

/** Two fans of 5 blades, of which the first is heard once a turn too and the second is not. */
class StackedRunsTest {
  private static final double RATE = 8000.0;
  private static final int HOP = 2048;
  private static final int FRAMES = 240;
  private static final double HIGHEST_HZ = 3200.0;
  private static final double HZ = 251.3;
  private static final double[] FIRST = {0.2, 1.0, 2.0, 3.0};
  private static final double[] SECOND = {1.0, 2.0, 3.0};

  private final Random random = new Random(29);
  private final StackedRuns runs = new StackedRuns(new OrderWindows(RATE), HOP, RATE);

  /** A comb whose lines change at a frame, in white noise of deviation 1. */
  private float[] audio(double hz, double[] before, double[] after, int atFrame) {
    float[] audio = new float[(FRAMES + 2) * HOP];
    for (int i = 0; i < audio.length; i++) {
      double sample = random.nextGaussian();
      for (double order : i < atFrame * HOP ? before : after) {
        sample += 0.3 * Math.cos(2.0 * Math.PI * order * hz * i / RATE + order);
      }
      audio[i] = (float) sample;
    }
    return audio;
  }

  private static double[] steady(double hz) {
    double[] result = new double[FRAMES];
    Arrays.fill(result, hz);
    return result;
  }

  private static CombPath path(double[] hz) {
    boolean[] joined = new boolean[FRAMES];
    Arrays.fill(joined, true);
    return new CombPath(hz, joined, steady(1.0), 1000.0, new double[8], 0);
  }

  /** Adds a segment and returns the spacing that is left. */
  private double[] add(float[] audio, double hz, int to, boolean goesOn, boolean oneOfTwo) {
    double[] told = steady(hz);
    StackedRuns.Segment segment =
        new StackedRuns.Segment(audio, 0, to, HIGHEST_HZ, List.of(), goesOn, oneOfTwo, null);
    runs.add(segment, told, steady(hz), path(steady(hz)));
    return told;
  }

  @Test
  void whatGoesOnWithoutItsLinesIsHiddenWhereThereAreTwo() {
    add(audio(HZ, FIRST, FIRST, 0), HZ, FRAMES, false, true);
    double[] told = add(audio(HZ, FIRST, SECOND, 120), HZ, 200, true, true);
    assertEquals(HZ, told[80]);
    assertTrue(Double.isNaN(told[150]));
    // The rest of the run, which the next segment shares, is the same one's.
    assertTrue(Double.isNaN(told[FRAMES - 1]));
  }

  @Test
  void oneCombAloneMayLoseALine() {
    add(audio(HZ, FIRST, FIRST, 0), HZ, FRAMES, false, false);
    double[] told = add(audio(HZ, FIRST, SECOND, 120), HZ, FRAMES, true, false);
    assertEquals(HZ, told[FRAMES - 1]);
  }

  @Test
  void anotherMultipleIsPutRightToTheEndOfTheRun() {
    add(audio(HZ, FIRST, FIRST, 0), HZ, FRAMES, false, false);
    float[] again = audio(HZ, FIRST, FIRST, 0);
    double[] told = add(again, 0.2 * HZ, 200, false, false);
    assertEquals(HZ, told[100], 1e-9);
    assertEquals(HZ, told[FRAMES - 1], 1e-9);
  }

  @Test
  void aRunThatNothingLinksIsHiddenIfItsSpeedDoesNotSuit() {
    add(audio(HZ, SECOND, SECOND, 0), HZ, FRAMES, false, false);
    double far = 3.5 * HZ;
    assertTrue(Double.isNaN(add(audio(far, SECOND, SECOND, 0), far, FRAMES, false, false)[100]));
    assertFalse(Double.isNaN(add(audio(far, SECOND, SECOND, 0), far, FRAMES, true, false)[100]));
  }
}
