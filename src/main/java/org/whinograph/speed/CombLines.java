package org.whinograph.speed;

/**
 * How clearly the lines of combs are heard in a segment, frame by frame, whether their peaks were
 * taken out before or not.
 *
 * <p>Thresholds are a judgement. Immutable but for the peaks.
 */
final class CombLines {
  /** What one peak may say [nat]. */
  static final double MOST_NATS = 10.0;

  /** How near a line is to its place, and others to it [lines of the windows], [1]. */
  private static final double REACH_LINES = 0.5;

  private static final double REACH = 0.002;

  /** Difference of the mean evidence of all lines of combs that are alike, at most [nat]. */
  private static final double ALIKE_NATS = 4.0;

  /** Share of the difference to another one that it is at most [1]. */
  private static final double MUCH_NEARER = 0.5;

  /** A comb rests if it changes by less from so many frames before to so many after [ln 1]. */
  private static final double AT_REST = 0.006;

  private static final int REST_FRAMES = 2;

  private static final int FEWEST_AT_REST = 12;

  private final PeakList peaks;
  private final double lineHz;

  /**
   * Prepares.
   *
   * @param peaks peaks of a segment's long windows
   * @param lineHz line spacing of those windows [Hz]
   */
  CombLines(PeakList peaks, double lineHz) {
    this.peaks = peaks;
    this.lineHz = lineHz;
  }

  /** Evidence of the greatest peak at a place [nat]. */
  double nats(int frame, double hz) {
    double nats = 0.0;
    double reach = reach(hz);
    int end = peaks.start(frame + 1);
    for (int p = peaks.firstFrom(frame, hz - reach); p < end; p++) {
      if (peaks.frequencyHz(p) >= hz + reach) {
        break;
      }
      nats = Math.max(nats, Math.min(MOST_NATS, peaks.heard(p)));
    }
    return nats;
  }

  /** How far from its place a line may be [Hz]. */
  double reach(double hz) {
    return Math.max(REACH_LINES * lineHz, REACH * hz);
  }

  /**
   * Mean evidence of each multiple of a comb over the frames of a run in which it is known [nat];
   * none without such frames.
   *
   * @param spacingHz spacing of the comb, NaN where unknown [Hz, one a frame]
   * @param from the first frame
   * @param to the end
   */
  double[] means(double[] spacingHz, int from, int to) {
    double[] means = new double[CombScores.harmonics()];
    int known = 0;
    for (int t = from; t < to; t++) {
      known += Double.isNaN(spacingHz[t]) ? 0 : 1;
      for (int m = 1; m <= means.length && !Double.isNaN(spacingHz[t]); m++) {
        means[m - 1] += nats(t, m * spacingHz[t]);
      }
    }
    for (int m = 0; m < means.length; m++) {
      means[m] /= Math.max(1, known);
    }
    return means;
  }

  /**
   * The same over the frames in which the comb rests: where it moves its lines smear, the higher
   * the more.
   *
   * @param spacingHz spacing of the comb, NaN where unknown [Hz, one a frame]
   * @param from the first frame
   * @param to the end
   * @return the evidence [nat]; null if the comb rests too shortly
   */
  double[] meansAtRest(double[] spacingHz, int from, int to) {
    double[] still = new double[to];
    int known = 0;
    for (int t = from; t < to; t++) {
      boolean rests = t - REST_FRAMES >= 0 && t + REST_FRAMES < spacingHz.length;
      if (rests) {
        double ratio = spacingHz[t + REST_FRAMES] / spacingHz[t - REST_FRAMES];
        rests = Math.abs(Math.log(ratio)) < AT_REST;
      }
      still[t] = rests ? spacingHz[t] : Double.NaN;
      known += Double.isNaN(still[t]) ? 0 : 1;
    }
    return known < FEWEST_AT_REST ? null : means(still, from, to);
  }

  /**
   * How much two combs differ in the lines that they have: the sum over all multiples [nat].
   *
   * @param one mean evidence of each multiple of one [nat]
   * @param other the same of the other
   */
  private static double difference(double[] one, double[] other) {
    double sum = 0.0;
    for (int m = 0; m < one.length; m++) {
      sum += Math.abs(one[m] - other[m]);
    }
    return sum;
  }

  /**
   * How two combs pair with two others by the lines that they have. Three of the four are enough.
   *
   * @param some mean evidence of each multiple of two combs [nat], null where one isn't known
   * @param others the same of two others
   * @return 1 if each is like the other in its place, −1 if they are exchanged, 0 if nothing tells
   */
  static int pairing(double[][] some, double[][] others) {
    boolean isBoth = others[0] != null && others[1] != null;
    double[][] both = isBoth ? others : some;
    double[][] known = isBoth ? some : others;
    if (both[0] == null || both[1] == null) {
      return 0;
    }
    double straight = 0.0;
    double across = 0.0;
    int pairs = 0;
    for (int i = 0; i < 2; i++) {
      if (known[i] != null) {
        straight += difference(known[i], both[i]);
        across += difference(known[i], both[1 - i]);
        pairs++;
      }
    }
    if (!tells(straight, across, pairs)) {
      return 0;
    }
    return straight < across ? 1 : -1;
  }

  /** Whether combs are alike in one of two pairings, and far less so in the other. */
  private static boolean tells(double one, double other, int pairs) {
    double least = Math.min(one, other);
    return least < ALIKE_NATS * pairs && least < MUCH_NEARER * Math.max(one, other);
  }
}
