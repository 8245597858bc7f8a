package org.whinograph.speed;

import java.util.Arrays;

/**
 * How much likelier the spectra of a window are with a comb of some slope than with noise, and how
 * sharply they tell its place, over a row of evenly spaced combs.
 *
 * <p>Nothing is allocated per call once the longest row was met. Not safe for use by several
 * threads.
 */
final class SlopeScan {
  private static final float CAP_NATS = 8f;

  /** How probable it is that a harmonic which was there is there still (judgement). */
  private static final double STAYS = 0.8;

  /**
   * Share of a line's power over the noise that its place is weighed with: ρ/(1 + ρ), ρ about 6.
   */
  private static final double SHARPNESS = 0.85;

  /**
   * Variance of the maximum over what the bend of the power alone says, one over twice the bend's
   * half: noise n moves it by ∫ w t n, so that it is V/M, with V the second moment of w² and M that
   * of w, a Hann window.
   */
  static final double BLUNT = 0.6124;

  private static final double PRESENT_STEP = 0.125;
  private static final int PRESENT_POWERS = 240;

  /**
   * Likelihood ratios of a harmonic that may be there, by power: asked for too often to compute.
   */
  private static final double[] PRESENT = present();

  /** What is less likely by so much than the best doesn't count [nat]. */
  private static final double FORGOTTEN = 25.0;

  private static final int FALLEN_STEPS = 32;

  /** How much less what is below the best counts, by 1/32 nat: exponentials take longer. */
  private static final double[] FALLEN = fallen();

  /** Keeps exponentials within range [nat]. */
  private static final double MOST_SHARP = 600.0;

  private final SlopedSpectra spectra;
  private final double rate;
  private final int length;
  private final double highestHz;
  private final double[] moments = new double[3];
  private int[] orders = {};
  private double[] standing = {};
  private double[] likelihoods = {};
  private double[] sharpness = {};
  private double likelihood;

  /** What the line looked at last tells: likelihood ratio, and how sharply [nat]. */
  private double present;

  /** First derivative of the powers by the spacing and the second one, negated. */
  private final double[] slopes = new double[2];

  private double polished;
  private double polishedVariance;

  private double sharp;

  /**
   * Prepares.
   *
   * @param spectra the spectra
   * @param rate rate of the audio [Hz]
   * @param length length of the window [samples]
   * @param highestHz highest frequency of a line [Hz]
   */
  SlopeScan(SlopedSpectra spectra, double rate, int length, double highestHz) {
    this.spectra = spectra;
    this.rate = rate;
    this.length = length;
    this.highestHz = highestHz;
  }

  private static double[] present() {
    double[] result = new double[PRESENT_POWERS];
    for (int i = 0; i < result.length; i++) {
      double nats = Math.min(CAP_NATS, LineEvidence.of(i * PRESENT_STEP));
      result[i] = 1.0 - STAYS + STAYS * Math.exp(nats);
    }
    return result;
  }

  private static double[] fallen() {
    double[] result = new double[(int) (FORGOTTEN * FALLEN_STEPS) + 2];
    for (int i = 0; i < result.length; i++) {
      result[i] = Math.exp((double) -i / FALLEN_STEPS);
    }
    return result;
  }

  /**
   * Says what to look at from now on.
   *
   * @param harmonics harmonics that the spectra are made of
   * @param standingHz lines that stand still: places that they sweep tell nothing [Hz]
   */
  void begin(int[] harmonics, double[] standingHz) {
    orders = harmonics;
    standing = standingHz;
  }

  /**
   * Weighs a row of combs.
   *
   * @param slope which slope of the spectra
   * @param relative that slope over the spacing [1/s]
   * @param lowestHz spacing of the first comb [Hz]
   * @param stepHz by how much the next is wider [Hz]
   * @param count number of combs
   * @param floors noise floor at each harmonic [power]
   * @param originHz what places are counted from in the moments [Hz]
   */
  void weigh(
      int slope,
      double relative,
      double lowestHz,
      double stepHz,
      int count,
      double[] floors,
      double originHz) {
    if (likelihoods.length < count) {
      likelihoods = new double[2 * count];
      sharpness = new double[2 * count];
    }
    Arrays.fill(likelihoods, 0, count, 1.0);
    Arrays.fill(sharpness, 0, count, 0.0);
    for (int m = 0; m < orders.length; m++) {
      double line = orders[m] * lowestHz;
      double step = orders[m] * stepHz;
      if (crosses(line, line + (count - 1) * step, relative)) {
        addApart(m, slope, relative, line, step, count, floors[m]);
      } else {
        add(m, slope, line, step, count, floors[m]);
      }
    }
    sum(lowestHz - originHz, stepHz, count);
  }

