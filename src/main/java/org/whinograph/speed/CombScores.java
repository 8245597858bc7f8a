package org.whinograph.speed;

import java.util.Arrays;
import java.util.stream.IntStream;

/**
 * How well a comb of each spacing fits a frame. The evidence of harmonics adds up on a grid of
 * spacings that is even in the logarithm, where harmonic m stands a fixed number of cells away.
 *
 * <p>Each frame is judged through two windows at once, since a line that moves by more than the
 * reciprocal of the window smears: one of half a second, and four short ones of an eighth whose
 * evidence is summed along every plausible slope; the better counts. One line alone may not outvote
 * a comb: the evidence of a line in a frame is capped.
 *
 * <p>Nothing is allocated per frame. Not safe for use by several threads.
 */
final class CombScores {
  /** Least half width of a line [cells]. */
  private static final double NARROWEST = 0.75;

  private static final double LOWEST_OCTAVE = CombSearch.log2(CombSearch.LOWEST_HZ);

  /**
   * Frames overlap by half through a Hann window: what they tell is worth 3/4 of independent ones.
   */
  private static final double OVERLAP_WORTH = 0.75;

  /**
   * How probable it is that harmonic m of a fan's comb is there (judgement: blade-pass is nearly
   * always heard, its multiples ever less).
   */
  private static final double[] PRESENCE = {0.9, 0.65, 0.5, 0.4, 0.3, 0.25, 0.2, 0.2};

  /**
   * A line that is missing is missing in every frame: its absence is no new evidence each time.
   * With this weight noise alone favours neither state.
   */
  private static final float ABSENCE_WORTH = 0.3f;

  /** What a line in a long window is worth at most [nat] (judgement). */
  static final float LONG_CAP = 10f;

  /** The same in a short window. */
  private static final float SHORT_CAP = 2.5f;

  /** A peak that tells less than this is as good as none [nat], in a long window and a short. */
  private static final float LONG_ABSENT = -1f;

  private static final float SHORT_ABSENT = -0.3f;

  /**
   * Steepest slope [cells a short window]: a third of the spacing in a second, as of a fan that
   * goes through 900 1/min at 300 1/min each second.
   */
  private static final int STEEPEST = 8;

  /** What the choice among slopes costs, ln 17, and that of the window. */
  private static final float SHORT_PENALTY = 3.1f;

  /** What is less likely by so much than the best counts as impossible [nat]. */
  private static final int FORGOTTEN = 25;

  private static final int FALLEN_STEPS = 256;

  /**
   * How much less what is below the best counts, by 1/256 nat; straight between, it errs by 2·10⁻⁶.
   * Exponentials take several times as long.
   */
  private static final float[] FALLEN = fallen();

  private static final int[][] OFFSETS = offsets();

  /**
   * Cells worked on at a time: a dozen such stretches fit into the nearest cache. No power of two,
   * since stretches would come to lie 4 kB apart, where a processor takes one for the other.
   */
  private static final int STRETCH = 320;

  private final int cells;
  private final int[] shift = new int[PRESENCE.length];
  private final float[] lines;
  private final int[] touched;
  private final float[] longNothing;
  private final float[] shortNothing;
  private final float[] longGains = gains(1f, ABSENCE_WORTH);
  private final float[] shortGains = gains(0.25f, 0.25f * ABSENCE_WORTH);
  private final float[] longScore;
  private final float[][] subScore;
  private final float[][] shifted = new float[4][STRETCH];
  private final float[] greatest = new float[STRETCH];

  /**
   * What the short windows give in each cell along the best slope, before what the choice costs.
   */
  private final float[] steepest;

  private final double longHalfWidthHz;
  private final double shortHalfWidthHz;
  private final int lowestShortCell;

  /**
   * Lays out the grid.
   *
   * @param cells cells of the grid of spacings
   * @param longHalfWidthHz half width of a line through the long window [Hz]
   * @param shortHalfWidthHz half width of a line through a short window [Hz]
   * @param lowestShortCell cell of the lowest spacing that the short windows tell
   */
  CombScores(int cells, double longHalfWidthHz, double shortHalfWidthHz, int lowestShortCell) {
    this.cells = cells;
    this.longHalfWidthHz = longHalfWidthHz;
    this.shortHalfWidthHz = shortHalfWidthHz;
    this.lowestShortCell = lowestShortCell;
    for (int m = 0; m < PRESENCE.length; m++) {
      shift[m] = (int) Math.round(CombSearch.CELLS_PER_OCTAVE * CombSearch.log2(m + 1.0));
    }
    this.lines = new float[cells];
    Arrays.fill(lines, Float.NEGATIVE_INFINITY);
    this.touched = new int[cells];
    this.longNothing = nothing(ABSENCE_WORTH);
    this.shortNothing = nothing(0.25f * ABSENCE_WORTH);
    this.longScore = new float[cells];
    this.subScore = new float[4][cells];
    this.steepest = new float[cells];
    Arrays.fill(steepest, Float.NEGATIVE_INFINITY);
  }

