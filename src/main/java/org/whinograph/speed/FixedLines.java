package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.function.IntPredicate;

/**
 * Lines that stand still, other than the hum: what goes on while a comb is elsewhere isn't the
 * comb's, and is taken out of the search.
 */
final class FixedLines {

  /** Evidence of a peak that noise rarely gives [nat]. */
  private static final float CLEAR_NATS = 2f;

  private static final double LEAST_PRESENCE = 0.6;

  private static final int LEAST_APART = 8;

  /** A clear line that stands still is within this of its mean place [lines of the windows]. */
  private static final double STILL_LINES = 0.25;

  /** Further from a line than this the comb's multiple is elsewhere [lines of the windows]. */
  private static final double FAR_LINES = 3.0;

  /** What a path as the search leaves it may be off by [1]. */
  private static final double PATH_OFF = 0.004;

  private FixedLines() {}

  /**
   * Whether a line stands at a place.
   *
   * @param peaks peaks of a segment's long windows
   * @param hz the place [Hz]
   * @param spacingHz line spacing of those windows [Hz]
   * @param toleranceHz how far from it the mean place may be [Hz]
   * @param looked the frames that count
   */
  private static boolean stands(
      PeakList peaks, double hz, double spacingHz, double toleranceHz, IntPredicate looked) {
    StandingLine line = StandingLine.at(peaks, hz, spacingHz, looked);
    return line.isUsual() && line.isWithin(toleranceHz, hz);
  }

  /**
   * Those of some lines that still stand where they did, or did so for a while before they ended.
   *
   * @param peaks peaks of a segment's long windows
   * @param lines where they stood [Hz]
   * @param spacingHz line spacing of those windows [Hz]
   */
  static List<Double> stillThere(PeakList peaks, List<Double> lines, double spacingHz) {
    List<Double> result = new ArrayList<>();
    int first = peaks.frames() / 4;
    double tolerance = STILL_LINES * spacingHz;
    for (double hz : lines) {
      if (stands(peaks, hz, spacingHz, tolerance, t -> true)
          || stands(peaks, hz, spacingHz, tolerance, t -> t < first)) {
        result.add(hz);
      }
    }
    return result;
  }

  /**
   * Where a line is that stands near a place: the median of the strongest peaks there.
   *
   * @param peaks peaks of a segment's long windows, those too that were taken out
   * @param hz place, as well as it is known [Hz]
   * @param reachHz how far from it to look [Hz]
   * @return frequency [Hz], the place itself if nothing is there
   */
  static double place(PeakList peaks, double hz, double reachHz) {
    double[] places = new double[peaks.frames()];
    int count = 0;
    for (int t = 0; t < peaks.frames(); t++) {
      float most = CLEAR_NATS;
      double place = Double.NaN;
      int end = peaks.start(t + 1);
      for (int p = peaks.firstFrom(t, hz - reachHz); p < end; p++) {
        if (peaks.frequencyHz(p) > hz + reachHz) {
          break;
        }
        if (peaks.heard(p) > most) {
          most = peaks.heard(p);
          place = peaks.frequencyHz(p);
        }
      }
      if (!Double.isNaN(place)) {
        places[count++] = place;
      }
    }
    Arrays.sort(places, 0, count);
    return count == 0 ? hz : places[count / 2];
  }

  /** Mutes all peaks near the given frequencies. */
  static void mute(PeakList peaks, List<Double> frequencies, double reachHz) {
    if (frequencies.isEmpty()) {
      return;
    }
    for (int p = peaks.start(0); p < peaks.start(peaks.frames()); p++) {
      for (double hz : frequencies) {
        if (Math.abs(peaks.frequencyHz(p) - hz) < reachHz) {
          peaks.mute(p);
          break;
        }
      }
    }
  }

  /** Mutes the peaks of a frame near a frequency; NaN is near none. */
  static void mute(PeakList peaks, int frame, double hz, double reachHz) {
    for (int p = peaks.start(frame); p < peaks.start(frame + 1); p++) {
      if (Math.abs(peaks.frequencyHz(p) - hz) < reachHz) {
        peaks.mute(p);
      }
    }
  }

