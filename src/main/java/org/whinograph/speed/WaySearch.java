package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;

/**
 * Finds where the spacing of a comb may have gone half a frame on, from each of a few ways that it
 * may have gone till then.
 *
 * <p>A window is looked at along some slopes of the speed ({@link SlopedSpectra}), at the places
 * that the slopes before and after lead to. Where the comb goes on about as it did, a few slopes
 * near those before tell as much as all of them, and no more are looked at.
 *
 * <p>Allocates but the few ways that are kept. Not safe for use by several threads.
 */
final class WaySearch {
  /** Most harmonics that are looked at. */
  static final int MOST_HARMONICS = 5;

  /** Slopes to either side of the one before, and of them those that are looked at first. */
  private static final int SIDE = 12;

  private static final int NEAR = 2;

  /** Likelihood from which on what is found at the near slopes is all there is [nat]. */
  private static final double NEAR_NATS = 2.0;

  /** By how much less than at the step before that may be [nat]. */
  private static final double FALLEN_NATS = 5.0;

  /** Spacing of the slopes over the reciprocal of the lines' frequency [Hz/s each Hz, times Hz]. */
  private static final double SLOPE_SPACING = 50.0;

  private static final double LEAST_SLOPE_STEP = 0.02;
  private static final double GREATEST_SLOPE_STEP = 0.12;

  /** Steepest slope over the spacing, at which a window holds two octaves [1/s]. */
  private static final double STEEPEST = 5.0;

  private static final int MOST_WAYS = 4;

  private static final double LEAST_WEIGHT = 8.0;

  /** How probable it is that the slope changes but little [1], and by how many slopes. */
  private static final double GOES_ON = 0.6;

  private static final double GOES_ON_SLOPES = 2.0;

  /** How probable each change of the slope is. */
  private static final double[] PRIOR = prior();

  /** What a prediction errs by beside the change of slope [1] and [Hz]. */
  private static final double OFF = 0.004;

  private static final double OFF_HZ = 1.5;

  private final double rate;
  private final int length;
  private final double highestHz;
  private final SlopedSpectra spectra;
  private final SlopeScan scan;
  private final EndFloor floor;
  private final double[] floors = new double[MOST_HARMONICS];

  /** What was found at each slope beside that of each way: place [Hz], weight [nat]. */
  private final double[][] places = new double[MOST_WAYS][2 * SIDE + 1];

  private final double[][] weights = new double[MOST_WAYS][2 * SIDE + 1];

  /** Moments of the places of each way [Hz to the power], its slope in steps of the grid. */
  private final double[][] moments = new double[MOST_WAYS][3];

  private final int[] middles = new int[MOST_WAYS];

  /** The likeliest, in order: 2 SIDE + 1 times the way, plus the slope. */
  private final int[] kept = new int[MOST_WAYS + 1];

  private float[] audio = {};
  private int[] orders = {};
  private double seconds;
  private double grid;
  private int lead;
  private double nats;

  /**
   * One way that the spacing may have gone.
   *
   * @param before the step before, null at the start
   * @param hz spacing in the middle of the window [Hz]
   * @param slope its slope [Hz/s]
   * @param variance variance of the spacing, given the step before [Hz²]
   * @param weight logarithm of its probability against noise [nat]
   */
  record Way(Way before, double hz, double slope, double variance, double weight) {}

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param length length of the window [samples], a power of two
   * @param highestHz highest frequency of a line [Hz]
   */
  WaySearch(double rate, int length, double highestHz) {
    this.rate = rate;
    this.length = length;
    this.highestHz = highestHz;
    this.spectra = new SlopedSpectra(rate, length, MOST_HARMONICS);
    this.scan = new SlopeScan(spectra, rate, length, highestHz);
    this.floor = new EndFloor(rate, length);
  }

  private static double[] prior() {
    double decay = Math.exp(-1.0 / GOES_ON_SLOPES);
    double[] result = new double[2 * SIDE + 1];
    for (int i = 0; i < result.length; i++) {
      double goesOn = (1.0 - decay) / (1.0 + decay) * Math.pow(decay, Math.abs(i - SIDE));
      result[i] = GOES_ON * goesOn + (1.0 - GOES_ON) / result.length;
    }
    return result;
  }

