package org.whinograph.speed;

import java.util.Arrays;
import java.util.List;
import org.apache.commons.math3.util.ArithmeticUtils;
import org.whinograph.signal.Quantile;

/**
 * Stretches in which a path is held by one fixed line alone. Where a line that never stops lies on
 * a multiple of the comb, the path may stay on it while the fan runs at another speed or rests: all
 * other multiples vanish there, though the spacing doesn't change. Or it leaps to one for as long.
 *
 * <p>All thresholds are a judgement.
 */
final class HeldStretches {
  /** Frames over which evidence is averaged, and fewest in a stretch. */
  private static final int WINDOW = 9;

  private static final int SHORTEST = 8;

  /** Mean evidence of the other multiples where the comb is there, at least [nat]. */
  private static final double LEAST_THERE = 2.5;

  /** Share of it that is left where it isn't, at most [1]. */
  private static final double MOST_LEFT = 0.35;

  /** Share of all frames in which the line is there, at least [1]. */
  private static final double LEAST_PRESENCE = 0.6;

  /** Share of a stretch in which a line that goes on elsewhere is clear, at least [1]. */
  private static final double LEAST_SEEN = 0.45;

  /** What is left of that elsewhere, at least [1]. */
  private static final double AS_OFTEN = 0.5;

  /** Standard deviations over chance from which on it is there. */
  private static final double CLEAR_DEVIATIONS = 5.0;

  /** Lines to either side that are its own, and among which chance is counted. */
  private static final double OWN_LINES = 2.0;

  private static final double CHANCE_LINES = 12.0;

  /** The same of the frames out of a run that is but a visit to it [1], and how still that is. */
  private static final double LEAST_ELSEWHERE = 0.5;

  private static final double MOST_MOTION = 0.004;

  /** A spacing that differs by less from a line is on it [lines of the windows]. */
  private static final double ON_HUM = 0.4;

  /** A refined spacing that differs by less is on a line of the hum [1]: mains vary by as much. */
  private static final double CAUGHT = 1e-3;

  /** It changes by less from frame to frame there, as no rotor's does for long [1]. */
  private static final double STILL = 2e-4;

  /** Frames in which a line of the hum and a fan may meet by chance. */
  private static final int MOST_MET = 16;

  /** A spacing that differs by more is elsewhere [1]. */
  private static final double ELSEWHERE = 0.01;

  /** Least share of frames in which a line of the hum is clear [1]: noise gives a twentieth. */
  private static final double LEAST_HUM = 0.25;

  /** Mean evidence of a multiple over a path from which on it counts [nat]. */
  private static final double LEAST_HARMONIC = 0.4;

  private static final float CLEAR_NATS = 2f;

  /** Evidence that noise gives near one multiple of a path in fewer than a hundredth of frames. */
  private static final float STRONG_NATS = 6f;

  /** Share of the frames of a visit in which another multiple is that strong, at least [1]. */
  private static final double LEAST_STRONG = 0.5;

  /** Share in which one of them is strong that is there [1]. */
  private static final double LEAST_OFTEN = 0.3;

  private static final float CAP_NATS = 10f;

  private final PeakList peaks;
  private final double lineHz;

  /**
   * Prepares.
   *
   * @param peaks peaks of a segment's long windows
   * @param lineHz line spacing of those windows [Hz]
   */
  HeldStretches(PeakList peaks, double lineHz) {
    this.peaks = peaks;
    this.lineHz = lineHz;
  }

  /**
   * Finds the frames in which a path is held by one line.
   *
   * @param path the path
   * @return frequency of the line by frame, NaN where there is none; null if there is none at all
   *     [Hz]
   */
  double[] in(CombPath path) {
    double[] result = null;
    double[] harmonics = path.harmonicEvidence();
    for (int m = 1; m <= harmonics.length; m++) {
      if (harmonics[m - 1] > LEAST_HARMONIC) {
        double[] others = others(path, m);
        result = others == null ? result : held(path, m, others, result);
      }
    }
    int from = 0;
    while (from < path.spacingHz().length) {
      int to = path.runEnd(from);
      // What most frames are on is the fan's, if anything is.
      if (to - from >= SHORTEST && 2 * (to - from) < path.framesOn()) {
        result = visited(path, from, to, result);
      }
      from = to;
    }
    return result;
  }

