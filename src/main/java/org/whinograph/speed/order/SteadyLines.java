package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.ToneRatios;

/**
 * Lines that stay where they are through most of a recording, and how strong they are. Where an
 * order passes one, its level is that line's: so it neither grows loud there nor is it prominent.
 * Immutable.
 */
final class SteadyLines {
  /** A recording without any. */
  static final SteadyLines NONE = new SteadyLines(new double[0], new double[0]);

  /** Part of the frames in which a steady line stands out. */
  private static final double LEAST_SHARE = 0.6;

  /** Lines on either side that are one place. */
  private static final double BESIDE = 1.5;

  /** What is louder than a steady line by this factor in power is more than that line. */
  private static final double LOUDER = 2.0;

  private final double[] hz;
  private final double[] meanSquare;

  private SteadyLines(double[] hz, double[] meanSquare) {
    this.hz = hz;
    this.meanSquare = meanSquare;
  }

  /**
   * Finds them.
   *
   * @param tracks peaks through time
   * @param spectrum the average of those frames, or null if there is none
   */
  static SteadyLines of(LineTracks tracks, Spectrum spectrum) {
    if (spectrum == null || tracks.frames() == 0) {
      return NONE;
    }
    double line = tracks.lineSpacingHz();
    int[] counts = new int[(int) Math.ceil(tracks.highestHz() / line) + 2];
    for (int frame = 0; frame < tracks.frames(); frame++) {
      tracks.forEach(frame, f -> counts[(int) Math.rint(f / line)]++);
    }
    List<double[]> found = new ArrayList<>();
    for (int k = 1; k < counts.length - 1; k++) {
      int near = counts[k - 1] + counts[k] + counts[k + 1];
      boolean top = counts[k] >= counts[k - 1] && counts[k] > counts[k + 1];
      if (top && near >= LEAST_SHARE * tracks.frames()) {
        double power =
            ToneRatios.bandMeanSquare(spectrum, (k - BESIDE) * line, (k + BESIDE) * line);
        found.add(new double[] {k * line, power});
      }
    }
    found.sort(Comparator.comparingDouble(each -> each[0]));
    return new SteadyLines(
        found.stream().mapToDouble(each -> each[0]).toArray(),
        found.stream().mapToDouble(each -> each[1]).toArray());
  }

  /**
   * Whether a level near one of them may be that line's.
   *
   * @param frequencyHz where it was measured [Hz]
   * @param reachHz how far a steady line may lie from there [Hz]
   * @param level its mean square
   */
  boolean explain(double frequencyHz, double reachHz, double level) {
    for (int i = 0; i < hz.length; i++) {
      if (Math.abs(hz[i] - frequencyHz) <= reachHz && level <= LOUDER * meanSquare[i]) {
        return true;
      }
    }
    return false;
  }
}
