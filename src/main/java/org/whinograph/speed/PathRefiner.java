package org.whinograph.speed;

import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.Quantile;

/**
 * Sharpens a path of the search run by run, and hides what isn't sure of it: the ends of runs, what
 * hardly stands out of the noise, and where the path is neither here nor there.
 *
 * <p>Not safe for use by several threads.
 */
final class PathRefiner {
  private static final double LEAST_CONFIDENCE = 0.9;
  private static final double CERTAIN = 0.99;

  /**
   * Least carrier over the noise in 1 Hz, of the harmonics together [1]: 10.5 dB. Estimates scatter
   * by 1 dB, so that a carrier of 12 dB is kept.
   */
  private static final double LEAST_CARRIER = Math.pow(10.0, 1.05);

  /** Frames to either side over which that is averaged. */
  private static final int AROUND = 12;

  /**
   * A carrier that falls to this part of a run's median within a second is lost: 8 dB (judgement).
   */
  private static final double MOST_FALLEN = Math.pow(10.0, -0.8);

  private static final int SOON = 3;

  private final CombRefiner refiner;

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param hop spacing of the frames [samples], a multiple of 8
   * @param highestHz highest frequency of a line [Hz]
   */
  PathRefiner(double rate, int hop, double highestHz) {
    this.refiner = new CombRefiner(rate, hop, highestHz);
  }

  /**
   * Refines a path.
   *
   * @param audio samples of the segment
   * @param path the path
   * @param standing lines that stand still beside it [Hz]
   * @param lookForWander whether it matters if it wanders
   */
  Comb refined(float[] audio, CombPath path, List<Double> standing, boolean lookForWander) {
    int frames = path.spacingHz().length;
    double[] hz = new double[frames];
    double[] deviation = new double[frames];
    double[] strength = new double[frames];
    double[] windowS = new double[frames];
    Arrays.fill(hz, Double.NaN);
    CombRefiner.Refined out = new CombRefiner.Refined(hz, deviation, strength, windowS);
    boolean glides = false;
    int balance = 0;
    int from = 0;
    while (from < frames) {
      int to = path.runEnd(from);
      if (!Double.isNaN(path.spacingHz()[from])) {
        double[] coarse = path.spacingHz();
        CombMotion motion =
            refiner.refine(
                audio,
                coarse,
                from,
                to,
                path.harmonicEvidence(),
                standing,
                lookForWander && !glides,
                out);
        glides |= motion == CombMotion.GLIDES;
        balance += motion == CombMotion.STANDS ? from - to : to - from;
        hideThin(out, from, to);
        hideEnds(out, from, to, frames);
      }
      from = to;
    }
    hideDoubtful(path.confidence(), hz);
    if (glides && path.isDoubtful()) {
      // A glide through what was hidden again is the noise's.
      glides = CombMotion.glides(Arrays.stream(hz).map(Math::log).toArray(), deviation);
    }
    CombMotion wanders = balance > 0 ? CombMotion.WANDERS : CombMotion.STANDS;
    CombMotion motion = glides ? CombMotion.GLIDES : wanders;
    boolean stands = lookForWander && motion == CombMotion.STANDS && path.isDoubtful();
    return new Comb(hz, hz.clone(), deviation, motion, path, path.isComb() && !stands, false);
  }

  /**
   * Hides what the path isn't sure of, and from there on to where it is as good as certain: between
   * noise and the fan the path is neither here nor there.
   */
  private static void hideDoubtful(double[] confidence, double[] hz) {
    boolean[] doubtful = new boolean[hz.length];
    boolean before = false;
    boolean after = false;
    for (int i = 0; i < hz.length; i++) {
      int back = hz.length - 1 - i;
      before = confidence[i] < (before ? CERTAIN : LEAST_CONFIDENCE);
      after = confidence[back] < (after ? CERTAIN : LEAST_CONFIDENCE);
      doubtful[i] |= before;
      doubtful[back] |= after;
    }
    for (int i = 0; i < hz.length; i++) {
      if (doubtful[i]) {
        hz[i] = Double.NaN;
      }
    }
  }

  /** The first and the last frame of a run hold some of what came before or after it. */
  private static void hideEnds(CombRefiner.Refined refined, int from, int to, int frames) {
    if (from > 0) {
      refined.hz()[from] = Double.NaN;
    }
    if (to < frames) {
      refined.hz()[to - 1] = Double.NaN;
    }
  }

  /** Where the lines hardly stand out of the noise, nothing is claimed. */
  private static void hideThin(CombRefiner.Refined refined, int from, int to) {
    double[] carrier = new double[to - from];
    for (int i = from; i < to; i++) {
      // A Hann window gathers 2/3 of its length: ratio = C/N0 · 2T/3.
      carrier[i - from] = Math.max(0.0, refined.strength()[i]) * 1.5 / refined.windowS()[i];
    }
    double usual = Quantile.median(carrier, carrier.length);
    double lost = Math.min(LEAST_CARRIER, MOST_FALLEN * usual);
    for (int i = 0; i < carrier.length; i++) {
      // Where a fan stops, the path may go on along noise for a while: then nothing is left from
      // one frame to the next.
      double before = mean(carrier, i - SOON, i + 1);
      double after = mean(carrier, i, i + SOON + 1);
      if (mean(carrier, i - AROUND, i + AROUND + 1) < LEAST_CARRIER
          || Math.min(before, after) < lost) {
        refined.hz()[from + i] = Double.NaN;
      }
    }
  }

  private static double mean(double[] values, int from, int to) {
    int first = Math.max(0, from);
    int last = Math.min(values.length, to);
    double sum = 0.0;
    for (int i = first; i < last; i++) {
      sum += values[i];
    }
    return sum / (last - first);
  }
}