  /**
   * Whether a path would stay where it is without the lines that it visits, since in every visit
   * other multiples are strong, and not but those that make a wider comb: without the line at seven
   * times the spacing, lines at four and eight times are those of a comb four times as wide.
   *
   * @param path the path
   * @param visits the frames in which it is at a line, whose peaks have been taken out
   */
  boolean staysWithout(CombPath path, boolean[] visits) {
    int from = 0;
    while (from < visits.length) {
      int to = from;
      while (to < visits.length && visits[to]) {
        to++;
      }
      if (to > from && !stays(path, from, to)) {
        return false;
      }
      from = Math.max(from + 1, to);
    }
    return true;
  }

  private boolean stays(CombPath path, int from, int to) {
    int[] counts = new int[path.harmonicEvidence().length];
    int strong = 0;
    for (int t = from; t < to; t++) {
      boolean any = false;
      for (int m = 1; m <= counts.length; m++) {
        boolean here = evidence(t, m * path.spacingHz()[t]) > STRONG_NATS;
        counts[m - 1] += here ? 1 : 0;
        any |= here;
      }
      strong += any ? 1 : 0;
    }
    int divisor = 0;
    for (int m = 1; m <= counts.length; m++) {
      if (counts[m - 1] > LEAST_OFTEN * (to - from)) {
        divisor = ArithmeticUtils.gcd(divisor, m);
      }
    }
    return divisor <= 1 && strong >= LEAST_STRONG * (to - from);
  }

  /**
   * Finds the stretches in which a path lies on a comb that is the mains', while it is elsewhere
   * most of the time: where a fan rests, the hum may be all that is left.
   *
   * @param path the path
   * @param hums the mains, heard or not
   * @return spacing of the path by frame, NaN where it is not held; null if there is nothing [Hz]
   */
  double[] byHum(CombPath path, List<MainsHum> hums) {
    double[] result = null;
    for (MainsHum mains : hums) {
      for (int k = 1; k <= MainsHum.LOW_MULTIPLES; k++) {
        result = byHum(path, mains.hz(), k * mains.hz(), result);
      }
    }
    return result;
  }

  private double[] byHum(CombPath path, double mains, double hz, double[] before) {
    double[] result = before;
    double[] spacing = path.spacingHz();
    int from = 0;
    while (from < spacing.length) {
      int to = from;
      while (to < spacing.length && Math.abs(spacing[to] - hz) < ON_HUM * lineHz) {
        to++;
      }
      if (to - from >= SHORTEST
          && 2 * (to - from) < path.framesOn()
          && goesOn(mains, from, to, spacing.length)) {
        result = result == null ? unknown(spacing.length) : result;
        Arrays.fill(result, Math.max(0, from - 1), Math.min(spacing.length, to + 1), hz);
      }
      from = Math.max(from + 1, to);
    }
    return result;
  }

  /**
   * Hides the frames in which a line of the hum has caught a comb: its strongest multiple stays
   * there without a stir, though it is elsewhere at other times. A fan that comes near the line is
   * drawn to it, and its own line can't be told from it.
   *
   * @param comb the comb, changed
   * @param hum lines of the hum [Hz]
   */
  static void hideOnHum(Comb comb, List<Double> hum) {
    int multiple = strongest(comb.path().harmonicEvidence());
    double[] hz = comb.hz();
    for (double line : hum) {
      double spacing = line / multiple;
      long elsewhere =
          Arrays.stream(hz).filter(x -> Math.abs(x / spacing - 1.0) > ELSEWHERE).count();
      int from = 0;
      while (from < hz.length && elsewhere >= SHORTEST) {
        int to = from;
        while (to < hz.length
            && Math.abs(hz[to] / spacing - 1.0) < CAUGHT
            && (to == from || Math.abs(hz[to] / hz[to - 1] - 1.0) < STILL)) {
          to++;
        }
        if (to - from > MOST_MET) {
          Arrays.fill(hz, from, to, Double.NaN);
          Arrays.fill(comb.searched(), from, to, Double.NaN);
        }
        from = Math.max(from + 1, to);
      }
    }
  }

  private static int strongest(double[] evidence) {
    int strongest = 0;
    for (int m = 1; m < evidence.length; m++) {
      strongest = evidence[m] > evidence[strongest] ? m : strongest;
    }
    return strongest + 1;
  }

  /** Whether two multiples of a mains are heard out of a stretch too, taken out before or not. */
  private boolean goesOn(double mains, int from, int to, int frames) {
    int heard = 0;
    for (int k = 1; k <= MainsHum.LOW_MULTIPLES; k++) {
      int there = 0;
      for (int t = 0; t < frames; t++) {
        boolean outside = t < from || t >= to;
        there += outside && evidence(t, k * mains, true) > CLEAR_NATS ? 1 : 0;
      }
      heard += there > LEAST_HUM * (from + frames - to) ? 1 : 0;
    }
    return heard >= 2;
  }

