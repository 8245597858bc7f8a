package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.Quantile;

/**
 * What the segments before have settled, so that it needn't be found out again in the next: which
 * comb is a fan, told by its motion, which one is a second, and which lines beside it are no
 * other's.
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

  /** Spacing of the chief comb in the frames shared with the next segment [Hz]. */
  private double[] fanHz = {};

  /** The last that is known of it [Hz]. */
  private double fanLastHz = Double.NaN;

  private boolean lives;

  /** The same of the second comb [Hz]. */
  private double[] secondHz = {};

  private double secondLastHz = Double.NaN;

  /** Mean evidence of each multiple of both when they were heard last [nat], null before. */
  private final double[][] levels = new double[2][];

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

  /** Whether the chief comb of the segment before was a fan's. */
  boolean lives() {
    return lives;
  }

  /** Whether a path goes on where the fan went. */
  boolean continues(CombPath path) {
    return lives && agrees(fanHz, path.spacingHz(), 1.0);
  }

  /**
   * How surely a comb goes on where the chief comb went.
   *
   * @param hz its spacing, NaN where unknown [Hz, one a frame]
   * @return 2 if it does; 1 if it does on another multiple, or after a silence, since many speeds
   *     are a simple ratio apart; 0 if nothing tells; −1 if it is elsewhere while both are known
   */
  int asFirst(double[] hz) {
    return continued(fanHz, fanLastHz, hz);
  }

  /**
   * The same of the second comb.
   *
   * @param hz its spacing, NaN where unknown [Hz, one a frame]
   */
  int asSecond(double[] hz) {
    return continued(secondHz, secondLastHz, hz);
  }

  private static int continued(double[] before, double lastHz, double[] hz) {
    double[] ratios = new double[Math.min(before.length, hz.length)];
    int both = 0;
    for (int t = 0; t < ratios.length; t++) {
      ratios[both] = hz[t] / before[t];
      both += Double.isNaN(ratios[both]) ? 0 : 1;
    }
    if (both < FEWEST_SHARED) {
      double firstHz =
          Arrays.stream(hz).filter(each -> !Double.isNaN(each)).findFirst().orElse(Double.NaN);
      return Math.abs(firstHz / lastHz - 1.0) < PATH_OFF ? 1 : 0;
    }
    if (agrees(before, hz, 1.0)) {
      return 2;
    }
    return agrees(before, hz, CombFrames.multiple(Quantile.median(ratios, both))) ? 1 : -1;
  }

  private static boolean agrees(double[] before, double[] hz, double multiple) {
    int both = 0;
    int agreeing = 0;
    for (int t = 0; t < Math.min(before.length, hz.length); t++) {
      double ratio = hz[t] / before[t];
      if (!Double.isNaN(ratio)) {
        both++;
        agreeing += Math.abs(ratio / multiple - 1.0) < PATH_OFF ? 1 : 0;
      }
    }
    return both >= FEWEST_SHARED && agreeing >= LEAST_AGREEING * both;
  }

  /**
   * Keeps a segment's chief comb in mind.
   *
   * @param hz its spacing, NaN where unknown [Hz, one a frame]
   * @param isFan whether it is a fan's
   */
  void keep(double[] hz, boolean isFan) {
    lives = isFan;
    if (!lives) {
      beside = List.of();
      still.clear();
      notTheShafts.clear();
    }
    fanHz = shared(hz);
    fanLastHz = last(hz, fanLastHz);
  }

  /**
   * Keeps a segment's second comb in mind.
   *
   * @param hz its spacing, NaN where unknown [Hz, one a frame]; empty without one
   */
  void keepSecond(double[] hz) {
    secondHz = shared(hz);
    secondLastHz = last(hz, secondLastHz);
  }

  /**
   * Keeps in mind which lines a segment's combs have.
   *
   * @param first mean evidence of each multiple of the chief comb [nat], null without one
   * @param second the same of the second comb
   */
  void keepLevels(double[] first, double[] second) {
    levels[0] = first == null ? levels[0] : first;
    levels[1] = second == null ? levels[1] : second;
  }

  /**
   * Whether combs have the lines of the first and of the second.
   *
   * @param one mean evidence of each multiple of a comb [nat]
   * @param other the same of another one, null if there is none
   * @return 1 if they have, −1 if they have each other's, 0 if nothing tells
   */
  int pairing(double[] one, double[] other) {
    return CombLines.pairing(new double[][] {one, other}, levels);
  }

  private static double last(double[] hz, double before) {
    double last = before;
    for (double each : hz) {
      last = Double.isNaN(each) ? last : each;
    }
    return last;
  }

  private double[] shared(double[] hz) {
    return hz.length > framesApart ? Arrays.copyOfRange(hz, framesApart, hz.length) : new double[0];
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
