package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * Fixed lines that a path visits. Where a fan is faint, the path may leap to a line that stands
 * still and rest on it for seconds. Such a line goes on at its place while the path is elsewhere,
 * which the line of a shaft that has changed its speed does not.
 *
 * <p>Two lines that both stand still look the same to each other: then what most frames are on is
 * kept. All thresholds are a judgement. Immutable.
 */
final class VisitedLines {
  /** Evidence of a peak that noise rarely gives [nat]. */
  private static final float CLEAR_NATS = 2f;

  /** Fewest frames of a rest, and of those in which the path is elsewhere. */
  private static final int SHORTEST = 6;

  /** Frames of the path elsewhere from which on it may be on a line for the most part. */
  private static final int LONG = 16;

  /** Greatest change from one frame to the next, and off the first, of a path that rests [1]. */
  private static final double STEP = 0.004;

  private static final double REST = 0.006;

  /**
   * Mean evidence of a second line at a rest, which would make it another comb's, at most [nat].
   */
  private static final double MOST_SECOND = 1.5;

  /** How near its place the peak of a line that stands still is [lines of the windows]. */
  private static final double STILL_LINES = 0.35;

  /** Lines on either side among which chance is counted, and those that are left out. */
  private static final double CHANCE_LINES = 12.0;

  private static final double OWN_LINES = 1.5;

  /** Standard deviations over chance from which on a line goes on. */
  private static final double DEVIATIONS = 4.0;

  /** Share of the frames in which it is clear, over the same where it is visited [1]. */
  private static final double LEAST_GOING_ON = 0.4;

  /** How far from a multiple of the spacing a line may lie, as in the search [lines], [1]. */
  private static final double REACH_LINES = 0.4;

  private static final double REACH = 0.004;

  private final PeakList peaks;
  private final double lineHz;

  /**
   * Prepares.
   *
   * @param peaks peaks of a segment's long windows
   * @param lineHz line spacing of those windows [Hz]
   */
  VisitedLines(PeakList peaks, double lineHz) {
    this.peaks = peaks;
    this.lineHz = lineHz;
  }

  /**
   * Finds the lines.
   *
   * @param path the path
   * @return their frequencies [Hz]
   */
  List<Double> of(CombPath path) {
    double[] spacing = path.spacingHz();
    List<Visit> visits = new ArrayList<>();
    int from = 0;
    while (from < spacing.length) {
      int to = restEnd(spacing, from);
      double hz = to - from >= SHORTEST ? onlyLine(path, from, to) : 0.0;
      Visit visit = hz > 0.0 ? visit(path, hz, from, to) : null;
      if (visit != null) {
        visits.add(visit);
      }
      from = to;
    }
    List<Double> result = new ArrayList<>();
    for (Visit visit : visits) {
      boolean only = visits.stream().allMatch(each -> Math.abs(each.hz - visit.hz) < lineHz);
      if (visit.there < visit.apart || (only && visit.apart >= LONG)) {
        result.add(visit.hz);
      }
    }
    return result;
  }

  /**
   * A line that goes on while the path is elsewhere.
   *
   * @param hz its frequency [Hz]
   * @param there frames in which a multiple of the path is on it
   * @param apart frames in which none is
   */
  private record Visit(double hz, int there, int apart) {}

  private static int restEnd(double[] spacing, int from) {
    int to = from + 1;
    while (to < spacing.length
        && Math.abs(spacing[to] - spacing[to - 1]) < STEP * spacing[from]
        && Math.abs(spacing[to] - spacing[from]) < REST * spacing[from]) {
      to++;
    }
    return to;
  }

  /** Mean frequency of the only line that tells something in some frames, 0 without one [Hz]. */
  private double onlyLine(CombPath path, int from, int to) {
    double result = 0.0;
    double most = 0.0;
    double second = 0.0;
    for (int m = 1; m <= path.harmonicEvidence().length; m++) {
      double sum = 0.0;
      double moment = 0.0;
      for (int t = from; t < to; t++) {
        double hz = m * path.spacingHz()[t];
        int p = greatest(t, hz, REACH_LINES * lineHz + REACH * hz);
        if (p >= 0) {
          sum += peaks.evidence(p);
          moment += peaks.evidence(p) * peaks.frequencyHz(p);
        }
      }
      second = Math.max(second, Math.min(most, sum));
      if (sum > most) {
        most = sum;
        result = moment / sum;
      }
    }
    return second < MOST_SECOND * (to - from) ? result : 0.0;
  }

  /** The strongest clear peak near a frequency, −1 without any. */
  private int greatest(int frame, double hz, double reachHz) {
    int result = -1;
    float most = CLEAR_NATS;
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - reachHz); p < end; p++) {
      if (peaks.frequencyHz(p) > hz + reachHz) {
        break;
      }
      if (peaks.evidence(p) > most) {
        most = peaks.evidence(p);
        result = p;
      }
    }
    return result;
  }

  /** What a rest on a line is, null if it doesn't go on while the path is elsewhere. */
  private Visit visit(CombPath path, double hz, int from, int to) {
    double[] spacing = path.spacingHz();
    int there = 0;
    int apart = 0;
    int present = 0;
    double chance = 0.0;
    for (int t = 0; t < spacing.length; t++) {
      double ratio = hz / spacing[t];
      double off = Math.abs(ratio - Math.max(1.0, Math.rint(ratio))) * spacing[t];
      if (off < OWN_LINES * lineHz + REACH * hz) {
        there++;
      } else if (!Double.isNaN(ratio)) {
        apart++;
        present += greatest(t, hz, STILL_LINES * lineHz) >= 0 ? 1 : 0;
        chance += beside(t, hz);
      }
    }
    int visited = 0;
    for (int t = from; t < to; t++) {
      visited += greatest(t, hz, STILL_LINES * lineHz) >= 0 ? 1 : 0;
    }
    boolean goesOn =
        apart >= SHORTEST
            && present > chance + DEVIATIONS * Math.sqrt(chance + 1.0)
            && present * (double) (to - from) > LEAST_GOING_ON * apart * visited;
    return goesOn ? new Visit(hz, there, apart) : null;
  }

  /** Number of clear peaks that chance puts into the place of a line in a frame. */
  private double beside(int frame, double hz) {
    int count = 0;
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - CHANCE_LINES * lineHz); p < end; p++) {
      double off = Math.abs(peaks.frequencyHz(p) - hz) / lineHz;
      if (off > CHANCE_LINES) {
        break;
      }
      count += off > OWN_LINES && peaks.evidence(p) > CLEAR_NATS ? 1 : 0;
    }
    return count * STILL_LINES / (CHANCE_LINES - OWN_LINES);
  }
}