  /**
   * Says what to look at from now on.
   *
   * @param sound samples
   * @param harmonics harmonics of the comb, no more than {@link #MOST_HARMONICS}
   * @param standingHz lines that stand still: places that they sweep tell nothing [Hz]
   */
  void begin(float[] sound, int[] harmonics, double[] standingHz) {
    audio = sound;
    orders = harmonics;
    scan.begin(harmonics, standingHz);
    floor.begin(sound);
  }

  /** Forgets how clear the step before was. */
  void beginEnd() {
    nats = 0.0;
  }

  /** How much likelier the step before is with a comb than with noise [nat]. */
  double nats() {
    return nats;
  }

  /**
   * Goes one step on from each of some ways.
   *
   * @param centre middle of the window [samples]
   * @param ways the ways, the likeliest first
   * @param stepS time from the step before, negative going backward [s]
   * @return the likeliest few, the likeliest first
   */
  List<Way> onward(int centre, List<Way> ways, double stepS) {
    seconds = stepS;
    Way first = ways.get(0);
    double line = 0.0;
    for (int order : orders) {
      line += order * first.hz / orders.length;
    }
    grid = Math.max(LEAST_SLOPE_STEP, Math.min(GREATEST_SLOPE_STEP, SLOPE_SPACING / line));
    floor.hear(centre);
    for (int m = 0; m < orders.length; m++) {
      floors[m] = floor.at(orders[m] * (first.hz + first.slope * seconds));
    }
    for (int w = 0; w < ways.size(); w++) {
      middles[w] = slope(ways.get(w));
    }
    lead = middles[0];
    spectra.hear(audio, centre, lead * grid, expected(first, lead), orders);
    double clear = Math.max(NEAR_NATS, nats - FALLEN_NATS);
    look(ways, NEAR);
    if (nats < clear || isAtBorder() || isSteep()) {
      look(ways, SIDE);
    }
    return likeliest(ways);
  }

  /**
   * Reads a place again along a slope. If nothing is heard there, noise may have told any place
   * within reach.
   *
   * @param centre middle of the window [samples]
   * @param hz about where [Hz]
   * @param slope slope [Hz/s]
   * @param deviation how well that is known [Hz]
   * @return the place with its variance, after no other
   */
  Way refined(int centre, double hz, double slope, double deviation) {
    double relative = Math.max(-STEEPEST, Math.min(STEEPEST, slope / hz));
    floor.hear(centre);
    for (int m = 0; m < orders.length; m++) {
      floors[m] = floor.at(orders[m] * hz);
    }
    spectra.hear(audio, centre, relative, hz, orders);
    spectra.make(0.0, 0.0, 0, 0);
    double fine = 0.25 * rate / length / orders[orders.length - 1];
    double reach = Math.min(0.1 * hz, 3.0 * deviation + 0.25 * rate / length / orders[0]);
    int side = (int) Math.ceil(reach / fine);
    scan.weigh(0, relative, hz - reach, reach / side, 2 * side + 1, floors, hz);
    double off = scan.moment(1) / scan.moment(0);
    double noise = 1.0 / (1.0 + scan.likelihood());
    double missed = noise * reach * reach / 3.0;
    double variance = scan.moment(2) / scan.moment(0) - off * off;
    scan.polish(hz + off, relative, floors);
    boolean there = !Double.isNaN(scan.polishedVariance());
    double place = there ? scan.polishedHz() : hz + off;
    double own = there ? scan.polishedVariance() : variance;
    return new Way(null, place, slope, own + missed, Math.log(scan.likelihood()));
  }

  /** Whether the likeliest of the near slopes is the last of them, if there is any. */
  private boolean isAtBorder() {
    return kept[0] < 0 || Math.abs(kept[0] % (2 * SIDE + 1) - SIDE) == NEAR;
  }

  /**
   * Whether the slope ρ over the spacing may change by more than a step of the grid: by ρ² Δt where
   * the spacing is even in time.
   */
  private boolean isSteep() {
    return Math.abs(seconds) * lead * lead * grid > 1.0;
  }

  /** Slope of a way, in steps of the grid. */
  private int slope(Way way) {
    return (int) Math.rint(way.slope / Math.max(1.0, way.hz + way.slope * seconds) / grid);
  }

  /** Where a way leads to with a slope. */
  private double expected(Way way, int slope) {
    double half = 0.5 * seconds;
    return (way.hz + half * way.slope) / (1.0 - half * slope * grid);
  }

