package org.whinograph.speed;

import java.util.Arrays;

/**
 * Follows the strongest comb of lines through a segment.
 *
 * <p>A hidden Markov model with the states "comb at cell c" and "no comb" joins what the frames
 * tell ({@link CombScores}) by how a comb goes on ({@link CombDrift}): forward and backward passes
 * keep every alternative alive, the path is read back from the end. Not safe for use by several
 * threads.
 */
final class CombSearch {
  /** Cells an octave: 0.27 % each. */
  static final int CELLS_PER_OCTAVE = 256;

  /** Relative width of a cell [1]. */
  static final double CELL_WIDTH = Math.log(2.0) / CELLS_PER_OCTAVE;

  /** Lowest spacing that is looked for [Hz]. */
  static final double LOWEST_HZ = 20.0;

  private final int cells;
  private final double longHalfWidthHz;
  private final double shortHalfWidthHz;
  private final CombScores scores;
  private final CombDrift drift;
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
    this.longHalfWidthHz = 0.4 * longSpacingHz;
    this.shortHalfWidthHz = 0.45 * shortSpacingHz;
    this.scores =
        new CombScores(cells, longHalfWidthHz, shortHalfWidthHz, cellOf(5.0 * shortSpacingHz));
    this.drift = new CombDrift(cells);
    this.band = new PathBand(cells, CombDrift.kernel());
  }

  static double log2(double x) {
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
    SearchedPath searched = new SearchedPath(emission, offEmission, cells, path, joined);
    searched.keepOneMultiple();
    searched.keepOneComb();
    searched.bridgeMoments();
    return settle(longPeaks, offEmission, path, joined, searched);
  }

  private void forward(
      PeakList longPeaks, PeakList shortPeaks, double[] offEmission, double[] forwardOff) {
    double[] state = new double[cells];
    double off = 1.0;
    for (int t = 0; t < offEmission.length; t++) {
      offEmission[t] = scores.judge(longPeaks, shortPeaks, t, emission[t]);
      double on = t == 0 ? 0.0 : 1.0 - off;
      if (t > 0) {
        drift.move(state, slopes[t - 1]);
      }
      double fresh = (t == 0 ? 0.5 : off * CombDrift.START + on * CombDrift.JUMP) / cells;
      double nextOff =
          (t == 0 ? 0.5 : off * (1.0 - CombDrift.START) + on * CombDrift.STOP) * offEmission[t];
      double sum = nextOff + weigh(state, fresh, emission[t]);
      normalise(state, sum, forward[t]);
      scores.findSlopes(forward[t], slopes[t]);
      off = nextOff / sum;
      forwardOff[t] = off;
    }
  }

  private static double weigh(double[] state, double fresh, float[] likelihood) {
    double sum = 0.0;
    for (int c = 0; c < state.length; c++) {
      state[c] = (state[c] * (1.0 - CombDrift.STOP - CombDrift.JUMP) + fresh) * likelihood[c];
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
        boolean stays = forwardOff[t - 1] * (1.0 - CombDrift.START) >= on * CombDrift.STOP;
        path[t - 1] = stays ? -1 : mode(forward[t - 1]);
        continue;
      }
      int best = likeliestBefore(path[t], forward[t - 1], slopes[t - 1]);
      double along = along(path[t], forward[t - 1], slopes[t - 1]);
      double jump = on * CombDrift.JUMP / cells;
      double start = forwardOff[t - 1] * CombDrift.START / cells;
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
    for (int c = Math.max(0, cell - CombDrift.REACH);
        c <= Math.min(cells - 1, cell + CombDrift.REACH);
        c++) {
      double weight = before[c] * CombDrift.moved(cell - c, slope[c]);
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
    for (int c = Math.max(0, cell - CombDrift.REACH);
        c <= Math.min(cells - 1, cell + CombDrift.REACH);
        c++) {
      sum += before[c] * CombDrift.moved(cell - c, slope[c]);
    }
    return sum;
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
      PeakList longPeaks,
      double[] offEmission,
      int[] path,
      boolean[] joined,
      SearchedPath searched) {
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
        score += searched.nats(t, path[t]);
      }
      from = to;
    }
    double[] harmonics = harmonicEvidence(longPeaks, spacing, false);
    return new CombPath(spacing, joined, confidence, score, harmonics, searched.changes());
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
    double[] harmonics = new double[CombScores.harmonics()];
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
            Math.max(0f, Math.min(CombScores.LONG_CAP, all ? peaks.heard(p) : peaks.evidence(p)));
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