  /**
   * Looks whether a run that the path leapt to and from again is nothing but a line that is there
   * while the path is elsewhere too.
   */
  private double[] visited(CombPath path, int from, int to, double[] before) {
    double[] spacing = path.spacingHz();
    double place = spacing[(from + to) / 2];
    double hz = Double.NaN;
    double most = LEAST_PRESENCE;
    for (int m = 1; m <= path.harmonicEvidence().length; m++) {
      double line = m * place;
      double here = presence(line, from, to);
      if (here > most && presenceElsewhere(line, path, place) < LEAST_ELSEWHERE) {
        // A line of its own.
        return before;
      }
      if (here > most) {
        most = here;
        hz = line;
      }
    }
    boolean still = Math.abs(spacing[from] - spacing[to - 1]) < MOST_MOTION * spacing[from];
    if (Double.isNaN(hz) || !still) {
      return before;
    }
    double[] result = before == null ? unknown(spacing.length) : before;
    Arrays.fill(result, from, to, hz);
    return result;
  }

  /**
   * Share of the frames in which a path is anywhere else in which a line is clear [1]; none if
   * those are too few to tell. Where the path is at the same place, it is the line that leads it.
   */
  private double presenceElsewhere(double hz, CombPath path, double placeHz) {
    double[] spacing = path.spacingHz();
    int frames = 0;
    int count = 0;
    for (int t = 0; t < spacing.length; t++) {
      if (!(Math.abs(spacing[t] / placeHz - 1.0) < ELSEWHERE)) {
        frames++;
        count += evidence(t, hz) > CLEAR_NATS ? 1 : 0;
      }
    }
    return frames >= SHORTEST ? (double) count / frames : 0.0;
  }

  private static double[] unknown(int frames) {
    double[] result = new double[frames];
    Arrays.fill(result, Double.NaN);
    return result;
  }

  /** Evidence of all multiples but one, averaged over some frames; null without any [nat]. */
  private double[] others(CombPath path, int except) {
    double[] spacing = path.spacingHz();
    double[] sums = new double[spacing.length];
    boolean any = false;
    for (int k = 1; k <= path.harmonicEvidence().length; k++) {
      if (k == except || !(path.harmonicEvidence()[k - 1] > LEAST_HARMONIC)) {
        continue;
      }
      any = true;
      for (int t = 0; t < sums.length; t++) {
        sums[t] += Double.isNaN(spacing[t]) ? 0.0 : evidence(t, k * spacing[t]);
      }
    }
    if (!any) {
      return null;
    }
    double[] result = new double[sums.length];
    for (int t = 0; t < sums.length; t++) {
      int from = Math.max(0, t - WINDOW / 2);
      int to = Math.min(sums.length, t + WINDOW / 2 + 1);
      double sum = 0.0;
      for (int i = from; i < to; i++) {
        sum += sums[i];
      }
      result[t] = sum / (to - from);
    }
    return result;
  }

  private double evidence(int frame, double hz) {
    return evidence(frame, hz, false);
  }

