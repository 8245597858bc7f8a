package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * What the segments before have settled, so that it needn't be found out again in the next: which
 * comb is a fan, told by its motion, and which lines beside it are no other's.
 *
 * <p>A comb is the same fan's if it goes where the last segment's chief comb went in the frames
 * that both share. Where it isn't, everything is forgotten. Not safe for use by several threads.
 */
final class EarlierSegments {
  /** What a path as the search leaves it may be off by [1]. */
  private static final double PATH_OFF = 0.004;

  /** Share of the frames known in both segments in which they must agree. */
  private static final double LEAST_AGREEING = 0.75;

  private static final int FEWEST_SHARED = 24;

  private final int framesApart;
  private final double lineHz;

  /** Spacing of the chief comb in the frames shared with the next segment, if it lives [Hz]. */
  private double[] fanHz = {};

  private List<Double> beside = List.of();
  private final List<Double> still = new ArrayList<>();
  private final List<Double> notTheShafts = new ArrayList<>();

  /**
   * Prepares.
   *
   * @param framesApart by how many frames segments are apart
   * @param lineHz line spacing of the long windows [Hz]
   */
  EarlierSegments(int framesApart, double lineHz) {
    this.framesApart = framesApart;
    this.lineHz = lineHz;
  }

  /** Whether a path goes on where the fan went. */
  boolean continues(CombPath path) {
    double[] spacing = path.spacingHz();
    int both = 0;
    int agreeing = 0;
    for (int t = 0; t < Math.min(fanHz.length, spacing.length); t++) {
      double ratio = spacing[t] / fanHz[t];
      if (!Double.isNaN(ratio)) {
        both++;
        agreeing += Math.abs(ratio - 1.0) < PATH_OFF ? 1 : 0;
      }
    }
    return both >= FEWEST_SHARED && agreeing >= LEAST_AGREEING * both;
  }

  /**
   * Keeps a segment's chief comb in mind.
   *
   * @param hz its spacing, NaN where unknown [Hz, one a frame]
   * @param lives whether it is a fan's
   */
  void keep(double[] hz, boolean lives) {
    if (!lives) {
      beside = List.of();
      still.clear();
      notTheShafts.clear();
    }
    fanHz =
        lives && hz.length > framesApart
            ? Arrays.copyOfRange(hz, framesApart, hz.length)
            : new double[0];
  }

  /** Settles that no other fan makes the lines left beside the chief comb [Hz]. */
  void settleBeside(List<Double> lines) {
    beside = List.copyOf(lines);
  }

  /** Lines beside the chief comb that no other fan makes [Hz]. */
  List<Double> beside() {
    return beside;
  }

  /** Settles that a line which stands still is no fan's [Hz]. */
  void settleStill(double hz) {
    add(still, hz);
  }

  /** Lines that stand still and are no fan's [Hz]. */
  List<Double> still() {
    return List.copyOf(still);
  }

  /** Settles that a line doesn't go along with the chief comb [Hz]. */
  void settleNotTheShafts(double hz) {
    add(notTheShafts, hz);
  }

  /** Whether that is settled of a line [Hz]. */
  boolean isNotTheShafts(double hz) {
    return isAmong(notTheShafts, hz, CombSearch.CELL_WIDTH * hz);
  }

  private void add(List<Double> lines, double hz) {
    if (!isAmong(lines, hz, lineHz)) {
      lines.add(hz);
    }
  }

  private static boolean isAmong(List<Double> lines, double hz, double reachHz) {
    return lines.stream().anyMatch(line -> Math.abs(line - hz) < reachHz);
  }
}
