package org.whinograph.speed;

import java.util.Arrays;

/**
 * Whether the lines that a comb is made of are one shaft's. A fixed line that lies close to a
 * multiple of a fan's is taken for its harmonic by the search, which then goes to and fro between
 * the two. But lines of one shaft move as one and are in tune.
 *
 * <p>All thresholds are a judgement. Immutable.
 */
final class TunedLines {
  /** Evidence of a peak that noise rarely gives [nat]. */
  private static final float CLEAR_NATS = 2f;

  /** Mean evidence of a harmonic that is clear in most frames, at least [nat]. */
  private static final double LEAST_HARMONIC = 2.5;

  private static final float CAP_NATS = 10f;

  /** How far from a multiple of the spacing its line may lie, as in the search [lines], [1]. */
  private static final double REACH_LINES = 0.4;

  private static final double REACH = 0.004;

  /** Fewest frames in which both lines are clear; frames overlap by half. */
  private static final int FEWEST_FRAMES = 12;

  private static final double INDEPENDENT = 0.5;

  /** Least usual motion of a line that shows [lines of the windows]. */
  private static final double LEAST_MOTION = 0.3;

  /** Share of another line's motion from which on a line goes along [1], and the doubt in it. */
  private static final double LEAST_SHARE = 0.35;

  private static final double DEVIATIONS = 3.0;

  /** Greatest motion of a line that stands still [lines of the windows]. */
  private static final double STILL = 0.35;

  /** How far from its place a harmonic of a still line may lie [lines of the windows]. */
  private static final double TUNED_LINES = 0.75;

  /** Share of a path's frames in which its strongest line is clear, at least [1]. */
  private static final double LEAST_PRESENCE = 0.6;

  /** How far a path about a still line goes to and fro, at least [1]. */
  private static final double SWAY = 0.002;

  /** Frames for which a path may leave a line that goes on, and share of them in which it does. */
  private static final int MOST_AWAY = 12;

  private static final double LEAST_GOING_ON = 0.4;

  private final PeakList peaks;
  private final double lineHz;

  /**
   * Prepares.
   *
   * @param peaks peaks of a segment's long windows
   * @param lineHz line spacing of those windows [Hz]
   */
  TunedLines(PeakList peaks, double lineHz) {
    this.peaks = peaks;
    this.lineHz = lineHz;
  }

  /**
   * Finds a line that a path rests on and that isn't the shaft's.
   *
   * @param path the path
   * @return frequency of the line [Hz], NaN if all are one shaft's
   */
  double foreign(CombPath path) {
    double[] evidence = path.harmonicEvidence();
    double[][] places = new double[evidence.length][];
    for (int m = 1; m <= evidence.length; m++) {
      if (evidence[m - 1] > LEAST_HARMONIC) {
        places[m - 1] = places(path.spacingHz(), m);
      }
    }
    for (int m = 1; m <= places.length; m++) {
      for (int k = 1; k <= places.length; k++) {
        if (m != k && places[m - 1] != null && places[k - 1] != null) {
          Pair pair = new Pair(places[m - 1], places[k - 1], (double) m / k);
          if (pair.count >= FEWEST_FRAMES && staysBehind(pair)) {
            return pair.mean;
          }
        }
      }
    }
    return Double.NaN;
  }

  /**
   * Puts a path of one clear line that stands still on that line. The search may sway about it, or
   * leave it for a few frames, drawn by lines that don't belong to it. What is out of tune with it
   * says nothing for it any more.
   *
   * @param path the path
   * @return the same, or with the evidence of what is in tune with its line
   */
  CombPath settled(CombPath path) {
    double[] evidence = path.harmonicEvidence();
    int m = 1;
    for (int k = 2; k <= evidence.length; k++) {
      m = evidence[k - 1] > evidence[m - 1] ? k : m;
    }
    long clear = Arrays.stream(evidence).filter(nats -> nats > LEAST_HARMONIC).count();
    // Two clear lines know better than one how the shaft moves.
    if (clear != 1 || path.framesOn() < FEWEST_FRAMES) {
      return path;
    }
    double[] places = places(path.spacingHz(), m);
    Pair pair = new Pair(places, places, 1.0);
    double wide = Math.sqrt(pair.squares / pair.count);
    double settledHz = pair.mean / m;
    if (pair.count < LEAST_PRESENCE * path.framesOn()
        || wide > STILL * lineHz
        || !staysOn(path, m, pair)) {
      return path;
    }
    double[] spacing = path.spacingHz().clone();
    boolean[] joined = path.joined().clone();
    boolean sways = sways(spacing, settledHz);
    for (int t = 0; t < spacing.length && sways; t++) {
      joined[t] |= t > 0 && !Double.isNaN(spacing[t - 1] + spacing[t]);
      spacing[t] = Double.isNaN(spacing[t]) ? Double.NaN : settledHz;
    }
    double[] own = new double[evidence.length];
    for (int k = 1; k <= own.length; k++) {
      double reach = TUNED_LINES * lineHz + wide * k / m;
      for (int t = 0; t < spacing.length; t++) {
        own[k - 1] += Double.isNaN(spacing[t]) ? 0.0 : nats(t, k * settledHz, reach);
      }
      own[k - 1] /= path.framesOn();
    }
    return new CombPath(spacing, joined, path.confidence(), path.score(), own, path.changes());
  }