  private double evidence(int frame, double hz, boolean all) {
    float greatest = 0f;
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - lineHz); p < end; p++) {
      if (peaks.frequencyHz(p) > hz + lineHz) {
        break;
      }
      float nats = all ? peaks.heard(p) : peaks.evidence(p);
      greatest = Math.max(greatest, Math.min(CAP_NATS, nats));
    }
    return greatest;
  }

  private double[] held(CombPath path, int m, double[] others, double[] before) {
    double[] result = before;
    double[] spacing = path.spacingHz();
    double usual = usual(others, 0, others.length);
    int start = 0;
    while (start < spacing.length) {
      int end = path.runEnd(start);
      // Another run may be faster, where fewer multiples are heard.
      double there = Math.max(usual, usual(others, start, end));
      if (there >= LEAST_THERE) {
        result = held(path, m, others, MOST_LEFT * there, start, end, result);
      }
      start = end;
    }
    return result;
  }

  /** Evidence that most frames of a comb don't exceed [nat]. */
  private static double usual(double[] evidence, int from, int to) {
    double[] some = Arrays.copyOfRange(evidence, from, to);
    return Quantile.ranked(some, some.length, some.length * 4 / 5);
  }

  private double[] held(
      CombPath path, int m, double[] others, double most, int start, int end, double[] before) {
    double[] result = before;
    double[] spacing = path.spacingHz();
    int from = start;
    while (from < end) {
      int to = from;
      double hz = m * spacing[from];
      while (to < end && others[to] < most && Math.abs(m * spacing[to] - hz) < lineHz) {
        to++;
      }
      if (to - from >= SHORTEST && goesOn(path, hz, from, to)) {
        result = result == null ? unknown(spacing.length) : result;
        // Averages reach beyond the end of what they average.
        int first = Math.max(0, from - WINDOW / 2);
        int last = Math.min(spacing.length, to + WINDOW / 2);
        Arrays.fill(result, first, last, hz);
      }
      from = Math.max(from + 1, to);
    }
    return result;
  }

  /**
   * Whether a line that holds a path is there in most frames of all, or as often as in the stretch
   * where the comb is elsewhere, and more often than chance has it.
   */
  private boolean goesOn(CombPath path, double hz, int from, int to) {
    double here = presence(hz, from, to);
    if (here > LEAST_PRESENCE && presence(hz, 0, peaks.frames()) > LEAST_PRESENCE) {
      return true;
    }
    if (here < LEAST_SEEN) {
      return false;
    }
    double place = place(hz, from, to);
    int frames = 0;
    int present = 0;
    int beside = 0;
    for (int t = 0; t < peaks.frames(); t++) {
      if ((t < from || t >= to) && isApart(path.spacingHz()[t], hz)) {
        frames++;
        present += count(t, place, 0.0, ON_HUM) > 0 ? 1 : 0;
        beside += count(t, place, OWN_LINES, CHANCE_LINES);
      }
    }
    double chance = beside * ON_HUM / (CHANCE_LINES - OWN_LINES);
    return frames >= SHORTEST
        && present > AS_OFTEN * here * frames
        && present > chance + CLEAR_DEVIATIONS * Math.sqrt(chance + 1.0);
  }

  /**
   * Those of some lines that go on while a path is elsewhere, taken out or not.
   *
   * @param path the path
   * @param lines the lines [Hz]
   */
  List<Double> goingOn(CombPath path, List<Double> lines) {
    return lines.stream().filter(hz -> goesOnBeside(path, hz)).toList();
  }

  private boolean goesOnBeside(CombPath path, double hz) {
    int frames = 0;
    int present = 0;
    for (int t = 0; t < peaks.frames(); t++) {
      double spacing = path.spacingHz()[t];
      if (!Double.isNaN(spacing) && isApart(spacing, hz)) {
        frames++;
        present += evidence(t, hz, true) > CLEAR_NATS ? 1 : 0;
      }
    }
    return frames >= SHORTEST && present > LEAST_PRESENCE * frames;
  }

  /** Whether a comb has no multiple near a line. */
  private boolean isApart(double spacing, double hz) {
    double off = hz - spacing * Math.max(1.0, Math.rint(hz / spacing));
    return !(Math.abs(off) < OWN_LINES * lineHz);
  }

  /** Clear peaks of a frame between two distances from a frequency [lines]. */
  private int count(int frame, double hz, double nearest, double furthest) {
    int count = 0;
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - furthest * lineHz); p < end; p++) {
      double off = Math.abs(peaks.frequencyHz(p) - hz);
      if (peaks.frequencyHz(p) > hz + furthest * lineHz) {
        break;
      }
      count += off >= nearest * lineHz && peaks.evidence(p) > CLEAR_NATS ? 1 : 0;
    }
    return count;
  }

  /** Mean frequency of the clear peaks near a frequency [Hz]. */
  private double place(double hz, int from, int to) {
    double sum = 0.0;
    int count = 0;
    for (int t = from; t < to; t++) {
      int end = peaks.start(t + 1);
      for (int p = peaks.firstFrom(t, hz - lineHz); p < end; p++) {
        if (peaks.frequencyHz(p) > hz + lineHz) {
          break;
        }
        if (peaks.evidence(p) > CLEAR_NATS) {
          sum += peaks.frequencyHz(p);
          count++;
        }
      }
    }
    return count == 0 ? hz : sum / count;
  }

  /** Share of some frames in which a line is clear [1]. */
  private double presence(double hz, int from, int to) {
    int count = 0;
    for (int t = from; t < to; t++) {
      count += evidence(t, hz) > CLEAR_NATS ? 1 : 0;
    }
    return to > from ? (double) count / (to - from) : 0.0;
  }
}