  /** How many harmonics of a comb are looked for. */
  static int harmonics() {
    return PRESENCE.length;
  }

  /** How probable it is that a blade-pass harmonic, counted from 1, is there. */
  static double presence(int harmonic) {
    return PRESENCE[Math.min(PRESENCE.length, harmonic) - 1];
  }

  /** Ratios above 1 of two of the harmonics that the search knows [1, each once]. */
  static double[] lineRatios() {
    return IntStream.rangeClosed(2, PRESENCE.length)
        .boxed()
        .flatMapToDouble(p -> IntStream.range(1, p).mapToDouble(q -> (double) p / q))
        .distinct()
        .toArray();
  }

  /** Score of each cell where no line is heard at all. */
  private float[] nothing(float absenceWorth) {
    float[] result = new float[cells];
    for (int m = 0; m < PRESENCE.length; m++) {
      for (int c = 0; c < cells - shift[m]; c++) {
        result[c] += missing(m, absenceWorth);
      }
    }
    return result;
  }

  /** What a harmonic that is heard is worth beside one that isn't, less the evidence itself. */
  private static float[] gains(float worth, float absenceWorth) {
    float[] result = new float[PRESENCE.length];
    for (int m = 0; m < result.length; m++) {
      result[m] = worth * (float) Math.log(PRESENCE[m]) - missing(m, absenceWorth);
    }
    return result;
  }

  private static float missing(int m, float absenceWorth) {
    return absenceWorth * (float) Math.log(1.0 - PRESENCE[m]);
  }

  /**
   * Judges a frame.
   *
   * @param longPeaks peaks of the long windows, one frame each
   * @param shortPeaks peaks of the short windows, four frames to one
   * @param frame the frame
   * @param likelihood where the likelihood of a comb in each cell goes, over the greatest [1]
   * @return the likelihood of no comb, over the same [1]
   */
  double judge(PeakList longPeaks, PeakList shortPeaks, int frame, float[] likelihood) {
    score(longPeaks, shortPeaks, frame);
    return emit(likelihood);
  }

  /** Sums the evidence of one frame into {@link #longScore}, the better of both windows. */
  private void score(PeakList longPeaks, PeakList shortPeaks, int frame) {
    int count = scatter(longPeaks, frame, longHalfWidthHz, LONG_CAP, LONG_ABSENT);
    comb(count, longGains, longNothing, longScore);
    for (int s = 0; s < 4; s++) {
      count = scatter(shortPeaks, 4 * frame + s, shortHalfWidthHz, SHORT_CAP, SHORT_ABSENT);
      comb(count, shortGains, shortNothing, subScore[s]);
    }
    int margin = (3 * STEEPEST + 1) / 2 + 1;
    for (int from = Math.max(margin, lowestShortCell); from < cells - margin; from += STRETCH) {
      findSteepest(from, Math.min(STRETCH, cells - margin - from));
    }
    takeGreater(steepest, longScore, cells);
  }

  /**
   * Sums the short windows of a stretch along each slope and keeps the greatest. Each window's
   * scores are copied to the same place first: only then does the compiler make vector instructions
   * of the loop.
   */
  private void findSteepest(int from, int length) {
    Arrays.fill(greatest, Float.NEGATIVE_INFINITY);
    for (int slope = -STEEPEST; slope <= STEEPEST; slope++) {
      for (int s = 0; s < 4; s++) {
        // Windows in the middle lie the same for two slopes.
        if (slope == -STEEPEST || offset(slope, s) != offset(slope - 1, s)) {
          System.arraycopy(subScore[s], from + offset(slope, s), shifted[s], 0, length);
        }
      }
      keepGreater(shifted[0], shifted[1], shifted[2], shifted[3], greatest, length);
    }
    System.arraycopy(greatest, 0, steepest, from, length);
  }

  private static void keepGreater(
      float[] a, float[] b, float[] c, float[] d, float[] greatest, int length) {
    for (int i = 0; i < length; i++) {
      greatest[i] = Math.max(greatest[i], a[i] + b[i] + c[i] + d[i]);
    }
  }

  /** Cells that a comb of a slope has moved by at a short window. */
  private static int offset(int slope, int window) {
    return OFFSETS[slope + STEEPEST][window];
  }

  private static int[][] offsets() {
    int[][] result = new int[2 * STEEPEST + 1][4];
    for (int slope = -STEEPEST; slope <= STEEPEST; slope++) {
      for (int window = 0; window < 4; window++) {
        result[slope + STEEPEST][window] = Math.round(slope * (window - 1.5f));
      }
    }
    return result;
  }