  /**
   * Lines that stand still for most of a segment and go on while a comb is elsewhere: they aren't
   * the comb's.
   *
   * @param peaks peaks of the segment's long windows
   * @param spacingHz line spacing of those windows [Hz]
   * @param comb spacing of the comb, one a frame, NaN where there is none [Hz]
   * @return their frequencies [Hz]
   */
  static List<Double> apartFrom(PeakList peaks, double spacingHz, double[] comb) {
    double cell = 0.5 * spacingHz;
    int frames = peaks.frames();
    int[] counts = counts(peaks, cell);
    List<Double> result = new ArrayList<>();
    for (int i = 1; i + 1 < counts.length; i++) {
      int here = counts[i] + counts[i + 1];
      boolean greatest =
          here > counts[i - 1] + counts[i]
              && (i + 2 >= counts.length || here >= counts[i + 1] + counts[i + 2]);
      if (here > LEAST_PRESENCE * frames && greatest) {
        double hz = i * cell;
        if (goesOnApart(peaks, hz, spacingHz, comb)) {
          result.add(hz);
        }
      }
    }
    return result;
  }

  /** Clear peaks by frequency, those of cell i at index i + 1. */
  private static int[] counts(PeakList peaks, double cellHz) {
    int[] counts = new int[(int) (highestHz(peaks) / cellHz) + 3];
    for (int p = peaks.start(0); p < peaks.start(peaks.frames()); p++) {
      if (peaks.evidence(p) > CLEAR_NATS) {
        counts[(int) (peaks.frequencyHz(p) / cellHz) + 1]++;
      }
    }
    return counts;
  }

  private static double highestHz(PeakList peaks) {
    double highest = 0.0;
    for (int t = 0; t < peaks.frames(); t++) {
      // They rise within a frame.
      if (peaks.start(t + 1) > peaks.start(t)) {
        highest = Math.max(highest, peaks.frequencyHz(peaks.start(t + 1) - 1));
      }
    }
    return highest;
  }

  /**
   * Whether a line goes on where no multiple of the comb is. That is so as well where the multiple
   * next to it isn't the one that it mostly is, or is a line's width away, if the line stays where
   * it was: a line of the comb would have moved.
   */
  private static boolean goesOnApart(PeakList peaks, double hz, double spacingHz, double[] comb) {
    double place = meanHz(peaks, hz, spacingHz);
    int usual = usualMultiple(hz, comb);
    // A comb is known to half a cell at first: at high frequencies that is more than lines are
    // wide.
    double cell = CombSearch.CELL_WIDTH * hz;
    double far = Math.max(FAR_LINES * spacingHz, cell);
    double near = Math.max(Math.min(FAR_LINES * spacingHz, spacingHz + PATH_OFF * hz), cell);
    int apart = 0;
    int present = 0;
    for (int t = 0; t < peaks.frames(); t++) {
      double reachHz = spacingHz;
      double ratio = hz / comb[t];
      if (!Double.isNaN(ratio)) {
        double multiple = Math.max(1.0, Math.rint(ratio));
        double off = Math.abs(ratio - multiple) * comb[t];
        if (off < near && multiple == usual) {
          continue;
        }
        reachHz = off < far ? STILL_LINES * spacingHz : spacingHz;
      }
      apart++;
      double aim = reachHz < spacingHz ? place : hz;
      present += hasClear(peaks, t, aim, reachHz) ? 1 : 0;
    }
    return apart >= LEAST_APART && present > LEAST_PRESENCE * apart;
  }

  /** Mean frequency of the clear peaks near a frequency [Hz]. */
  private static double meanHz(PeakList peaks, double hz, double reachHz) {
    double sum = 0.0;
    int count = 0;
    for (int t = 0; t < peaks.frames(); t++) {
      int end = peaks.start(t + 1);
      for (int p = peaks.firstFrom(t, hz - reachHz); p < end; p++) {
        if (peaks.frequencyHz(p) > hz + reachHz) {
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

  /** The multiple of a comb that a line is next to in most frames, 0 without a comb. */
  private static int usualMultiple(double hz, double[] comb) {
    int[] counts = new int[(int) (hz / CombSearch.LOWEST_HZ) + 2];
    int usual = 0;
    for (double spacing : comb) {
      if (!Double.isNaN(spacing)) {
        int multiple = Math.min(counts.length - 1, (int) Math.max(1.0, Math.rint(hz / spacing)));
        usual = ++counts[multiple] > counts[usual] ? multiple : usual;
      }
    }
    return usual;
  }

  private static boolean hasClear(PeakList peaks, int frame, double hz, double reachHz) {
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - reachHz); p < end; p++) {
      if (peaks.frequencyHz(p) > hz + reachHz) {
        return false;
      }
      if (peaks.evidence(p) > CLEAR_NATS) {
        return true;
      }
    }
    return false;
  }
}