  /** Whether a path goes to and fro about a spacing. */
  private static boolean sways(double[] spacing, double hz) {
    double sum = 0.0;
    int count = 0;
    for (double each : spacing) {
      if (!Double.isNaN(each)) {
        sum += Math.pow(each / hz - 1.0, 2);
        count++;
      }
    }
    return Math.sqrt(sum / count) > SWAY;
  }

  /** Whether a path leaves its line for a few frames at most, and the line is there meanwhile. */
  private boolean staysOn(CombPath path, int m, Pair pair) {
    double reach = REACH_LINES * lineHz + REACH * pair.mean;
    int away = 0;
    int present = 0;
    for (double spacing : path.spacingHz()) {
      away += Math.abs(m * spacing - pair.mean) > reach ? 1 : 0;
    }
    for (int t = 0; t < path.spacingHz().length; t++) {
      boolean here = Math.abs(m * path.spacingHz()[t] - pair.mean) > reach;
      present += here && nats(t, pair.mean, STILL * lineHz) > CLEAR_NATS ? 1 : 0;
    }
    double usual = (double) pair.count / (path.framesOn() - away);
    return away <= MOST_AWAY && present >= LEAST_GOING_ON * usual * away;
  }

  private double nats(int frame, double hz, double reachHz) {
    float most = 0f;
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - reachHz); p < end; p++) {
      if (peaks.frequencyHz(p) > hz + reachHz) {
        break;
      }
      most = Math.max(most, Math.min(CAP_NATS, peaks.evidence(p)));
    }
    return most;
  }

  /** Whether a line stands still while the other moves. */
  private boolean staysBehind(Pair pair) {
    double share = pair.cross / pair.otherSquares;
    double left = Math.max(0.0, pair.squares - share * pair.cross);
    double deviation = Math.sqrt(left / pair.otherSquares / (INDEPENDENT * pair.count));
    return pair.usualOff > LEAST_MOTION * lineHz
        && Math.sqrt(pair.squares / pair.count) < STILL * lineHz
        && share + DEVIATIONS * deviation < LEAST_SHARE;
  }

  /** Where the line at a multiple of the spacing is clear, by frame [Hz]; NaN where it isn't. */
  private double[] places(double[] spacing, int m) {
    double[] result = new double[spacing.length];
    for (int t = 0; t < result.length; t++) {
      result[t] = Double.isNaN(spacing[t]) ? Double.NaN : place(t, m * spacing[t]);
    }
    return result;
  }

  private double place(int frame, double hz) {
    double reach = REACH_LINES * lineHz + REACH * hz;
    double result = Double.NaN;
    float most = CLEAR_NATS;
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - reach); p < end; p++) {
      if (peaks.frequencyHz(p) > hz + reach) {
        break;
      }
      if (peaks.evidence(p) > most) {
        most = peaks.evidence(p);
        result = peaks.frequencyHz(p);
      }
    }
    return result;
  }

  /** Two lines where both are clear, the other one at the place of the first by their multiples. */
  private static final class Pair {
    private int count;
    private double mean;
    private double otherMean;
    private double squares;
    private double otherSquares;
    private double cross;

    /** Median distance of the other line from its median. */
    private double usualOff;

    Pair(double[] line, double[] other, double ratio) {
      for (int t = 0; t < line.length; t++) {
        if (!Double.isNaN(line[t] + other[t])) {
          count++;
          mean += line[t];
          otherMean += ratio * other[t];
        }
      }
      usualOff = usualOff(line, other, ratio);
      mean /= count;
      otherMean /= count;
      for (int t = 0; t < line.length; t++) {
        if (!Double.isNaN(line[t] + other[t])) {
          double x = ratio * other[t] - otherMean;
          double y = line[t] - mean;
          squares += y * y;
          otherSquares += x * x;
          cross += x * y;
        }
      }
    }

    private double usualOff(double[] line, double[] other, double ratio) {
      double[] sorted = new double[count];
      int n = 0;
      for (int t = 0; t < line.length; t++) {
        if (!Double.isNaN(line[t] + other[t])) {
          sorted[n++] = ratio * other[t];
        }
      }
      Arrays.sort(sorted);
      double median = n == 0 ? 0.0 : sorted[n / 2];
      for (int i = 0; i < n; i++) {
        sorted[i] = Math.abs(sorted[i] - median);
      }
      Arrays.sort(sorted);
      return n == 0 ? 0.0 : sorted[n / 2];
    }
  }
}
