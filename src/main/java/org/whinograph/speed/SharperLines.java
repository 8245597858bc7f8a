package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import org.whinograph.signal.Quantile;

/**
 * Lines of the same shaft that tell its speed more sharply than the comb that was found. Imbalance
 * once and twice a turn may be as loud as blade-pass and make the better comb; but a line at many
 * times the shaft's frequency tells the speed so many times better, and only a path as sharp as
 * that stacks high orders without smearing them.
 *
 * <p>A line is the same shaft's if it moves as the comb does, or, as long as neither moves, if it
 * stands on a multiple of half the spacing as exactly as hardly any other line would.
 *
 * <p>All thresholds are a judgement. Not safe for use by several threads.
 */
final class SharperLines {
  /** Cells of a ratio's logarithm: 0.1 % each. */
  private static final double CELL = 0.001;

  /** Width of a line [cells]. */
  private static final int LINE_CELLS = 5;

  /** The comb's own multiples are read with it already [1]. */
  private static final double LEAST_RATIO = 8.5;

  /** Evidence in a frame is worth no more than this [nat]: a line must be there in most. */
  private static final float CAP_NATS = 8f;

  /** Mean evidence of a line worth trying [nat]. */
  private static final double LEAST_NATS = 2.5;

  private static final int MOST_LINES = 4;

  private static final double MOST_MULTIPLE = 4.5;

  /** Standard deviations by which a common motion must stand out. */
  private static final double CLEAR = 5.0;

  /** Share of a line's motion that the comb must show, and the greatest [1]. */
  private static final double LEAST_SHARE = 0.4;

  private static final double MOST_SHARE = 1.6;

  /** A ratio known to this, in multiples of half the spacing, tells a multiple from chance [1]. */
  private static final double EXACT = 0.02;

  private static final double NEAR_DEVIATIONS = 2.5;

  /** The same for a line that stands still, as electronic ones do too [1]. */
  private static final double EXACT_AT_REST = 0.01;

  private static final int FEWEST_FRAMES = 24;

  /**
   * Share of the comb's frames in which the line is heard, at least [1]: a fixed line is as long as
   * the comb passes it.
   */
  private static final double LEAST_PRESENCE = 0.7;

  /** Greatest deviation of a sharper line over the comb's [1]. */
  private static final double MOST_DEVIATION = 0.8;

  /**
   * A line that the comb's error smears by less is sharp in the stack without following it [Hz].
   */
  private static final double LEAST_SMEAR_HZ = 0.15;

  /** Widths to which a line is smoothed to be as slow as the comb [frames]. */
  private static final double[] WIDTHS = {0.8, 1.6, 3.2};

  /** Least leap [1], and by how much it must be greater than the changes beside it. */
  private static final double LEAST_LEAP = 0.01;

  private static final double LEAP_FACTOR = 3.0;

  /** What a line is to a comb. */
  enum Verdict {
    /** Nothing says that it is the same shaft's. */
    NOT_THE_SHAFTS,
    /** The comb follows it sharply enough, or it tells no more. */
    NEEDLESS,
    /** It is to be followed instead: it is sharper, and the comb would smear it. */
    SHARPER
  }

  private final PeakList peaks;
  private final double lineHz;
  private final double highestHz;

  /**
   * Prepares.
   *
   * @param peaks peaks of a segment's long windows
   * @param lineHz line spacing of those windows [Hz]
   * @param highestHz highest frequency of a line [Hz]
   */
  SharperLines(PeakList peaks, double lineHz, double highestHz) {
    this.peaks = peaks;
    this.lineHz = lineHz;
    this.highestHz = highestHz;
  }

