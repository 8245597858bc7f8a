package org.whinograph.speed;

import java.util.Arrays;
import java.util.List;

/**
 * Peaks that no path explains and that noise hardly ever makes: whether a second comb is worth
 * seeking.
 *
 * <p>Not safe for use by several threads.
 */
final class StrongPeaks {
  /** Evidence that noise gives once in ten frames [nat]. */
  private static final float STRONG_NATS = 6f;

  /** Evidence of a peak from which on it may be a line's [nat]: noise gives it twice a frame. */
  private static final float LINE_NATS = 3f;

  /** Share of the frames in which a line that stands still is heard at least (judgement). */
  private static final double LEAST_PRESENCE = 0.3;

  /** Octaves from the comb to a line, either way, within which lines are held against it. */
  private static final int OCTAVES = 10;

  /** By how many peaks a line must keep to the comb more than to its place (judgement). */
  private static final int CLEARLY_MORE = 8;

  private static final double LN_2 = Math.log(2.0);

  private final PeakList peaks;
  private final double lineHz;

  /** Strong peaks by place: pairs of neighbours are a line's. */
  private final int[] atPlace;

  /** Strong peaks below each ratio to the comb. */
  private final int[] belowRatio = new int[2 * OCTAVES * CombSearch.CELLS_PER_OCTAVE + 1];

  private final double[] ratios = CombScores.lineRatios();

  private double[] lines = {};

  /**
   * Prepares.
   *
   * @param peaks peaks of a segment's long windows
   * @param lineHz line spacing of those windows [Hz]
   * @param highestHz highest frequency of a peak [Hz]
   */
  StrongPeaks(PeakList peaks, double lineHz, double highestHz) {
    this.peaks = peaks;
    this.lineHz = lineHz;
    this.atPlace = new int[(int) Math.ceil(highestHz / lineHz) + 3];
  }

  /** How many are left in all frames together. */
  int left() {
    int count = 0;
    for (int p = peaks.start(0); p < peaks.start(peaks.frames()); p++) {
      count += isStrong(p) ? 1 : 0;
    }
    return count;
  }

  /**
   * How many are left beside a comb that moves, without those that make no comb: the lines that go
   * along with it, which are its shaft's orders, and of the lines that stand still the strongest
   * and those that no other goes with.
   *
   * <p>While the comb rests both kinds are alike; a line counts as going along if it keeps to the
   * comb for longer than to any one place.
   *
   * @param spacingHz spacing of the comb, NaN where there is none [Hz, one a frame]
   * @param settled lines that are known to be no other fan's [Hz]
   */
  int leftBeside(double[] spacingHz, List<Double> settled) {
    int frames = spacingHz.length;
    for (int t = 0; t < frames; t++) {
      countStrong(t, spacingHz[t]);
    }
    for (int c = 1; c < belowRatio.length; c++) {
      belowRatio[c] += belowRatio[c - 1];
    }
    int[] strong = new int[atPlace.length];
    int[] heard = new int[atPlace.length];
    double[] sumHz = new double[atPlace.length];
    for (int t = 0; t < frames; t++) {
      countStaying(t, spacingHz[t], strong, heard, sumHz);
    }
    int all = Arrays.stream(strong).sum();
    lines = lines(heard, sumHz, frames);
    int most = 0;
    int alone = 0;
    for (double hz : lines) {
      int place = (int) (hz / lineHz) + 1;
      int count = strong[place] + Math.max(strong[place - 1], strong[place + 1]);
      most = Math.max(most, count);
      alone += isAmong(settled, hz) || !hasCompany(hz, lines) ? count : 0;
    }
    return all - Math.max(most, alone);
  }

  private void countStrong(int frame, double spacingHz) {
    double octave = Math.log(spacingHz) / LN_2;
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      if (isStrong(p)) {
        atPlace[place(p)]++;
        int cell = cell(p, octave);
        if (cell >= 0) {
          belowRatio[cell + 1]++;
        }
      }
    }
  }

  /** Counts by place the peaks of a frame that don't go along with the comb. */
  private void countStaying(
      int frame, double spacingHz, int[] strong, int[] heard, double[] sumHz) {
    double octave = Math.log(spacingHz) / LN_2;
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      if (peaks.evidence(p) > LINE_NATS && !goesAlong(p, octave)) {
        int place = place(p);
        heard[place]++;
        sumHz[place] += peaks.frequencyHz(p);
        strong[place] += isStrong(p) ? 1 : 0;
      }
    }
  }

  /** The lines that stand still, once what is left beside a comb was counted [Hz]. */
  List<Double> lines() {
    return Arrays.stream(lines).boxed().toList();
  }

  private boolean isAmong(List<Double> settled, double hz) {
    return settled.stream().anyMatch(line -> Math.abs(line - hz) < lineHz);
  }

  /** Frequencies of lines that stand still [Hz]. */
  private double[] lines(int[] heard, double[] sumHz, int frames) {
    double[] result = new double[heard.length];
    int count = 0;
    for (int k = 1; k + 2 < heard.length; k++) {
      int both = heard[k] + heard[k + 1];
      boolean greatest = both >= heard[k - 1] + heard[k] && both > heard[k + 1] + heard[k + 2];
      if (greatest && both > LEAST_PRESENCE * frames) {
        result[count++] = (sumHz[k] + sumHz[k + 1]) / both;
      }
    }
    return Arrays.copyOf(result, count);
  }

  /** Whether another line may be a harmonic of the same comb. */
  private boolean hasCompany(double hz, double[] lines) {
    for (double other : lines) {
      for (double ratio : ratios) {
        double off = Math.min(Math.abs(other - hz * ratio), Math.abs(hz - other * ratio));
        if (off < Math.max(lineHz, CombSearch.CELL_WIDTH * Math.max(hz, other))) {
          return true;
        }
      }
    }
    return false;
  }

  private boolean isStrong(int peak) {
    return peaks.evidence(peak) > STRONG_NATS;
  }

  private int place(int peak) {
    return (int) (peaks.frequencyHz(peak) / lineHz) + 1;
  }

  /** The cell of a peak's ratio to the spacing, −1 where there is none. */
  private int cell(int peak, double spacingOctave) {
    double ratio = peaks.octave(peak) - spacingOctave;
    return Math.abs(ratio) < OCTAVES ? (int) ((ratio + OCTAVES) * CombSearch.CELLS_PER_OCTAVE) : -1;
  }

  private boolean goesAlong(int peak, double spacingOctave) {
    int cell = cell(peak, spacingOctave);
    if (cell < 0) {
      return false;
    }
    // As wide as the places it is held against, and as what a path may be off by.
    double frequencyHz = peaks.frequencyHz(peak);
    int half = (int) Math.ceil(Math.max(1.0, lineHz / (CombSearch.CELL_WIDTH * frequencyHz)));
    int from = Math.max(0, cell - half);
    int to = Math.min(belowRatio.length - 2, cell + half);
    int along = belowRatio[to + 1] - belowRatio[from];
    int place = place(peak);
    int staying = atPlace[place] + Math.max(atPlace[place - 1], atPlace[place + 1]);
    return along > staying + CLEARLY_MORE;
  }
}
