package org.whinograph.speed.order;

import java.util.Arrays;

/**
 * How much of the sound at each speed is read, and when. What a speed lasts for is known from the
 * track beforehand, so that what is read can lie evenly over all of its time: at a speed that lasts
 * long, a part tells its mean as well as all of it.
 *
 * <p>Speeds are told apart in cells that are even in the logarithm; so many cells are a range, in
 * which spectra are averaged. Amounts are in frames, half overlapping: one for each half of a
 * frame's length. Not safe for use by several threads.
 */
final class ReadingPlan {
  /** Frames of one range that tell its mean to 0.5 dB a line: 4.34 dB/√64 (judgement). */
  static final int ENOUGH_OF_RANGE = 64;

  /** Frames of one cell that tell its levels (judgement). */
  static final int ENOUGH_OF_CELL = 16;

  /** The least that is read, so that what comes and goes over hours is met [1] (judgement). */
  static final double LEAST_SHARE = 0.125;

  /** Where more than this had to be read all is [1]: leaving little out saves nothing. */
  private static final double MOST_SHARE = 0.6;

  /**
   * What must be owed [frames]: half of what is read in a row, so that it lies in the middle of
   * what it stands for.
   */
  private static final double OWED = 4.5;

  private final double cellWidth;
  private final int lowest;
  private final double[] share;
  private final double[] passed;
  private final double[] read;

  /**
   * Plans.
   *
   * @param logSpeeds logarithm of the speed along the track, over that at the middle of a range;
   *     NaN where it is unknown [1], one known at least
   * @param framesEach how many frames each stands for
   * @param cellWidth width of a cell [1, of the logarithm]
   * @param cellsPerRange cells that make up a range
   */
  ReadingPlan(double[] logSpeeds, double framesEach, double cellWidth, int cellsPerRange) {
    this.cellWidth = cellWidth;
    double[] known = Arrays.stream(logSpeeds).filter(log -> !Double.isNaN(log)).toArray();
    int low = (int) Math.floor(Arrays.stream(known).min().orElseThrow() / cellWidth + 0.5);
    int high = (int) Math.floor(Arrays.stream(known).max().orElseThrow() / cellWidth + 0.5);
    // Ranges lie about their middle: half of their cells are below it.
    int before = Math.floorMod(low + cellsPerRange / 2, cellsPerRange);
    this.lowest = low - before;
    int cells = high - lowest + 1;
    this.share = new double[cells];
    this.passed = new double[cells];
    this.read = new double[cells];
    double[] ranges = new double[cells / cellsPerRange + 1];
    double[] lasts = new double[cells];
    for (double log : known) {
      int cell = cell(log);
      lasts[cell] += framesEach;
      ranges[cell / cellsPerRange] += framesEach;
    }
    for (int c = 0; c < cells; c++) {
      double needed =
          Math.max(
              LEAST_SHARE,
              Math.max(ENOUGH_OF_CELL / lasts[c], ENOUGH_OF_RANGE / ranges[c / cellsPerRange]));
      share[c] = needed > MOST_SHARE ? 1.0 : needed;
    }
  }

  private int cell(double logSpeed) {
    // The middle of a range is that of a cell: there a speed that stays mustn't be torn by
    // rounding.
    int cell = (int) Math.floor(logSpeed / cellWidth + 0.5) - lowest;
    return Math.max(0, Math.min(share.length - 1, cell));
  }

  /** What part of the sound at a speed is read [1]. */
  double share(double logSpeed) {
    return share[cell(logSpeed)];
  }

  /** Whether the sound at a speed is due to be read: at once where none has been yet. */
  boolean isDue(double logSpeed) {
    int cell = cell(logSpeed);
    return share[cell] == 1.0
        || read[cell] == 0.0
        || read[cell] + OWED <= share[cell] * passed[cell];
  }

  /**
   * Notes what went by.
   *
   * @param logSpeed logarithm of its speed
   * @param frames how much [frames]
   * @param wasRead whether it was read
   */
  void note(double logSpeed, double frames, boolean wasRead) {
    int cell = cell(logSpeed);
    passed[cell] += frames;
    read[cell] += wasRead ? frames : 0.0;
  }
}