  /**
   * Ratios to a comb's spacing at which clear lines go along with it, beyond the comb's first eight
   * multiples, the most telling first.
   *
   * @param hz spacing of the comb in each frame [Hz], NaN where unknown
   * @param standing lines that stand still and aren't the comb's [Hz]
   */
  List<Double> ratios(double[] hz, List<Double> standing) {
    int lowest = cell(LEAST_RATIO);
    // A path that was refined may lie below the lowest spacing that was searched.
    double least = Arrays.stream(hz).filter(v -> !Double.isNaN(v)).min().orElse(highestHz);
    double[] sums = new double[Math.max(1, cell(highestHz / least) + 2 - lowest)];
    int frames = 0;
    for (int t = 0; t < Math.min(hz.length, peaks.frames()); t++) {
      if (Double.isNaN(hz[t])) {
        continue;
      }
      frames++;
      add(t, hz[t], standing, sums, lowest);
    }
    List<double[]> lines = new ArrayList<>();
    double[] around = around(sums);
    for (int k = 0; k < sums.length; k++) {
      if (around[k] > LEAST_NATS * frames && isGreatest(around, k)) {
        lines.add(new double[] {Math.exp((middle(sums, k) + lowest + 0.5) * CELL), around[k]});
      }
    }
    return lines.stream()
        .sorted(
            Comparator.comparingDouble((double[] line) -> information(line[0], lines)).reversed())
        .limit(MOST_LINES)
        .map(line -> line[0])
        .toList();
  }

  /** Adds the evidence of a frame's lines to the cells of their ratios, from the lowest on. */
  private void add(int frame, double hz, List<Double> standing, double[] sums, int lowest) {
    for (int p = peaks.firstFrom(frame, LEAST_RATIO * hz); p < peaks.start(frame + 1); p++) {
      double ratio = peaks.frequencyHz(p) / hz;
      if (peaks.heard(p) > 0f && !stands(peaks.frequencyHz(p), standing)) {
        sums[cell(ratio) - lowest] += Math.min(CAP_NATS, peaks.heard(p));
      }
    }
  }

  /** What a line and its multiples tell of the speed: evidence times squared frequency. */
  private static double information(double ratio, List<double[]> lines) {
    double sum = 0.0;
    for (double[] line : lines) {
      double m = line[0] / ratio;
      boolean fits = Math.abs(m / Math.max(1.0, Math.rint(m)) - 1.0) < 3.0 * CELL;
      sum += fits && m < MOST_MULTIPLE ? line[1] * line[0] * line[0] : 0.0;
    }
    return sum;
  }

  private static int cell(double ratio) {
    return (int) Math.floor(Math.log(ratio) / CELL);
  }

  private boolean stands(double hz, List<Double> standing) {
    for (double line : standing) {
      if (Math.abs(line - hz) < lineHz) {
        return true;
      }
    }
    return false;
  }

  /** Sums over a line's width. */
  private static double[] around(double[] sums) {
    double[] result = new double[sums.length];
    for (int k = 0; k < sums.length; k++) {
      for (int i = first(k); i <= last(sums, k); i++) {
        result[k] += sums[i];
      }
    }
    return result;
  }

  /** Whether none nearby is greater, nor as great and lower. */
  private static boolean isGreatest(double[] around, int k) {
    for (int i = Math.max(0, k - LINE_CELLS);
        i <= Math.min(around.length - 1, k + LINE_CELLS);
        i++) {
      if (i < k ? around[i] >= around[k] : around[i] > around[k]) {
        return false;
      }
    }
    return true;
  }

  /** Where the middle of a line lies [cells]. */
  private static double middle(double[] sums, int k) {
    double sum = 0.0;
    double moment = 0.0;
    for (int i = first(k); i <= last(sums, k); i++) {
      sum += sums[i];
      moment += i * sums[i];
    }
    return moment / sum;
  }

  private static int first(int k) {
    return Math.max(0, k - LINE_CELLS / 2);
  }

  private static int last(double[] sums, int k) {
    return Math.min(sums.length - 1, k + LINE_CELLS / 2);
  }