  /** Takes the short windows' score where it is the better one. */
  private static void takeGreater(float[] sums, float[] score, int length) {
    for (int i = 0; i < length; i++) {
      score[i] = Math.max(score[i], sums[i] - SHORT_PENALTY);
    }
  }

  /** Likelihoods of the frame in each cell, over the greatest; that of no comb is returned. */
  private double emit(float[] likelihood) {
    float greatest = 0f;
    for (float s : longScore) {
      // A comparison: Math.max would wait for the one before each time.
      greatest = s > greatest ? s : greatest;
    }
    fall(longScore, greatest, likelihood, cells);
    return Math.exp(-OVERLAP_WORTH * greatest);
  }

  /** How likely each score is over the greatest one. */
  private static void fall(float[] scores, float greatest, float[] likelihood, int length) {
    float stepsPerScore = (float) (OVERLAP_WORTH * FALLEN_STEPS);
    float[] fallen = FALLEN;
    int last = fallen.length - 2;
    for (int c = 0; c < length; c++) {
      float steps = Math.min(last, stepsPerScore * (greatest - scores[c]));
      int step = (int) steps;
      likelihood[c] = fallen[step] + (steps - step) * (fallen[step + 1] - fallen[step]);
    }
  }

  private static float[] fallen() {
    float[] result = new float[FORGOTTEN * FALLEN_STEPS + 2];
    for (int i = 0; i < FORGOTTEN * FALLEN_STEPS; i++) {
      result[i] = (float) Math.exp(-(double) i / FALLEN_STEPS);
    }
    return result;
  }

  /** Finds the slopes that the short windows saw, where a comb may be at all. */
  void findSlopes(float[] probability, byte[] slope) {
    for (int c = 0; c < cells; c++) {
      boolean matters =
          probability[c] > CombDrift.NEGLIGIBLE && longScore[c] == steepest[c] - SHORT_PENALTY;
      slope[c] = matters ? slopeOf(c, steepest[c]) : 0;
    }
  }

  private byte slopeOf(int c, float score) {
    float[] first = subScore[0];
    float[] second = subScore[1];
    float[] third = subScore[2];
    float[] fourth = subScore[3];
    for (int slope = -STEEPEST; slope < STEEPEST; slope++) {
      int[] off = OFFSETS[slope + STEEPEST];
      if (first[c + off[0]] + second[c + off[1]] + third[c + off[2]] + fourth[c + off[3]]
          == score) {
        return (byte) slope;
      }
    }
    return STEEPEST;
  }

  /**
   * Puts the peaks of a frame on the grid and lists the cells that have one: most cells have none.
   *
   * @return how many are listed
   */
  private int scatter(PeakList peaks, int frame, double halfWidthHz, float cap, float absent) {
    int count = 0;
    double chances =
        Math.log(NARROWEST * CombSearch.LOWEST_HZ * CombSearch.CELL_WIDTH / halfWidthHz);
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      float nats = Math.min(cap, peaks.evidence(p));
      if (!(nats > absent)) {
        continue;
      }
      double hz = peaks.frequencyHz(p);
      double centre = CombSearch.CELLS_PER_OCTAVE * (peaks.octave(p) - LOWEST_OCTAVE);
      // Where a cell is wider than a line, noise has as many chances to put a peak into it.
      float worth = nats - (float) Math.max(0.0, chances + CombSearch.CELL_WIDTH * centre);
      if (!(worth > absent)) {
        continue;
      }
      double half = Math.max(NARROWEST, halfWidthHz / (CombSearch.CELL_WIDTH * hz));
      int from = Math.max(0, (int) Math.ceil(centre - half));
      int to = Math.min(cells - 1, (int) Math.floor(centre + half));
      for (int c = from; c <= to; c++) {
        if (lines[c] == Float.NEGATIVE_INFINITY) {
          touched[count++] = c;
        }
        lines[c] = Math.max(lines[c], worth);
      }
    }
    return count;
  }

  /**
   * Adds the harmonics up: a line heard in a cell speaks for the combs that have a harmonic there,
   * unless it tells less than its absence would. Clears the grid of lines.
   */
  private void comb(int count, float[] gains, float[] nothing, float[] result) {
    System.arraycopy(nothing, 0, result, 0, cells);
    for (int i = 0; i < count; i++) {
      int cell = touched[i];
      speak(lines[cell], cell, gains, result);
      lines[cell] = Float.NEGATIVE_INFINITY;
    }
  }

  /** Adds what a line says to the combs that it may belong to. */
  private void speak(float line, int cell, float[] gains, float[] result) {
    // Higher harmonics are less probable: what tells nothing as one tells nothing as the next.
    for (int m = 0; m < gains.length && gains[m] + line > 0f; m++) {
      int c = cell - shift[m];
      if (c >= 0) {
        result[c] += gains[m] + line;
      }
    }
  }
}
