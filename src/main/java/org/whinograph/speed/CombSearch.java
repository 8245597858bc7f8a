package org.whinograph.speed;

import java.util.Arrays;

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

  /** Lowest spacing that is looked for [Hz]. */
  static final double LOWEST_HZ = 20.0;

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
  private static final float ABSENCE_WORTH = 0.4f;

  private static final float LONG_CAP = 10f;
  private static final float SHORT_CAP = 2.5f;
  private static final float LONG_ABSENT = -1f;
  private static final float SHORT_ABSENT = -0.3f;
  private static final int STEEPEST = 5;

  /** What the choice among slopes costs, ln 11, and that of the window. */
  private static final float SHORT_PENALTY = 3.1f;

  private static final double STOP = 1e-3;
  private static final double START = 1e-3;
  private static final double JUMP = 1e-4;
  private static final double NARROW = 0.85;
  private static final double NARROW_DECAY = Math.exp(-1.0 / 0.8);
  private static final double WIDE_DECAY = Math.exp(-1.0 / 8.0);
  private static final int NEIGHBOURHOOD = 4;

  private final int cells;
  private final int[] shift = new int[PRESENCE.length];
  private final float[] longLines;
  private final float[] shortLines;
  private final float[] longScore;
  private final float[][] subScore;
  private final float[] shortScore;
  private final float[] slopeScore;
  private final double longHalfWidthHz;
  private final double shortHalfWidthHz;
  private final int lowestShortCell;
  private final double[] up;
  private final double[] narrow;
  private final double[] wide;

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
    this.longLines = new float[cells];
    this.shortLines = new float[cells];
    this.longScore = new float[cells];
    this.subScore = new float[4][cells];
    this.shortScore = new float[cells];
    this.slopeScore = new float[cells];
    this.longHalfWidthHz = 0.4 * longSpacingHz;
    this.shortHalfWidthHz = 0.45 * shortSpacingHz;
    this.lowestShortCell = cellOf(5.0 * shortSpacingHz);
    this.up = new double[cells];
    this.narrow = new double[cells];
    this.wide = new double[cells];
  }

  private static double log2(double x) {
    return Math.log(x) / Math.log(2.0);
  }

  private static int cellOf(double hz) {
    return (int) Math.round(CELLS_PER_OCTAVE * log2(hz / LOWEST_HZ));
  }

  private static double hzOf(double cell) {
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
    float[][] emission = new float[frames][cells];
    double[] offEmission = new double[frames];
    float[][] forward = new float[frames][cells];
    double[] forwardOff = new double[frames];
    float[] peakScore = new float[frames];
    forward(longPeaks, shortPeaks, emission, offEmission, forward, forwardOff, peakScore);
    int[] path = new int[frames];
    boolean[] joined = new boolean[frames];
    readBack(forward, forwardOff, path, joined);
    return settle(longPeaks, emission, offEmission, forward, forwardOff, path, joined);
  }

  private void forward(
      PeakList longPeaks,
      PeakList shortPeaks,
      float[][] emission,
      double[] offEmission,
      float[][] forward,
      double[] forwardOff,
      float[] peakScore) {
    double[] state = new double[cells];
    double off = 1.0;
    for (int t = 0; t < emission.length; t++) {
      score(longPeaks, shortPeaks, t);
      double top = 0.0;
      for (float s : longScore) {
        top = Math.max(top, OVERLAP_WORTH * s);
      }
      peakScore[t] = (float) top;
      offEmission[t] = Math.exp(-top);
      for (int c = 0; c < cells; c++) {
        double exponent = OVERLAP_WORTH * longScore[c] - top;
        emission[t][c] = exponent < -25.0 ? 0f : (float) Math.exp(exponent);
      }
      double on = t == 0 ? 0.0 : move(state);
      double fresh = (t == 0 ? 0.5 : off * START + on * JUMP) / cells;
      double nextOff = (t == 0 ? 0.5 : off * (1.0 - START) + on * STOP) * offEmission[t];
      double sum = nextOff;
      for (int c = 0; c < cells; c++) {
        state[c] = (state[c] * (1.0 - STOP - JUMP) + fresh) * emission[t][c];
        sum += state[c];
      }
      for (int c = 0; c < cells; c++) {
        state[c] /= sum;
        forward[t][c] = (float) state[c];
      }
      off = nextOff / sum;
      forwardOff[t] = off;
    }
  }

  /** Spreads a distribution by one frame's drift, in place; its sum is returned. */
  private double move(double[] state) {
    double sum = 0.0;
    for (double value : state) {
      sum += value;
    }
    fold(state, NARROW_DECAY, narrow);
    fold(state, WIDE_DECAY, wide);
    for (int c = 0; c < cells; c++) {
      state[c] = NARROW * narrow[c] + (1.0 - NARROW) * wide[c];
    }
    return sum;
  }

  /** Two-sided exponential smoothing in two passes. */
  private void fold(double[] in, double decay, double[] out) {
    double run = 0.0;
    for (int c = 0; c < cells; c++) {
      run = in[c] + decay * run;
      up[c] = run;
    }
    double scale = (1.0 - decay) / (1.0 + decay);
    run = 0.0;
    for (int c = cells - 1; c >= 0; c--) {
      out[c] = scale * (up[c] + decay * run);
      run = in[c] + decay * run;
    }
  }

  private static double kernel(int distance) {
    return NARROW * (1.0 - NARROW_DECAY) / (1.0 + NARROW_DECAY) * Math.exp(-distance / 0.8)
        + (1.0 - NARROW) * (1.0 - WIDE_DECAY) / (1.0 + WIDE_DECAY) * Math.exp(-distance / 8.0);
  }

  /** Sums the evidence of one frame into {@link #longScore}, the better of both windows. */
  private void score(PeakList longPeaks, PeakList shortPeaks, int frame) {
    scatter(longPeaks, frame, longHalfWidthHz, LONG_CAP, LONG_ABSENT, longLines);
    comb(longLines, 1f, ABSENCE_WORTH, longScore);
    for (int s = 0; s < 4; s++) {
      scatter(shortPeaks, 4 * frame + s, shortHalfWidthHz, SHORT_CAP, SHORT_ABSENT, shortLines);
      comb(shortLines, 0.25f, 0.25f * ABSENCE_WORTH, subScore[s]);
    }
    Arrays.fill(shortScore, Float.NEGATIVE_INFINITY);
    for (int slope = -STEEPEST; slope <= STEEPEST; slope++) {
      int margin = (3 * STEEPEST + 1) / 2 + 1;
      Arrays.fill(slopeScore, 0f);
      for (int s = 0; s < 4; s++) {
        int offset = Math.round(slope * (s - 1.5f));
        float[] sub = subScore[s];
        for (int c = margin; c < cells - margin; c++) {
          slopeScore[c] += sub[c + offset];
        }
      }
      for (int c = margin; c < cells - margin; c++) {
        shortScore[c] = Math.max(shortScore[c], slopeScore[c]);
      }
    }
    for (int c = lowestShortCell; c < cells; c++) {
      longScore[c] = Math.max(longScore[c], shortScore[c] - SHORT_PENALTY);
    }
  }

  private void scatter(
      PeakList peaks, int frame, double halfWidthHz, float cap, float absent, float[] lines) {
    Arrays.fill(lines, absent);
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      float nats = Math.min(cap, peaks.evidence(p));
      double hz = peaks.frequencyHz(p);
      double centre = CELLS_PER_OCTAVE * log2(hz / LOWEST_HZ);
      double half = Math.max(0.75, CELLS_PER_OCTAVE * halfWidthHz / hz / Math.log(2.0));
      int from = Math.max(0, (int) Math.ceil(centre - half));
      int to = Math.min(cells - 1, (int) Math.floor(centre + half));
      for (int c = from; c <= to; c++) {
        lines[c] = Math.max(lines[c], nats);
      }
    }
  }

  private void comb(float[] lines, float worth, float absenceWorth, float[] result) {
    Arrays.fill(result, 0f);
    for (int m = 0; m < PRESENCE.length; m++) {
      float missing = absenceWorth * (float) Math.log(1.0 - PRESENCE[m]);
      float there = worth * (float) Math.log(PRESENCE[m]);
      int by = shift[m];
      for (int c = 0; c < cells - by; c++) {
        result[c] += Math.max(missing, there + lines[c + by]);
      }
    }
  }

  /** Reads the likeliest way back from the end; −1 stands for no comb. */
  private void readBack(float[][] forward, double[] forwardOff, int[] path, boolean[] joined) {
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
      int best = -1;
      double bestWeight = 0.0;
      double along = 0.0;
      for (int d = -120; d <= 120; d++) {
        int c = path[t] + d;
        if (c < 0 || c >= cells) {
          continue;
        }
        double weight = forward[t - 1][c] * kernel(Math.abs(d)) * (1.0 - STOP - JUMP);
        along += weight;
        if (weight > bestWeight) {
          bestWeight = weight;
          best = c;
        }
      }
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

  private static int mode(float[] values) {
    int best = 0;
    for (int i = 1; i < values.length; i++) {
      if (values[i] > values[best]) {
        best = i;
      }
    }
    return best;
  }

  /** Runs backward for the posterior around the path, and adds up what speaks for it. */
  private CombPath settle(
      PeakList longPeaks,
      float[][] emission,
      double[] offEmission,
      float[][] forward,
      double[] forwardOff,
      int[] path,
      boolean[] joined) {
    int frames = path.length;
    double[] spacing = new double[frames];
    double[] confidence = new double[frames];
    Arrays.fill(spacing, Double.NaN);
    double[] backward = new double[cells];
    Arrays.fill(backward, 1.0);
    double backwardOff = 1.0;
    double score = 0.0;
    double[] harmonics = new double[PRESENCE.length];
    int on = 0;
    for (int t = frames - 1; t >= 0; t--) {
      double total = forwardOff[t] * backwardOff;
      for (int c = 0; c < cells; c++) {
        total += forward[t][c] * backward[c];
      }
      if (path[t] >= 0) {
        double mass = 0.0;
        double moment = 0.0;
        int from = Math.max(0, path[t] - NEIGHBOURHOOD);
        int to = Math.min(cells - 1, path[t] + NEIGHBOURHOOD);
        for (int c = from; c <= to; c++) {
          double weight = forward[t][c] * backward[c];
          mass += weight;
          moment += weight * c;
        }
        confidence[t] = total > 0.0 ? mass / total : 0.0;
        spacing[t] = mass > 0.0 ? hzOf(moment / mass) : hzOf(path[t]);
        score +=
            Math.log(Math.max(1e-12, emission[t][path[t]]))
                - Math.log(Math.max(1e-300, offEmission[t]));
        addHarmonics(longPeaks, t, spacing[t], harmonics);
        on++;
      }
      if (t > 0) {
        double ahead = backwardOff * offEmission[t];
        double anywhere = 0.0;
        for (int c = 0; c < cells; c++) {
          backward[c] *= emission[t][c];
          anywhere += backward[c];
        }
        anywhere /= cells;
        move(backward);
        double largest = 0.0;
        for (int c = 0; c < cells; c++) {
          backward[c] = backward[c] * (1.0 - STOP - JUMP) + JUMP * anywhere + STOP * ahead;
          largest = Math.max(largest, backward[c]);
        }
        backwardOff = ahead * (1.0 - START) + START * anywhere;
        largest = Math.max(largest, backwardOff);
        for (int c = 0; c < cells; c++) {
          backward[c] /= largest;
        }
        backwardOff /= largest;
      }
    }
    for (int m = 0; m < harmonics.length; m++) {
      harmonics[m] = on == 0 ? 0.0 : harmonics[m] / on;
    }
    return new CombPath(spacing, joined, confidence, score, harmonics);
  }

  private void addHarmonics(PeakList peaks, int frame, double spacingHz, double[] harmonics) {
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      double ratio = peaks.frequencyHz(p) / spacingHz;
      long m = Math.round(ratio);
      if (m >= 1
          && m <= harmonics.length
          && Math.abs(ratio - m) * spacingHz < longHalfWidthHz + 0.004 * m * spacingHz) {
        harmonics[(int) m - 1] += Math.max(0f, Math.min(LONG_CAP, peaks.evidence(p)));
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