  /**
   * Judges a line beside a comb.
   *
   * @param combHz spacing of the comb in each frame [Hz], NaN where unknown
   * @param combDeviation its relative standard deviation [1]
   * @param lineHz frequency of the line [Hz], NaN where unknown
   * @param lineDeviation its relative standard deviation [1]
   * @param wanders whether the line moves more than noise makes it
   */
  static Verdict judge(
      double[] combHz,
      double[] combDeviation,
      double[] lineHz,
      double[] lineDeviation,
      boolean wanders) {
    int n = 0;
    int combFrames = 0;
    double[] comb = new double[combHz.length];
    double[] line = new double[combHz.length];
    double[] combDeviations = new double[combHz.length];
    double[] lineDeviations = new double[combHz.length];
    for (int i = 0; i < combHz.length; i++) {
      combFrames += Double.isNaN(combHz[i]) ? 0 : 1;
      if (!Double.isNaN(combHz[i]) && !Double.isNaN(lineHz[i])) {
        combDeviations[n] = combDeviation[i];
        lineDeviations[n] = lineDeviation[i];
        comb[n] = Math.log(combHz[i]);
        line[n++] = Math.log(lineHz[i]);
      }
    }
    if (n < Math.max(FEWEST_FRAMES, LEAST_PRESENCE * combFrames)) {
      return Verdict.NOT_THE_SHAFTS;
    }
    comb = Arrays.copyOf(comb, n);
    line = Arrays.copyOf(line, n);
    double typical = Quantile.median(combDeviations, n);
    double smearHz = typical * Math.exp(Arrays.stream(line).sum() / n);
    boolean sharper =
        smearHz > LEAST_SMEAR_HZ && Quantile.median(lineDeviations, n) < MOST_DEVIATION * typical;
    double[] even = new double[n];
    Arrays.fill(even, 1.0);
    for (double width : WIDTHS) {
      // The comb is as slow as the windows it was read in.
      if (goesAlong(comb, LocalLines.smoothed(line, even, width), 2.5 * width, wanders)) {
        return sharper ? Verdict.SHARPER : Verdict.NEEDLESS;
      }
    }
    return Verdict.NOT_THE_SHAFTS;
  }

  /**
   * Number of leaps in the frequency of a line: changes from a frame to the next beside which those
   * before and after are small. The comb's own stairs, of windows too long for its low frequency,
   * are none of the shaft's.
   *
   * @param hz frequency of the line in each frame [Hz], NaN where unknown
   */
  static int leaps(double[] hz) {
    int count = 0;
    for (int i = 2; i + 1 < hz.length; i++) {
      double step = Math.abs(Math.log(hz[i] / hz[i - 1]));
      double before = Math.abs(Math.log(hz[i - 1] / hz[i - 2]));
      double after = Math.abs(Math.log(hz[i + 1] / hz[i]));
      count += step > LEAST_LEAP + LEAP_FACTOR * Math.max(before, after) ? 1 : 0;
    }
    return count;
  }

  /** Whether a comb goes along with a line of which so many frames hang together [ln Hz]. */
  private static boolean goesAlong(
      double[] comb, double[] line, double framesApart, boolean wanders) {
    int n = comb.length;
    double meanComb = Arrays.stream(comb).sum() / n;
    double meanLine = Arrays.stream(line).sum() / n;
    double cross = 0.0;
    double motion = 0.0;
    for (int i = 0; i < n; i++) {
      cross += (comb[i] - meanComb) * (line[i] - meanLine);
      motion += (line[i] - meanLine) * (line[i] - meanLine);
    }
    double share = cross / motion;
    double left = 0.0;
    double apart = 0.0;
    for (int i = 0; i < n; i++) {
      double off = comb[i] - meanComb - (line[i] - meanLine);
      apart += off * off;
      off = comb[i] - meanComb - share * (line[i] - meanLine);
      left += off * off;
    }
    double independent = n / framesApart;
    double deviation = Math.sqrt(left / motion / independent);
    if (share > LEAST_SHARE && share < MOST_SHARE && share > CLEAR * deviation) {
      return true;
    }
    double halves = 2.0 * Math.exp(meanLine - meanComb);
    double uncertain = halves * Math.sqrt(apart / n / independent);
    double off = Math.abs(halves - Math.rint(halves));
    return wanders
        ? uncertain < EXACT && off < Math.max(EXACT_AT_REST, NEAR_DEVIATIONS * uncertain)
        : uncertain < EXACT_AT_REST && off < EXACT_AT_REST;
  }
}
