package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;

/**
 * Two rotors whose speeds are given, each heard by three multiples of its blade-pass frequency: one
 * shaft can't have two speeds at once, so that a path which goes over is on another machine.
 */
class CrossedPathsTest {
  private static final int FRAMES = 120;
  private static final int LINES = 3200;
  private static final double LINE_HZ = 2.0;
  private static final double RESTING_HZ = 561.0;
  private static final int STOPS = 50;
  private static final int RETURNS = 80;

  /** At 400 Hz, and silent between the stop and the return. */
  private static double[] stopping() {
    double[] hz = new double[FRAMES];
    Arrays.fill(hz, 400.0);
    Arrays.fill(hz, STOPS, RETURNS, Double.NaN);
    return hz;
  }

  private static double[] resting() {
    double[] hz = new double[FRAMES];
    Arrays.fill(hz, RESTING_HZ);
    return hz;
  }

  private static PeakList peaks(double[]... combs) {
    PeakList peaks = new PeakList();
    for (int t = 0; t < FRAMES; t++) {
      float[] power = new float[LINES];
      for (double[] comb : combs) {
        for (int m = 1; m <= 3 && !Double.isNaN(comb[t]); m++) {
          power[(int) Math.rint(m * comb[t] / LINE_HZ)] = 40f;
        }
      }
      peaks.addFrame(power, LINES, LINE_HZ, 20.0, 6000.0);
    }
    return peaks;
  }

  /** A path along a spacing, joined where that changes by less than a tenth. */
  private static CombPath path(double[] hz) {
    boolean[] joined = new boolean[FRAMES];
    for (int t = 1; t < FRAMES; t++) {
      joined[t] = Math.abs(Math.log(hz[t] / hz[t - 1])) < 0.1;
    }
    double[] sure = new double[FRAMES];
    Arrays.fill(sure, 1.0);
    return new CombPath(hz, joined, sure, 1000.0, new double[8], 0);
  }

  /** On the first rotor while it is heard, meanwhile on the other. */
  private static double[] goingOver() {
    double[] hz = stopping();
    Arrays.fill(hz, STOPS, RETURNS, RESTING_HZ);
    return hz;
  }

  private static int[] crossings(PeakList peaks, double[] hz) {
    boolean[] found = new CrossedPaths(new CombLines(peaks, LINE_HZ)).crossings(path(hz));
    return IntStream.range(0, FRAMES).filter(t -> found[t]).toArray();
  }

  @Test
  void aPathThatGoesOverToAnotherFanAndBackIsFound() {
    PeakList peaks = peaks(stopping(), resting());
    assertArrayEquals(new int[] {STOPS, RETURNS}, crossings(peaks, goingOver()));
  }

  /** The negative control: the same leaps, and nothing at the one place while at the other. */
  @Test
  void aSpeedThatIsSwitchedIsOneMachines() {
    assertEquals(0, crossings(peaks(goingOver()), goingOver()).length);
  }

  /** Another reading of one shaft: its third multiple is heard all along. */
  @Test
  void aLeapToAMultipleIsOneMachines() {
    double[] hz = resting();
    Arrays.fill(hz, STOPS, RETURNS, 3.0 * RESTING_HZ);
    assertEquals(0, crossings(peaks(resting(), resting()), hz).length);
  }

  /** A fan that speeds up passes another at rest; both go on. */
  @Test
  void aPathThatTurnsOffWhereTwoCombsCrossIsFound() {
    double[] rising = new double[FRAMES];
    Arrays.setAll(rising, t -> RESTING_HZ * Math.exp(0.01 * (t - STOPS)));
    double[] turningOff = rising.clone();
    Arrays.fill(turningOff, STOPS, FRAMES, RESTING_HZ);
    assertEquals(1, crossings(peaks(rising, resting()), turningOff).length);
    assertEquals(0, crossings(peaks(rising, resting()), rising).length, "passing is no crossing");
    assertEquals(0, crossings(peaks(turningOff), turningOff).length, "a ramp ends");
  }

  /** On its way from one speed to the next a path may be on nothing: that is no second machine. */
  @Test
  void aWayThroughNoiseIsNoCrossing() {
    double[] stepping = resting();
    double[] through = resting();
    for (int t = STOPS; t < FRAMES; t++) {
      stepping[t] = RESTING_HZ * Math.exp(-0.02 * Math.min(20, t - STOPS));
      through[t] = t < STOPS + 15 ? RESTING_HZ * 0.98 : stepping[t];
    }
    double[] leaping = through.clone();
    Arrays.fill(leaping, STOPS, STOPS + 15, 0.55 * RESTING_HZ);
    assertEquals(0, crossings(peaks(stepping), through).length);
    assertEquals(0, crossings(peaks(stepping), leaping).length);
    double[] other = new double[FRAMES];
    Arrays.fill(other, 0.55 * RESTING_HZ);
    assertEquals(2, crossings(peaks(stepping, other), leaping).length, "a fan is there");
  }
}
