package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * Hum of the mains: lines that stand still at whole multiples of 50 Hz or 60 Hz. They are taken out
 * of the search, since a comb that is exactly there and never moves is the mains and not a fan.
 */
final class FixedLines {
  private static final int MULTIPLES = 40;

  private FixedLines() {}

  /**
   * Finds the hum.
   *
   * @param peaks peaks of a segment's long windows
   * @param spacingHz line spacing of those windows [Hz]
   * @return frequencies of the hum's lines [Hz]; none unless at least two of the first six stand
   *     out
   */
  static List<Double> hum(PeakList peaks, double spacingHz) {
    List<Double> result = new ArrayList<>();
    for (double mains : new double[] {50.0, 60.0}) {
      List<Double> found = new ArrayList<>();
      int low = 0;
      for (int k = 1; k <= MULTIPLES; k++) {
        if (stands(peaks, k * mains, 0.3 * spacingHz, Math.min(0.25, 0.05 * k))) {
          found.add(k * mains);
          if (k <= 6) {
            low++;
          }
        }
      }
      if (low >= 2) {
        result.addAll(found);
      }
    }
    return result;
  }

  private static boolean stands(PeakList peaks, double hz, double reachHz, double toleranceHz) {
    int present = 0;
    double sum = 0.0;
    for (int t = 0; t < peaks.frames(); t++) {
      for (int p = peaks.start(t); p < peaks.start(t + 1); p++) {
        double off = peaks.frequencyHz(p) - hz;
        if (Math.abs(off) < reachHz && peaks.evidence(p) > 2f) {
          present++;
          sum += off;
          break;
        }
      }
    }
    return present > 0.6 * peaks.frames() && Math.abs(sum / present) < toleranceHz;
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
}
