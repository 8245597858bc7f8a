package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.stream.IntStream;

/**
 * Follows the strongest comb of lines through a segment.
 *
 * <p>Each frame is judged through two windows at once, since a line that moves by more than the
 * reciprocal of the window smears: one of half a second, and four short ones of an eighth whose
 * evidence is summed along every plausible slope. The evidence of harmonics adds up on a grid of
 * spacings that is even in the logarithm, where harmonic m stands a fixed number of cells away. A
 * hidden Markov model with the states "comb at cell c" and "no comb" joins the frames: forward and
 * backward passes keep every alternative alive, the path is read back from the end.
 *
 * <p>One line alone may not outvote a comb: the evidence of a line in a frame is capped. Not safe
 * for use by several threads.
 */
final class CombSearch {
  /** Cells an octave: 0.27 % each. */
  static final int CELLS_PER_OCTAVE = 256;

  /** Relative width of a cell [1]. */
  static final double CELL_WIDTH = Math.log(2.0) / CELLS_PER_OCTAVE;

  /** Least half width of a line [cells]. */
  private static final double NARROWEST = 0.75;

  /** Lowest spacing that is looked for [Hz]. */
  static final double LOWEST_HZ = 20.0;

  private static final double LOWEST_OCTAVE = log2(LOWEST_HZ);

  /**
   * Frames overlap by half through a Hann window: what they tell is worth 3/4 of independent ones.
   */
  static final double OVERLAP_WORTH = 0.75;

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

  private static final float LONG_CAP = 10f;
  private static final float SHORT_CAP = 2.5f;
  private static final float LONG_ABSENT = -1f;
  private static final float SHORT_ABSENT = -0.3f;

  /**
   * Steepest slope [cells a short window]: a third of the spacing in a second, as of a fan that
   * goes through 900 1/min at 300 1/min each second.
   */
  private static final int STEEPEST = 8;

  /** What the choice among slopes costs, ln 17, and that of the window. */
  private static final float SHORT_PENALTY = 3.1f;

  /** What a jump puts into a cell at least: how one of less goes on matters nothing [1]. */
  private static final float NEGLIGIBLE = 4e-8f;

  private static final double STOP = 1e-3;
  private static final double START = 1e-3;
  private static final double JUMP = 1e-4;
  private static final double NARROW = 0.85;
  private static final double NARROW_DECAY = Math.exp(-1.0 / 0.5);
  private static final double WIDE_DECAY = Math.exp(-1.0 / 8.0);
  private static final double CARRIED = 0.4;
  private static final double CARRIED_DECAY = Math.exp(-1.0 / 3.0);
  private static final int LOOK_FRAMES = 8;
  private static final double LEAP_NATS = 2.0;
  private static final int LEAP_CELLS = 6;
  private static final int MOST_LAG_FRAMES = 3;
  private static final int REST_CELLS = 2;
  private static final int STEP_CELLS = 6;

  /** Greatest distance that a path is followed over from a frame to the next [cells]. */
  private static final int REACH = 120;

  /** A gap between two runs longer than this may hold anything [frames]. */
  private static final int GAP_FRAMES = 4;

  /** Greatest move from one frame to the next that is no leap [cells]. */
  private static final int MOST_MOVED = 32;

  /** Evidence that a comb must have in a run that is given up for it [nat], and over the run's. */
  private static final double LEAST_ALONG = 8.0;

  private static final double AS_GOOD = 0.5;

  /** How far from where it was a comb is sought beyond the end of a run [cells]. */
  private static final int FOLLOW_BAND = 24;

  /** What is less likely by so much than the best counts as impossible [nat]. */
  private static final int FORGOTTEN = 25;

  private static final int FALLEN_STEPS = 256;

  /**
   * How much less what is below the best counts, by 1/256 nat; straight between, it errs by 2·10⁻⁶.
   * Exponentials take several times as long.
   */
  private static final float[] FALLEN = fallen();

  private static final int[][] OFFSETS = offsets();
  private static final double[] KERNEL = kernels();
  private static final double[] LOG_KERNEL = Arrays.stream(KERNEL).map(Math::log).toArray();
  private static final double[] CARRIED_KERNEL = carriedKernel();

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
  private final double[] upNarrow;
  private final double[] upWide;
  private final double[] upCarried;
  private final double[] carried;
  private final PathBand band;
  private float[][] emission = {};
  private float[][] forward = {};
  private byte[][] slopes = {};

