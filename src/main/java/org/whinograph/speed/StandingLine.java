package org.whinograph.speed;

import java.util.function.IntPredicate;

/**
 * How often clear peaks lie at one place of the spectra of a segment, beside how often noise puts
 * one there.
 *
 * @param frames frames that were looked at
 * @param present frames with a clear peak there
 * @param chance how many of them noise and what is near would give [frames]
 * @param longestGap most frames on end without one [frames]
 * @param meanHz mean place of those peaks that aren't by chance [Hz]
 */
record StandingLine(int frames, int present, double chance, int longestGap, double meanHz) {
  /** Evidence of a peak that noise rarely gives [nat]. */
  private static final float CLEAR_NATS = 2f;

  /** Share of the frames in which a line is clear that stands out of most [1]. */
  private static final double USUAL_PRESENCE = 0.6;

  /** The same of one that is known to have company. */
  private static final double LEAST_PRESENCE = 0.25;

  /** How far from the place a peak may be [lines]. */
  private static final double REACH_LINES = 0.3;

  /** Lines on either side among which chance is counted, and those next to the place left out. */
  private static final double CHANCE_REACH_LINES = 12.0;

  private static final double OWN_LINES = 1.5;

  /** Standard deviations over chance from which on a faint line is there. */
  private static final double FAINT_DEVIATIONS = 5.0;

  private static final int LEAST_FRAMES = 8;

  /** How many times the usual longest gap is still chance (judgement). */
  private static final double MOST_GAPS = 2.0;

  /**
   * Looks at a place.
   *
   * @param peaks peaks of a segment's long windows
   * @param hz the place [Hz]
   * @param spacingHz line spacing of those windows [Hz]
   * @param looked the frames that count
   */
  static StandingLine at(PeakList peaks, double hz, double spacingHz, IntPredicate looked) {
    double reachHz = REACH_LINES * spacingHz;
    double lookedHz = CHANCE_REACH_LINES * spacingHz;
    int present = 0;
    int beside = 0;
    int frames = 0;
    int gap = 0;
    int longestGap = 0;
    double sum = 0.0;
    for (int t = 0; t < peaks.frames(); t++) {
      if (!looked.test(t)) {
        continue;
      }
      frames++;
      boolean here = false;
      int end = peaks.start(t + 1);
      for (int p = peaks.firstFrom(t, hz - lookedHz); p < end; p++) {
        double off = peaks.frequencyHz(p) - hz;
        if (off > lookedHz) {
          break;
        }
        if (!(peaks.evidence(p) > CLEAR_NATS)) {
          continue;
        }
        if (Math.abs(off) > OWN_LINES * spacingHz) {
          beside++;
        } else if (Math.abs(off) < reachHz && !here) {
          here = true;
          present++;
          sum += off;
        }
      }
      gap = here ? 0 : gap + 1;
      longestGap = Math.max(longestGap, gap);
    }
    double chance = beside * REACH_LINES / (CHANCE_REACH_LINES - OWN_LINES);
    // Peaks by chance lie evenly about the place looked at: they add nothing to the sum.
    double own = Math.max(1.0, present - chance);
    return new StandingLine(frames, present, chance, longestGap, hz + sum / own);
  }

  /** Whether its mean place is within a distance of a frequency [Hz]. */
  boolean isWithin(double toleranceHz, double hz) {
    return Math.abs(meanHz - hz) < toleranceHz;
  }

  /** Whether it is clear in most frames. */
  boolean isUsual() {
    return frames >= LEAST_FRAMES && present > USUAL_PRESENCE * frames;
  }

  /** Whether it is clear in a good part of the frames, and in more than by chance. */
  boolean isOften() {
    return isThere() && present > LEAST_PRESENCE * frames;
  }

  /** Whether it is clear in most frames, or again and again in more of them than by chance. */
  boolean isThere() {
    boolean more = present > chance + FAINT_DEVIATIONS * Math.sqrt(chance + 1.0);
    return isUsual() || (frames >= LEAST_FRAMES && more && isEven());
  }

  /**
   * Whether it comes and goes by chance and isn't there for a while and then no more. Of n frames,
   * each with a peak of probability p, about ln n / −ln(1 − p) on end have none (Erdős and Rényi
   * 1970).
   */
  private boolean isEven() {
    double share = (double) present / frames;
    return longestGap < MOST_GAPS * Math.log(frames) / -Math.log1p(-share);
  }
}