  /** Looks at so many slopes to either side of each way's. */
  private void look(List<Way> ways, int side) {
    int least = 0;
    int greatest = 0;
    for (int w = 0; w < ways.size(); w++) {
      least = Math.min(least, middles[w] - lead - side);
      greatest = Math.max(greatest, middles[w] - lead + side);
    }
    spectra.make(
        grid,
        0.5 * seconds * grid,
        Math.max(least, -SlopedSpectra.SIDE),
        Math.min(greatest, SlopedSpectra.SIDE));
    kept[0] = -1;
    int count = 0;
    double before = 0.0;
    double after = 0.0;
    for (int w = 0; w < ways.size(); w++) {
      Way way = ways.get(w);
      double share = Math.exp(way.weight - ways.get(0).weight);
      before += share;
      if (way.hz + way.slope * seconds > CombSearch.LOWEST_HZ && orders[0] * way.hz < highestHz) {
        after += share * goOn(way, w, side);
        count = keepLikeliest(w, side, count);
      }
    }
    for (int i = count; i <= MOST_WAYS; i++) {
      kept[i] = -1;
    }
    nats = Math.log(after / before);
  }

  /** Looks how a way may go on and returns how much likelier than noise that is. */
  private double goOn(Way way, int w, int side) {
    double total = 0.0;
    double[] sums = moments[w];
    sums[0] = 0.0;
    sums[1] = 0.0;
    sums[2] = 0.0;
    for (int k = -side; k <= side; k++) {
      int slope = middles[w] + k;
      boolean there =
          Math.abs(slope * grid) <= STEEPEST && Math.abs(slope - lead) <= SlopedSpectra.SIDE;
      weights[w][k + SIDE] = Double.NEGATIVE_INFINITY;
      if (there) {
        double prior = PRIOR[k + SIDE];
        double likelihood = prior * weigh(way, slope);
        total += likelihood;
        sums[0] += prior * scan.moment(0);
        sums[1] += prior * scan.moment(1);
        sums[2] += prior * scan.moment(2);
        places[w][k + SIDE] = way.hz + scan.moment(1) / scan.moment(0);
        weights[w][k + SIDE] = way.weight + Math.log(likelihood);
      }
    }
    return total;
  }

  /** How much likelier than noise a way goes on with a slope to about a place. */
  private double weigh(Way way, int slope) {
    double relative = slope * grid;
    double expected = expected(way, slope);
    double fine = finestHz();
    double turn = Math.abs(relative * expected - way.slope) * Math.abs(0.5 * seconds);
    double reach = OFF * way.hz + OFF_HZ + turn;
    int side = (int) Math.ceil(reach / fine);
    scan.weigh(
        slope - lead, relative, expected - reach, reach / side, 2 * side + 1, floors, way.hz);
    return scan.likelihood();
  }

  /** Greatest spacing of the places that are looked at [Hz]. */
  private double finestHz() {
    return 0.5 * rate / length / orders[orders.length - 1];
  }

  /** Keeps the likeliest of what was found so far and of a way's, and returns their number. */
  private int keepLikeliest(int w, int side, int count) {
    int n = count;
    for (int i = SIDE - side; i <= SIDE + side; i++) {
      double weight = weights[w][i];
      int place = n;
      while (place > 0 && weight > weight(kept[place - 1])) {
        kept[place] = kept[place - 1];
        place--;
      }
      if (weight > Double.NEGATIVE_INFINITY) {
        kept[place] = w * (2 * SIDE + 1) + i;
        n = Math.min(MOST_WAYS, n + 1);
      }
    }
    return n;
  }

  private double weight(int at) {
    return weights[at / (2 * SIDE + 1)][at % (2 * SIDE + 1)];
  }

  private List<Way> likeliest(List<Way> ways) {
    List<Way> result = new ArrayList<>(MOST_WAYS);
    // Of a strong line one place of the row has all the weight: it is anywhere about there.
    double raster = finestHz() * finestHz() / 12.0;
    for (int i = 0; i < MOST_WAYS && kept[i] >= 0; i++) {
      double weight = weight(kept[i]);
      if (weight > weight(kept[0]) - LEAST_WEIGHT) {
        int w = kept[i] / (2 * SIDE + 1);
        int k = kept[i] % (2 * SIDE + 1);
        Way way = ways.get(w);
        double d = places[w][k] - way.hz;
        double variance = (moments[w][2] - 2.0 * d * moments[w][1]) / moments[w][0] + d * d;
        double slope = (middles[w] + k - SIDE) * grid * places[w][k];
        result.add(new Way(way, places[w][k], slope, Math.max(0.0, variance) + raster, weight));
      }
    }
    return result;
  }
}