  /**
   * Lays out the grid.
   *
   * @param highestHz highest frequency of a line [Hz]
   * @param longSpacingHz line spacing of the long window [Hz]
   * @param shortSpacingHz line spacing of the short windows [Hz]
   */
  CombSearch(double highestHz, double longSpacingHz, double shortSpacingHz) {
    this.cells = (int) Math.floor(CELLS_PER_OCTAVE * log2(highestHz / LOWEST_HZ)) + 1;
    for (int m = 0; m < PRESENCE.length; m++) {
      shift[m] = (int) Math.round(CELLS_PER_OCTAVE * log2(m + 1.0));
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
    this.carried = new double[cells];
    this.longHalfWidthHz = 0.4 * longSpacingHz;
    this.shortHalfWidthHz = 0.45 * shortSpacingHz;
    this.lowestShortCell = cellOf(5.0 * shortSpacingHz);
    this.upNarrow = new double[cells];
    this.upWide = new double[cells];
    this.upCarried = new double[cells];
    this.band = new PathBand(cells, KERNEL);
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

  private static double log2(double x) {
    return Math.log(x) / Math.log(2.0);
  }

  private static int cellOf(double hz) {
    return (int) Math.round(CELLS_PER_OCTAVE * log2(hz / LOWEST_HZ));
  }

  static double hzOf(double cell) {
    return LOWEST_HZ * Math.pow(2.0, cell / CELLS_PER_OCTAVE);
  }

  /**
   * Searches a segment.
   *
   * @param longPeaks peaks of the long windows, one frame each
   * @param shortPeaks peaks of the short windows, four frames to one
   * @return the path; all NaN if nothing stands out of the noise
   */
  CombPath search(PeakList longPeaks, PeakList shortPeaks) {
    int frames = longPeaks.frames();
    if (frames > emission.length) {
      // Kept from one segment to the next: 10 MB that the collector needn't clear away.
      emission = new float[frames][cells];
      slopes = new byte[frames][cells];
      forward = new float[frames][cells];
    }
    double[] offEmission = new double[frames];
    double[] forwardOff = new double[frames];
    forward(longPeaks, shortPeaks, offEmission, forwardOff);
    int[] path = new int[frames];
    boolean[] joined = new boolean[frames];
    readBack(forwardOff, path, joined);
    keepOneMultiple(offEmission, path, joined);
    keepOneComb(offEmission, path, joined);
    int changes = changes(path, joined);
    return settle(longPeaks, offEmission, path, joined, changes);
  }

  private void forward(
      PeakList longPeaks, PeakList shortPeaks, double[] offEmission, double[] forwardOff) {
    double[] state = new double[cells];
    double off = 1.0;
    for (int t = 0; t < offEmission.length; t++) {
      score(longPeaks, shortPeaks, t);
      offEmission[t] = emit(emission[t]);
      double on = t == 0 ? 0.0 : 1.0 - off;
      if (t > 0) {
        move(state, slopes[t - 1]);
      }
      double fresh = (t == 0 ? 0.5 : off * START + on * JUMP) / cells;
      double nextOff = (t == 0 ? 0.5 : off * (1.0 - START) + on * STOP) * offEmission[t];
      double sum = nextOff + weigh(state, fresh, emission[t]);
      normalise(state, sum, forward[t]);
      findSlopes(forward[t], slopes[t]);
      off = nextOff / sum;
      forwardOff[t] = off;
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

  private static double weigh(double[] state, double fresh, float[] likelihood) {
    double sum = 0.0;
    for (int c = 0; c < state.length; c++) {
      state[c] = (state[c] * (1.0 - STOP - JUMP) + fresh) * likelihood[c];
      sum += state[c];
    }
    return sum;
  }

  private static void normalise(double[] state, double sum, float[] result) {
    double scale = 1.0 / sum;
    for (int c = 0; c < state.length; c++) {
      state[c] *= scale;
      result[c] = (float) state[c];
    }
  }

  /**
   * Spreads a distribution by one frame's drift, in place. Part of it goes on along the slope that
   * the short windows saw: a ramp carries on. What is nowhere near a state that matters is cleared.
   */
  private void move(double[] state, byte[] slope) {
    int done = 0;
    int c = nextState(state, 0);
    while (c < cells) {
      int last = c;
      int next = nextState(state, c + 1);
      while (next < cells && next - last <= 2 * REACH) {
        last = next;
        next = nextState(state, next + 1);
      }
      int from = Math.max(done, c - REACH);
      int to = Math.min(cells, last + REACH + 1);
      Arrays.fill(state, done, from, 0.0);
      carry(state, slope, from, to);
      foldUp(state, from, to);
      foldDown(state, from, to);
      done = to;
      c = next;
    }
    Arrays.fill(state, done, cells, 0.0);
  }

  private int nextState(double[] state, int from) {
    int c = from;
    while (c < cells && state[c] < NEGLIGIBLE) {
      c++;
    }
    return c;
  }

  private void carry(double[] state, byte[] slope, int from, int to) {
    Arrays.fill(carried, from, to, 0.0);
    for (int c = from; c < to; c++) {
      carried[Math.max(from, Math.min(to - 1, c + 4 * slope[c]))] += CARRIED * state[c];
    }
  }

  /**
   * Two-sided exponential smoothing in two passes, narrow, wide and along the slopes at once: each
   * recursion waits for itself, so that three take hardly longer than one.
   */
  private void foldUp(double[] state, int from, int to) {
    double narrow = 0.0;
    double wide = 0.0;
    double along = 0.0;
    for (int c = from; c < to; c++) {
      narrow = state[c] + NARROW_DECAY * narrow;
      wide = state[c] + WIDE_DECAY * wide;
      along = carried[c] + CARRIED_DECAY * along;
      upNarrow[c] = narrow;
      upWide[c] = wide;
      upCarried[c] = along;
    }
  }

  private void foldDown(double[] state, int from, int to) {
    double narrowScale = (1.0 - CARRIED) * NARROW * middle(NARROW_DECAY);
    double wideScale = (1.0 - CARRIED) * (1.0 - NARROW) * middle(WIDE_DECAY);
    double alongScale = middle(CARRIED_DECAY);
    double narrow = 0.0;
    double wide = 0.0;
    double along = 0.0;
    for (int c = to - 1; c >= from; c--) {
      double here = state[c];
      state[c] =
          narrowScale * (upNarrow[c] + NARROW_DECAY * narrow)
              + wideScale * (upWide[c] + WIDE_DECAY * wide)
              + alongScale * (upCarried[c] + CARRIED_DECAY * along);
      narrow = here + NARROW_DECAY * narrow;
      wide = here + WIDE_DECAY * wide;
      along = carried[c] + CARRIED_DECAY * along;
    }
  }

  /** Middle weight of a two-sided exponential of sum 1. */
  private static double middle(double decay) {
    return (1.0 - decay) / (1.0 + decay);
  }

  private static double[] carriedKernel() {
    double[] result = new double[REACH + 1];
    for (int d = 0; d < result.length; d++) {
      result[d] = middle(CARRIED_DECAY) * Math.pow(CARRIED_DECAY, d);
    }
    return result;
  }

  private static double[] kernels() {
    double[] result = new double[REACH + 1];
    for (int d = 0; d < result.length; d++) {
      result[d] = kernel(d);
    }
    return result;
  }

  private static double kernel(int distance) {
    return NARROW * middle(NARROW_DECAY) * Math.exp(-distance / 0.5)
        + (1.0 - NARROW) * middle(WIDE_DECAY) * Math.exp(-distance / 8.0);
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

  /** Finds the slopes that the short windows saw, where a comb may be at all. */
  private void findSlopes(float[] probability, byte[] slope) {
    for (int c = 0; c < cells; c++) {
      boolean matters = probability[c] > NEGLIGIBLE && longScore[c] == steepest[c] - SHORT_PENALTY;
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
    double chances = Math.log(NARROWEST * LOWEST_HZ * CELL_WIDTH / halfWidthHz);
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      float nats = Math.min(cap, peaks.evidence(p));
      if (!(nats > absent)) {
        continue;
      }
      double hz = peaks.frequencyHz(p);
      double centre = CELLS_PER_OCTAVE * (peaks.octave(p) - LOWEST_OCTAVE);
      // Where a cell is wider than a line, noise has as many chances to put a peak into it.
      float worth = nats - (float) Math.max(0.0, chances + CELL_WIDTH * centre);
      if (!(worth > absent)) {
        continue;
      }
      double half = Math.max(NARROWEST, halfWidthHz / (CELL_WIDTH * hz));
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

  /** Reads the likeliest way back from the end; −1 stands for no comb. */
  private void readBack(double[] forwardOff, int[] path, boolean[] joined) {
    int frames = path.length;
    if (frames == 0) {
      return;
    }
    path[frames - 1] = forwardOff[frames - 1] > 0.5 ? -1 : mode(forward[frames - 1]);
    for (int t = frames - 1; t > 0; t--) {
      double on = 1.0 - forwardOff[t - 1];
      if (path[t] < 0) {
        boolean stays = forwardOff[t - 1] * (1.0 - START) >= on * STOP;
        path[t - 1] = stays ? -1 : mode(forward[t - 1]);
        continue;
      }
      int best = likeliestBefore(path[t], forward[t - 1], slopes[t - 1]);
      double along = along(path[t], forward[t - 1], slopes[t - 1]);
      double jump = on * JUMP / cells;
      double start = forwardOff[t - 1] * START / cells;
      if (along >= jump && along >= start) {
        path[t - 1] = best;
        joined[t] = true;
      } else {
        path[t - 1] = jump > start ? mode(forward[t - 1]) : -1;
      }
    }
  }

  /** The cell that a path at a cell most likely comes from. */
  private int likeliestBefore(int cell, float[] before, byte[] slope) {
    int best = -1;
    double bestWeight = 0.0;
    for (int c = Math.max(0, cell - REACH); c <= Math.min(cells - 1, cell + REACH); c++) {
      double weight = before[c] * moved(cell - c, slope[c]);
      if (weight > bestWeight) {
        bestWeight = weight;
        best = c;
      }
    }
    return best;
  }

  /** Probability of a path at a cell that was on a comb nearby before. */
  private double along(int cell, float[] before, byte[] slope) {
    double sum = 0.0;
    for (int c = Math.max(0, cell - REACH); c <= Math.min(cells - 1, cell + REACH); c++) {
      sum += before[c] * moved(cell - c, slope[c]);
    }
    return sum;
  }

  /** Probability that a comb moves so many cells within a frame while it has a slope. */
  private static double moved(int by, int slope) {
    int off = Math.min(REACH, Math.abs(by - 4 * slope));
    return ((1.0 - CARRIED) * KERNEL[Math.abs(by)] + CARRIED * CARRIED_KERNEL[off])
        * (1.0 - STOP - JUMP);
  }

  /** Leaps, and steps out of one rest into another, within what the path holds for one comb. */
  private static int changes(int[] path, boolean[] joined) {
    int count = 0;
    for (int t = 2; t + 1 < path.length; t++) {
      if (path[t - 2] < 0 || path[t - 1] < 0 || path[t] < 0 || path[t + 1] < 0) {
        continue;
      }
      boolean atRest =
          Math.abs(path[t - 1] - path[t - 2]) <= REST_CELLS
              && Math.abs(path[t + 1] - path[t]) <= REST_CELLS;
      if (!joined[t] || (atRest && Math.abs(path[t] - path[t - 1]) > STEP_CELLS)) {
        count++;
      }
    }
    return count;
  }

  /**
   * Undoes changes of multiple. Where the path leaps from one frame to the next to n times or an
   * n-th of its spacing, the shaft has not: the search has taken up the shaft's own comb instead of
   * the blade-pass comb, or the other way. All stretches so joined are put on the multiple that
   * fits them best together.
   */
  private void keepOneMultiple(double[] offEmission, int[] path, boolean[] joined) {
    int frames = path.length;
    int from = 0;
    while (from < frames) {
      if (path[from] < 0) {
        from++;
        continue;
      }
      int[] label = new int[frames];
      List<Integer> labels = new ArrayList<>(List.of(0));
      int to = from + 1;
      int current = 0;
      while (to < frames && path[to] >= 0) {
        if (!joined[to]) {
          int leap = leapCells(offEmission, path, to, from);
          if (leap == 0) {
            break;
          }
          joined[to] = true;
          current += leap;
          if (!labels.contains(current)) {
            labels.add(current);
          }
        }
        label[to] = current;
        to++;
      }
      int best = 0;
      double bestScore = Double.NEGATIVE_INFINITY;
      for (int candidate : labels) {
        double score = 0.0;
        for (int t = from; t < to; t++) {
          score += Math.log(around(emission[t], path[t] - label[t] + candidate, 2));
        }
        if (score > bestScore) {
          bestScore = score;
          best = candidate;
        }
      }
      for (int t = from; t < to; t++) {
        path[t] = Math.max(0, Math.min(cells - 1, path[t] - label[t] + best));
      }
      from = to;
    }
  }

  /**
   * Undoes visits to other lines. A shaft doesn't leap and leap back: where one run ends, the next
   * begins elsewhere and the one after that is where the first was, the one between isn't the
   * comb's. From the strongest run on, such a neighbour is given up for the way the comb goes on if
   * that way has nearly as much evidence.
   */
  private void keepOneComb(double[] offEmission, int[] path, boolean[] joined) {
    boolean[] done = new boolean[path.length];
    while (true) {
      int[] run = strongestRun(offEmission, path, joined, done);
      if (run == null) {
        return;
      }
      Arrays.fill(done, run[0], run[1], true);
      int edge = run[1] - 1;
      while (edge >= 0) {
        edge = goOn(offEmission, path, joined, done, edge, 1);
      }
      edge = run[0];
      while (edge >= 0) {
        edge = goOn(offEmission, path, joined, done, edge, -1);
      }
    }
  }

  private int[] strongestRun(double[] offEmission, int[] path, boolean[] joined, boolean[] done) {
    int[] best = null;
    double most = 0.0;
    int from = 0;
    while (from < path.length) {
      int to = runEnd(path, joined, from);
      if (path[from] >= 0 && !done[from]) {
        double score = 0.0;
        for (int t = from; t < to; t++) {
          score += nats(offEmission, t, path[t]);
        }
        if (score > most) {
          most = score;
          best = new int[] {from, to};
        }
      }
      from = to;
    }
    return best;
  }

  private static int runEnd(int[] path, boolean[] joined, int from) {
    int to = from + 1;
    while (path[from] >= 0 && to < path.length && path[to] >= 0 && joined[to]) {
      to++;
    }
    return to;
  }

  private double nats(double[] offEmission, int t, int cell) {
    return Math.log(around(emission[t], cell, 1) / Math.max(1e-300, offEmission[t]));
  }

  /**
   * Looks at the run next to an edge of a run that is kept.
   *
   * @return the far edge of that run if it is the same comb by now, else −1
   */
  private int goOn(
      double[] offEmission, int[] path, boolean[] joined, boolean[] done, int edge, int direction) {
    int begin = edge + direction;
    while (begin >= 0 && begin < path.length && path[begin] < 0) {
      begin += direction;
    }
    int gap = Math.abs(begin - edge) - 1;
    if (begin < 0 || begin >= path.length || done[begin] || gap > GAP_FRAMES) {
      return -1;
    }
    int end = begin;
    while (end + direction >= 0
        && end + direction < path.length
        && path[end + direction] >= 0
        && joined[Math.max(end, end + direction)]) {
      end += direction;
    }
    if (Math.abs(path[begin] - path[edge]) > MOST_MOVED * (gap + 1)) {
      int[] way = new int[Math.abs(end - edge) + 1];
      double along = follow(offEmission, path[edge], edge, direction, way);
      double own = 0.0;
      for (int t = begin; t != end + direction; t += direction) {
        own += nats(offEmission, t, path[t]);
      }
      boolean visit = returns(path, end, direction, way[way.length - 1]);
      if (!visit || !(along > Math.max(LEAST_ALONG, AS_GOOD * own))) {
        return -1;
      }
      for (int k = 1; k < way.length; k++) {
        int t = edge + k * direction;
        path[t] = way[k];
        joined[direction > 0 ? t : t + 1] = true;
      }
      int beyond = end + direction;
      if (beyond >= 0 && beyond < path.length) {
        joined[Math.max(end, beyond)] =
            path[beyond] >= 0 && Math.abs(path[beyond] - path[end]) <= LEAP_CELLS;
      }
    }
    for (int t = begin; t != end + direction; t += direction) {
      done[t] = true;
    }
    return end;
  }

  /** Whether the run beyond another begins near a cell. */
  private static boolean returns(int[] path, int end, int direction, int cell) {
    for (int k = 1; k <= GAP_FRAMES + 1; k++) {
      int t = end + k * direction;
      if (t < 0 || t >= path.length) {
        return false;
      }
      if (path[t] >= 0) {
        return Math.abs(path[t] - cell) <= MOST_MOVED;
      }
    }
    return false;
  }

  /**
   * Follows the comb from a cell on, by the likeliest way within a band.
   *
   * @param way the cells, from the given one on
   * @return evidence for the way against no comb, with what its moves cost [nat]
   */
  private double follow(double[] offEmission, int start, int edge, int direction, int[] way) {
    int width = 2 * FOLLOW_BAND + 1;
    double[] score = new double[width];
    Arrays.fill(score, Double.NEGATIVE_INFINITY);
    score[FOLLOW_BAND] = 0.0;
    int[][] from = new int[way.length][width];
    for (int k = 1; k < way.length; k++) {
      int t = edge + k * direction;
      double[] next = new double[width];
      for (int to = 0; to < width; to++) {
        int cell = start - FOLLOW_BAND + to;
        boolean inside = cell >= 0 && cell < cells;
        from[k][to] = likeliestStep(score, to);
        next[to] =
            inside
                ? score[from[k][to]]
                    + LOG_KERNEL[Math.abs(to - from[k][to])]
                    + nats(offEmission, t, cell)
                : Double.NEGATIVE_INFINITY;
      }
      score = next;
    }
    int at = 0;
    for (int to = 1; to < width; to++) {
      at = score[to] > score[at] ? to : at;
    }
    double result = score[at];
    for (int k = way.length - 1; k >= 0; k--) {
      way[k] = start - FOLLOW_BAND + at;
      at = from[k][at];
    }
    return result;
  }

  /** Where within the band a way to some place most likely comes from. */
  private static int likeliestStep(double[] score, int to) {
    int best = to;
    for (int b = Math.max(0, to - 4); b <= Math.min(score.length - 1, to + 4); b++) {
      if (score[b] + LOG_KERNEL[Math.abs(to - b)] > score[best] + LOG_KERNEL[Math.abs(to - best)]) {
        best = b;
      }
    }
    return best;
  }

  /** Cells of a leap by a ratio of small whole numbers at a frame, 0 if it is none. */
  private int leapCells(double[] offEmission, int[] path, int t, int from) {
    int back = Math.max(from, t - 5);
    int drift = t - 1 > back ? Math.round((path[t - 1] - path[back]) / (float) (t - 1 - back)) : 0;
    int next = t;
    while (next < Math.min(path.length - 1, t + 5) && path[next + 1] >= 0) {
      next++;
    }
    int driftAfter = next > t ? Math.round((path[next] - path[t]) / (float) (next - t)) : 0;
    int leap = path[t] - path[t - 1];
    // A shaft that really leapt leaves nothing on its old comb and had nothing on its new one.
    double enough = LEAP_NATS * LOOK_FRAMES;
    double most = 0.0;
    int found = 0;
    for (int n = 2; n <= ShaftOrders.MOST_BLADES; n++) {
      for (int d = 1; d < (n <= 9 ? n : 2); d++) {
        int ratio = (int) Math.round(CELLS_PER_OCTAVE * log2((double) n / d));
        int expected = leap > 0 ? ratio : -ratio;
        if (!reaches(leap - expected, drift, driftAfter)) {
          continue;
        }
        double before = 0.0;
        for (int k = Math.max(from, t - LOOK_FRAMES); k < t; k++) {
          before += Math.log(around(emission[k], path[k] + expected, 3) / offEmission[k]);
        }
        double after = 0.0;
        for (int k = t; k < Math.min(path.length, t + LOOK_FRAMES) && path[k] >= 0; k++) {
          after += Math.log(around(emission[k], path[k] - expected, 3) / offEmission[k]);
        }
        if ((before > enough || after > enough) && before + after > most) {
          most = before + after;
          found = expected;
        }
      }
    }
    return found;
  }

  /**
   * Whether what a leap goes beyond a ratio is what the shaft moves meanwhile: a frame's drift, or
   * that of the few frames by which the path lags where a ramp sets in.
   */
  private static boolean reaches(int beyond, int drift, int driftAfter) {
    boolean near = Math.abs(beyond) < LEAP_CELLS || Math.abs(beyond - drift) < LEAP_CELLS;
    for (int lag = 1; lag <= MOST_LAG_FRAMES; lag++) {
      near |= Math.abs(beyond - lag * driftAfter) < LEAP_CELLS;
    }
    return near;
  }

  private double around(float[] values, int cell, int reach) {
    double greatest = 1e-12;
    for (int c = Math.max(0, cell - reach); c <= Math.min(cells - 1, cell + reach); c++) {
      greatest = Math.max(greatest, values[c]);
    }
    return greatest;
  }

  private static int mode(float[] values) {
    int best = 0;
    for (int i = 1; i < values.length; i++) {
      if (values[i] > values[best]) {
        best = i;
      }
    }
    return best;
  }

  /**
   * Adds up what speaks for the path, and once the multiple is settled weighs it frame by frame
   * against its neighbourhood and against silence.
   */
  private CombPath settle(
      PeakList longPeaks, double[] offEmission, int[] path, boolean[] joined, int changes) {
    int frames = path.length;
    double[] spacing = new double[frames];
    double[] confidence = new double[frames];
    Arrays.fill(spacing, Double.NaN);
    double score = 0.0;
    int from = 0;
    while (from < frames) {
      if (path[from] < 0) {
        from++;
        continue;
      }
      int to = from + 1;
      while (to < frames && path[to] >= 0 && joined[to]) {
        to++;
      }
      band.settle(emission, offEmission, path, from, to, spacing, confidence);
      for (int t = from; t < to; t++) {
        score += Math.log(around(emission[t], path[t], 1) / Math.max(1e-300, offEmission[t]));
      }
      from = to;
    }
    double[] harmonics = harmonicEvidence(longPeaks, spacing, false);
    return new CombPath(spacing, joined, confidence, score, harmonics, changes);
  }

  /**
   * Evidence of a comb's first multiples.
   *
   * @param peaks peaks of the long windows
   * @param spacingHz spacing of the comb, NaN where there is none [Hz, one a frame]
   * @param all whether peaks that were taken out count too
   * @return mean evidence over the frames in which there is a spacing [nat, index 0 is the
   *     fundamental]
   */
  double[] harmonicEvidence(PeakList peaks, double[] spacingHz, boolean all) {
    double[] harmonics = new double[PRESENCE.length];
    int on = 0;
    for (int t = 0; t < spacingHz.length; t++) {
      if (!Double.isNaN(spacingHz[t])) {
        addHarmonics(peaks, t, spacingHz[t], all, harmonics);
        on++;
      }
    }
    for (int m = 0; m < harmonics.length; m++) {
      harmonics[m] = on == 0 ? 0.0 : harmonics[m] / on;
    }
    return harmonics;
  }

  private void addHarmonics(
      PeakList peaks, int frame, double spacingHz, boolean all, double[] harmonics) {
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      double ratio = peaks.frequencyHz(p) / spacingHz;
      long m = Math.round(ratio);
      if (m >= 1
          && m <= harmonics.length
          && Math.abs(ratio - m) * spacingHz < longHalfWidthHz + 0.004 * m * spacingHz) {
        harmonics[(int) m - 1] +=
            Math.max(0f, Math.min(LONG_CAP, all ? peaks.heard(p) : peaks.evidence(p)));
      }
    }
  }

  /**
   * Takes every peak out that a path explains.
   *
   * @param path the path
   * @param longPeaks peaks to mute
   * @param shortPeaks peaks to mute
   */
  void mute(CombPath path, PeakList longPeaks, PeakList shortPeaks) {
    for (int t = 0; t < path.spacingHz().length; t++) {
      double spacing = path.spacingHz()[t];
      if (Double.isNaN(spacing)) {
        continue;
      }
      muteFrame(longPeaks, t, spacing, 2.5 * longHalfWidthHz);
      for (int s = 0; s < 4; s++) {
        muteFrame(shortPeaks, 4 * t + s, spacing, 2.5 * shortHalfWidthHz);
      }
    }
  }

  private static void muteFrame(PeakList peaks, int frame, double spacingHz, double halfWidthHz) {
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      double ratio = peaks.frequencyHz(p) / spacingHz;
      double m = Math.rint(ratio);
      if (m >= 1
          && Math.abs(ratio - m) * spacingHz < Math.max(halfWidthHz, 0.006 * m * spacingHz)) {
        peaks.mute(p);
      }
    }
  }
}
