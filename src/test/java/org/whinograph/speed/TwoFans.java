package org.whinograph.speed;

import java.util.Arrays;

/** Peaks of fans whose speeds are given in each frame, and paths along them. */
final class TwoFans {
  static final int FRAMES = 160;
  static final double LINE_HZ = 2.0;
  private static final int LINES = 3200;

  private final float[][] power = new float[FRAMES][LINES];

  /** A spacing that stays. */
  static double[] steady(double hz) {
    double[] result = new double[FRAMES];
    Arrays.fill(result, hz);
    return result;
  }

  /** The same with another one, or none, in some frames. */
  static double[] with(double[] hz, int from, int to, double other) {
    double[] result = hz.clone();
    Arrays.fill(result, from, to, other);
    return result;
  }

  /** One from some frame on, another before. */
  static double[] then(double[] before, int at, double[] after) {
    double[] result = before.clone();
    System.arraycopy(after, at, result, at, FRAMES - at);
    return result;
  }

  /** Adds a fan that has the first so many multiples of its spacing. */
  TwoFans fan(double[] hz, int multiples) {
    for (int t = 0; t < FRAMES; t++) {
      for (int m = 1; m <= multiples && !Double.isNaN(hz[t]); m++) {
        power[t][(int) Math.rint(m * hz[t] / LINE_HZ)] = 40f;
      }
    }
    return this;
  }

  CombLines lines() {
    PeakList peaks = new PeakList();
    for (float[] row : power) {
      peaks.addFrame(row, LINES, LINE_HZ, 20.0, 6000.0);
    }
    return new CombLines(peaks, LINE_HZ);
  }

  /** A path along a spacing, joined where that changes by less than a tenth. */
  static CombPath path(double[] hz) {
    boolean[] joined = new boolean[hz.length];
    for (int t = 1; t < hz.length; t++) {
      joined[t] = Math.abs(Math.log(hz[t] / hz[t - 1])) < 0.1;
    }
    double[] sure = new double[hz.length];
    Arrays.fill(sure, 1.0);
    return new CombPath(hz, joined, sure, 1000.0, new double[8], 0);
  }

  static boolean[] crossingsAt(int... frames) {
    boolean[] result = new boolean[FRAMES];
    for (int t : frames) {
      result[t] = true;
    }
    return result;
  }

  private static int[] sides(int side) {
    int[] result = new int[FRAMES];
    Arrays.fill(result, side);
    return result;
  }

  /** A side, with another in some frames. */
  static int[] sides(int side, int from, int to, int other) {
    int[] result = sides(side);
    Arrays.fill(result, from, to, other);
    return result;
  }
}