  private void add(int m, int slope, double hz, double stepHz, int count, double floor) {
    double linesPerHz = 2.0 * length / rate;
    // Whole numbers, in which a line is 2³².
    long place = (long) ((hz * linesPerHz + 0.5) * 0x1p32);
    long step = (long) (stepHz * linesPerHz * 0x1p32);
    int before = -1;
    for (int i = 0; i < count && hz + i * stepHz <= highestHz; i++) {
      int line = Math.max(1, (int) (place >> 32));
      place += step;
      // Several combs share a line of a low harmonic.
      if (line != before) {
        take(spectra.power(m, slope, line) / floor);
        before = line;
      }
      likelihoods[i] *= present;
      sharpness[i] += sharp;
    }
  }

  /** Adds a harmonic where no standing line sweeps its place. */
  private void addApart(
      int m, int slope, double relative, double hz, double stepHz, int count, double floor) {
    for (int i = 0; i < count && hz + i * stepHz <= highestHz; i++) {
      double each = hz + i * stepHz;
      if (!crosses(each, each, relative)) {
        take(spectra.power(m, slope, bin(each)) / floor);
        likelihoods[i] *= present;
        sharpness[i] += sharp;
      }
    }
  }

  /** Weighs the power of a line over the noise in it; below 0 it isn't known and tells nothing. */
  private void take(double ratio) {
    boolean known = ratio >= 0.0;
    present = known ? PRESENT[(int) Math.min(PRESENT_POWERS - 1.0, ratio / PRESENT_STEP)] : 1.0;
    sharp = known ? SHARPNESS * ratio : 0.0;
  }

  private int bin(double hz) {
    return Math.max(1, Math.min(length - 1, (int) (hz * 2 * length / rate + 0.5)));
  }

  /** Whether a standing line sweeps any place from one to another in the window. */
  private boolean crosses(double from, double to, double relative) {
    double sweep = 0.5 * Math.abs(relative) * length / rate;
    for (double hz : standing) {
      double reach = sweep * hz + 2.0 * rate / length;
      if (hz > from - reach && hz < to + reach) {
        return true;
      }
    }
    return false;
  }

  private void sum(double first, double step, int count) {
    double all = 0.0;
    double most = 0.0;
    for (int i = 0; i < count; i++) {
      all += likelihoods[i];
      most = Math.max(most, sharpness[i]);
    }
    likelihood = all / count;
    double sharpest = Math.min(MOST_SHARP, most);
    double greatest = Math.exp(sharpest);
    Arrays.fill(moments, 0.0);
    for (int i = 0; i < count; i++) {
      double below = sharpest - Math.min(MOST_SHARP, sharpness[i]);
      if (below <= FORGOTTEN) {
        double weight = greatest * FALLEN[(int) (below * FALLEN_STEPS + 0.5)];
        double place = first + i * step;
        moments[0] += weight;
        moments[1] += weight * place;
        moments[2] += weight * place * place;
      }
    }
  }

  /** Mean likelihood ratio of the row [1]. */
  double likelihood() {
    return likelihood;
  }

  /**
   * Moment of the places that the row tells, without scale.
   *
   * @param power 0, 1 or 2 [Hz to that power]
   */
  double moment(int power) {
    return moments[power];
  }

  /**
   * Looks for the maximum beside a place in the spectra of the slope that was made even, by
   * parabolas through the powers of three lines.
   *
   * @param at the place [Hz]
   * @param relative that slope over the spacing [1/s]
   * @param floors noise floor at each harmonic [power]
   */
  void polish(double at, double relative, double[] floors) {
    double most = 0.25 * rate / length / orders[0];
    polished = at;
    double sharpest = 0.0;
    for (int round = 0; round < 2; round++) {
      Arrays.fill(slopes, 0.0);
      for (int m = 0; m < orders.length; m++) {
        double line = orders[m] * polished;
        if (line <= highestHz && !crosses(line, line, relative)) {
          addSlopes(m, line, floors[m]);
        }
      }
      sharpest = slopes[1];
      if (sharpest > 0.0) {
        polished += Math.max(-most, Math.min(most, slopes[0] / sharpest));
      }
    }
    polishedVariance = sharpest > 0.0 ? BLUNT / sharpest : Double.NaN;
  }

  /** Adds how a harmonic's power over the noise rises with the spacing, and how it bends. */
  private void addSlopes(int m, double hz, double floor) {
    double linesPerHz = 2.0 * length / rate;
    double place = hz * linesPerHz;
    int line = (int) Math.rint(place);
    float below = spectra.power(m, 0, line - 1);
    float here = spectra.power(m, 0, line);
    float above = spectra.power(m, 0, line + 1);
    if (below >= 0f && here >= 0f && above >= 0f) {
      double perHz = orders[m] * linesPerHz;
      double bend = (below - 2.0 * here + above) / floor;
      slopes[0] += perHz * (0.5 * (above - below) / floor + bend * (place - line));
      slopes[1] -= perHz * perHz * bend;
    }
  }

  /** Place of the maximum [Hz]. */
  double polishedHz() {
    return polished;
  }

  /** Variance of that place by the noise, NaN if there is no maximum [Hz²]. */
  double polishedVariance() {
    return polishedVariance;
  }
}
