package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.PowerTransform;

/**
 * Follows the runs of a path outward, into the run-down and the run-up of a fan, where the speed
 * changes by half and more within a second and the lines smear in any window of the search.
 *
 * <p>A window of a quarter of a second is read at moments that make a speed even in time, with some
 * slope, a steady one; each slope gives a spectrum of its own in which all harmonics of that slope
 * are sharp at once ({@link SlopedSpectra}). Half a frame on, the spacing is where the slopes
 * before and after lead to, so that few places need looking at, and noise has few chances. A step
 * counts if the mean likelihood over these places is well above that of noise.
 *
 * <p>Not safe for use by several threads.
 */
final class RunEnds {
  /** Slopes to either side of the one before. */
  private static final int SIDE = 12;

  /** Spacing of the slopes over the reciprocal of the lines' frequency [Hz/s each Hz, times Hz]. */
  private static final double SLOPE_SPACING = 50.0;

  private static final double LEAST_SLOPE_STEP = 0.02;
  private static final double GREATEST_SLOPE_STEP = 0.12;

  /** Steepest slope over the spacing, at which a window holds two octaves [1/s]. */
  private static final double STEEPEST = 5.0;

  /** Evidence of a harmonic from which on it is looked at [nat]. */
  private static final double LEAST_HARMONIC = 0.8;

  private static final int MOST_HARMONICS = 5;

  /** Logarithm of the mean likelihood ratio from which on a step counts [nat]. */
  private static final double CLEAR_NATS = 6.0;

  /** What a step must have to be worth going on to [nat], and how far what is lost may go. */
  private static final double STEP_NATS = 1.5;

  private static final double MOST_LOST = 8.0;

  /** A fan comes to rest or to speed within so many steps: six seconds. */
  private static final int MOST_STEPS = 48;

  /** What changes by less than this for a second is left to the search [1/s], [steps]. */
  private static final double CALM_SLOPE = 0.03;

  private static final int CALM_STEPS = 8;

  /**
   * Change of the spacing along an end that no note makes: a fourth, as a logarithm (judgement).
   */
  private static final double GLIDE = 0.3;

  /** A frame that is less sure than this stays unknown [1]. */
  private static final double MOST_DEVIATION = 0.02;

  private static final int MOST_WAYS = 4;

  private static final double LEAST_WEIGHT = 8.0;

  /** How probable it is that the slope changes but little [1], and by how many slopes. */
  private static final double GOES_ON = 0.6;

  private static final double GOES_ON_SLOPES = 2.0;

  /**
   * Lines to either side whose median is the noise floor, and windows whose mean it is taken of.
   */
  private static final int FLOOR_REACH = 40;

  private static final int FLOOR_WINDOWS = 5;

  /** What a prediction errs by beside the change of slope [1] and [Hz]. */
  private static final double OFF = 0.004;

  /** Steps to either side that a parabola is laid through, and what each errs by at least [1]. */
  private static final int FIT_STEPS = 3;

  private static final double OFF_FIT = 0.001;

  private static final double OFF_HZ = 1.5;

  /**
   * What the mean over a frame, of two steps, has of a bend b x² over what a window tells [1]. A
   * Hann window of length L weighs the frequency at t by ∫ w s ds from t on, whose second moment is
   * 0.0262 L²; that of the frame is L²/12.
   */
  private static final double BENT_SHARE = 4.0 * (1.0 / 12.0 - 0.0262);

  /**
   * What the mean over a frame may be off by where the bend is a corner somewhere in it, over b
   * [1]: second difference D = 8 b of neighbouring frames times √(1/320).
   */
  private static final double CORNER_SHARE = 8.0 * Math.sqrt(1.0 / 320.0);

  /** Deviation of the last frame before a comb is lost, which may have begun to run down [1]. */
  private static final double LOST = 0.015;

  /** Frames of a run's end whose place is sought anew, and those before that give the slope. */
  private static final int AGAIN = 2;

  private static final int LEADING = 6;

  private final double rate;
  private final int hop;
  private final double highestHz;
  private final int length;
  private final PowerTransform transform;
  private final SlopedSpectra spectra;
  private final SlopeScan scan;
  private final float[][] floorPowers;
  private final int[] floorCentres = new int[FLOOR_WINDOWS];
  private final float[] around = new float[2 * FLOOR_REACH];
  private final float[] bell;
  private final float[] section;
  private final int[] start = new int[1];
  private final float[][] power = new float[1][];
  private float[] audio = {};
  private int[] orders = {};
  private double[] hz = {};
  private double[] deviation = {};
  private boolean[] joined = {};
  private double stepNats;

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param hop spacing of the frames [samples], a power of two
   * @param highestHz highest frequency of a line [Hz]
   */
  RunEnds(double rate, int hop, double highestHz) {
    this.rate = rate;
    this.hop = hop;
    this.highestHz = highestHz;
    this.length = hop;
    this.transform = new PowerTransform(2 * length, 1);
    this.spectra = new SlopedSpectra(rate, length, MOST_HARMONICS);
    this.scan = new SlopeScan(spectra, rate, length, highestHz);
    this.floorPowers = new float[FLOOR_WINDOWS][length];
    this.bell = new float[2 * length];
    for (int i = 0; i < length; i++) {
      bell[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length));
    }
    this.section = new float[2 * length];
  }

  /**
   * Extends what is known of a comb.
   *
   * @param audio samples; frame i is centred at (i + 1) · hop
   * @param hz mean spacing over each frame [Hz], NaN where unknown; extended
   * @param deviation relative standard deviations [1]; extended
   * @param joined whether a frame continues the one before without a jump; extended
   * @param harmonicEvidence mean evidence of harmonics 1 …
   * @param standing lines that stand still [Hz]
   * @return whether an end was followed over a change of the spacing that only a shaft which is let
   *     go or driven makes
   */
  boolean extend(
      float[] audio,
      double[] hz,
      double[] deviation,
      boolean[] joined,
      double[] harmonicEvidence,
      List<Double> standing) {
    this.audio = audio;
    Arrays.fill(floorCentres, Integer.MIN_VALUE);
    this.hz = hz;
    this.deviation = deviation;
    this.joined = joined;
    this.orders = orders(harmonicEvidence);
    scan.begin(orders, standing.stream().mapToDouble(Double::doubleValue).toArray());
    boolean glides = false;
    int from = 0;
    while (from < hz.length) {
      int to = from + 1;
      if (!Double.isNaN(hz[from])) {
        while (to < hz.length && joined[to] && !Double.isNaN(hz[to])) {
          to++;
        }
        if (to - from > AGAIN + LEADING) {
          glides |= follow(from, -1);
          glides |= follow(to - 1, 1);
          while (to < hz.length && joined[to] && !Double.isNaN(hz[to])) {
            to++;
          }
        }
      }
      from = to;
    }
    return glides;
  }

  private static int[] orders(double[] evidence) {
    int[] result = new int[MOST_HARMONICS];
    int count = 0;
    for (int m = 0; m < evidence.length && count < MOST_HARMONICS; m++) {
      if (evidence[m] > LEAST_HARMONIC) {
        result[count++] = m + 1;
      }
    }
    if (count == 0) {
      result[count++] = 1;
    }
    return Arrays.copyOf(result, count);
  }

  /**
   * Follows one end of a run outward, to where another begins or nothing is heard.
   *
   * @return whether the spacing changed much on the way
   */
  private boolean follow(int edge, int direction) {
    int next = edge + direction;
    if (next < 0 || next >= hz.length || !Double.isNaN(hz[next])) {
      return false;
    }
    int first = edge - direction * AGAIN;
    double seconds = 0.5 * direction * hop / rate;
    double slope = slope(first, -direction) * rate / hop;
    List<Way> ways = List.of(new Way(null, hz[first], slope, 0.0, 0.0));
    Way reached = null;
    int last = 0;
    double all = 0.0;
    double most = CLEAR_NATS;
    int calm = 0;
    for (int step = 1; step <= MOST_STEPS && all > most - MOST_LOST - CLEAR_NATS; step++) {
      boolean own = step <= 2 * AGAIN;
      int beyond = first + direction * ((step + 1) / 2);
      if (beyond < 0 || beyond >= hz.length || (!own && !Double.isNaN(hz[beyond]))) {
        break;
      }
      int centre = (first + 1) * hop + direction * step * hop / 2;
      ways = seek(centre, ways, seconds);
      if (ways.isEmpty()) {
        break;
      }
      calm = Math.abs(ways.get(0).slope) < CALM_SLOPE * ways.get(0).hz ? calm + 1 : 0;
      if (calm > CALM_STEPS) {
        break;
      }
      all += stepNats - STEP_NATS;
      if (own) {
        all = Math.max(0.0, Math.min(CLEAR_NATS, all));
      } else if (all > most) {
        most = all;
        reached = ways.get(0);
        last = step;
      }
    }
    if (last / 2 <= AGAIN) {
      deviation[edge] = Math.max(deviation[edge], LOST);
      return false;
    }
    Way[] path = new Way[last + 1];
    for (Way way = reached; last >= 0; way = way.before) {
      path[last--] = way;
    }
    take(path, first, direction);
    return Math.abs(Math.log(reached.hz / path[0].hz)) > GLIDE;
  }

  /** Writes what was found into the frames. */
  private void take(Way[] path, int first, int direction) {
    int last = (path.length - 1) / 2;
    for (int k = 1; k <= last; k++) {
      int frame = first + direction * k;
      double[] fit = parabola(path, 2 * k);
      double relative = Math.sqrt(fit[1]) / fit[0];
      hz[frame] = relative < MOST_DEVIATION ? fit[0] : Double.NaN;
      deviation[frame] = relative;
      joined[direction > 0 ? frame : frame + 1] = true;
    }
    int after = first + direction * (last + 1);
    if (after >= 0 && after < hz.length) {
      joined[direction > 0 ? after : after + 1] = false;
    }
  }

  /**
   * Mean over a frame and its variance at a step by the parabola through the steps around it, each
   * with its own variance; where it fits worse than these allow, the variance grows by as much.
   */
  private static double[] parabola(Way[] path, int at) {
    double[][] a = new double[3][4];
    int from = Math.max(1, at - FIT_STEPS);
    int to = Math.min(path.length - 1, at + FIT_STEPS);
    double least = OFF_FIT * path[at].hz;
    for (int i = from; i <= to; i++) {
      double x = i - at;
      double w = 1.0 / (path[i].variance + least * least);
      double[] powers = {1.0, x, x * x};
      for (int r = 0; r < 3; r++) {
        for (int c = 0; c < 3; c++) {
          a[r][c] += w * powers[r] * powers[c];
        }
        a[r][3] += w * powers[r] * path[i].hz;
      }
    }
    // Cramer's rule: three equations.
    double minor = a[1][1] * a[2][2] - a[1][2] * a[2][1];
    double second = a[1][0] * a[2][2] - a[1][2] * a[2][0];
    double third = a[1][0] * a[2][1] - a[1][1] * a[2][0];
    double determinant = a[0][0] * minor - a[0][1] * second + a[0][2] * third;
    double value =
        (a[0][3] * minor
                - a[0][1] * (a[1][3] * a[2][2] - a[1][2] * a[2][3])
                + a[0][2] * (a[1][3] * a[2][1] - a[1][1] * a[2][3]))
            / determinant;
    double slope =
        (a[0][0] * (a[1][3] * a[2][2] - a[1][2] * a[2][3])
                - a[0][3] * second
                + a[0][2] * (a[1][0] * a[2][3] - a[1][3] * a[2][0]))
            / determinant;
    double bend =
        (a[0][0] * (a[1][1] * a[2][3] - a[1][3] * a[2][1])
                - a[0][1] * (a[1][0] * a[2][3] - a[1][3] * a[2][0])
                + a[0][3] * third)
            / determinant;
    double misfit = 0.0;
    for (int i = from; i <= to; i++) {
      double x = i - at;
      double off = path[i].hz - value - slope * x - bend * x * x;
      misfit += off * off / (path[i].variance + least * least);
    }
    double scale = Math.max(1.0, misfit / Math.max(1, to - from - 2));
    double variance =
        minor
            + 2.0 * BENT_SHARE * third
            + BENT_SHARE * BENT_SHARE * (a[0][0] * a[1][1] - a[0][1] * a[1][0]);
    double corner = CORNER_SHARE * bend;
    return new double[] {
      value + BENT_SHARE * bend, scale * variance / determinant + corner * corner
    };
  }

  /** Slope of a straight line through some frames of a path [Hz a frame]. */
  private double slope(int at, int direction) {
    double sx = 0.0;
    double sxx = 0.0;
    double sy = 0.0;
    double sxy = 0.0;
    for (int k = 0; k < LEADING; k++) {
      double y = hz[at + direction * k];
      sx += k;
      sxx += k * k;
      sy += y;
      sxy += k * y;
    }
    return direction * (LEADING * sxy - sx * sy) / (LEADING * sxx - sx * sx);
  }

  /**
   * One way that the spacing may have gone.
   *
   * @param before the step before, null at the start
   * @param hz spacing in the middle of the window [Hz]
   * @param slope its slope [Hz/s]
   * @param variance variance of the spacing, given the step before [Hz²]
   * @param weight logarithm of its probability against noise [nat]
   */
  private record Way(Way before, double hz, double slope, double variance, double weight) {}

  /**
   * What the ways from one step to the next share.
   *
   * @param seconds time from the step before, negative going backward [s]
   * @param grid spacing of the slopes over the spacing [1/s]
   * @param lead slope of the likeliest way, in steps of the grid
   * @param floors noise floor at each harmonic [power]
   */
  private record Step(double seconds, double grid, int lead, double[] floors) {
    double expected(Way way, int slope) {
      double half = 0.5 * seconds;
      return (way.hz + half * way.slope) / (1.0 - half * slope * grid);
    }

    /** Slope of a way, in steps of the grid. */
    int slope(Way way) {
      return (int) Math.rint(way.slope / Math.max(1.0, way.hz + way.slope * seconds) / grid);
    }
  }

  /** Goes one step on from each of some ways and keeps the likeliest. */
  private List<Way> seek(int centre, List<Way> ways, double seconds) {
    Way lead = ways.get(0);
    double line = 0.0;
    for (int order : orders) {
      line += order * lead.hz / orders.length;
    }
    double grid = Math.max(LEAST_SLOPE_STEP, Math.min(GREATEST_SLOPE_STEP, SLOPE_SPACING / line));
    hearFloor(centre);
    double[] floors = new double[orders.length];
    for (int m = 0; m < orders.length; m++) {
      floors[m] = floor(bin(orders[m] * (lead.hz + lead.slope * seconds)));
    }
    Step alone = new Step(seconds, grid, 0, floors);
    int middle = alone.slope(lead);
    Step step = new Step(seconds, grid, middle, floors);
    double expected = step.expected(lead, middle);
    double drift = 0.5 * seconds * grid * expected;
    spectra.make(audio, centre, middle * grid, grid, expected, drift, orders);
    List<Way> next = new ArrayList<>();
    double before = 0.0;
    double after = 0.0;
    for (Way way : ways) {
      double share = Math.exp(way.weight - lead.weight);
      before += share;
      if (way.hz + way.slope * seconds > CombSearch.LOWEST_HZ && orders[0] * way.hz < highestHz) {
        after += share * goOn(way, step, next);
      }
    }
    stepNats = Math.log(after / before);
    return likeliest(next);
  }

  /** The few likeliest of some ways, the likeliest first. */
  private static List<Way> likeliest(List<Way> ways) {
    List<Way> kept = new ArrayList<>();
    for (Way way : ways) {
      int place = kept.size();
      while (place > 0 && way.weight > kept.get(place - 1).weight) {
        place--;
      }
      kept.add(place, way);
      if (kept.size() > MOST_WAYS) {
        kept.remove(MOST_WAYS);
      }
    }
    kept.removeIf(way -> !(way.weight > kept.get(0).weight - LEAST_WEIGHT));
    return kept;
  }

  /** Adds the ways that go on from one and returns how much likelier they are than noise. */
  private double goOn(Way way, Step step, List<Way> next) {
    int middle = step.slope(way);
    double total = 0.0;
    double[] moments = new double[3];
    int begin = next.size();
    for (int k = -SIDE; k <= SIDE; k++) {
      double relative = (middle + k) * step.grid;
      int slope = middle + k - step.lead;
      if (Math.abs(relative) <= STEEPEST && Math.abs(slope) <= SlopedSpectra.SIDE) {
        double prior = GOES_ON * goesOn(k) + (1.0 - GOES_ON) / (2 * SIDE + 1);
        total += prior * weigh(way, step, slope, relative, step.expected(way, middle + k));
        moments[0] += prior * scan.moment(0);
        moments[1] += prior * scan.moment(1);
        moments[2] += prior * scan.moment(2);
        double at = way.hz + scan.moment(1) / scan.moment(0);
        double weight = way.weight + Math.log(prior * scan.likelihood());
        next.add(new Way(way, at, relative * at, 0.0, weight));
      }
    }
    for (int i = begin; i < next.size(); i++) {
      Way each = next.get(i);
      double d = each.hz - way.hz;
      double variance = (moments[2] - 2.0 * d * moments[1]) / moments[0] + d * d;
      next.set(i, new Way(way, each.hz, each.slope, Math.max(0.0, variance), each.weight));
    }
    return total;
  }

  /** How much likelier than noise a way goes on with a slope to about a place. */
  private double weigh(Way way, Step step, int slope, double relative, double expected) {
    double fine = 0.5 * rate / length / orders[orders.length - 1];
    double turn = Math.abs(relative * expected - way.slope) * Math.abs(0.5 * step.seconds);
    double reach = OFF * way.hz + OFF_HZ + turn;
    int side = (int) Math.ceil(reach / fine);
    scan.weigh(slope, relative, expected - reach, reach / side, 2 * side + 1, step.floors, way.hz);
    return scan.likelihood();
  }

  private int bin(double hz) {
    return Math.max(1, Math.min(length - 1, (int) (hz * 2 * length / rate + 0.5)));
  }

  /** How probable a change by so many slopes is if the speed goes on as it did. */
  private static double goesOn(int change) {
    double decay = Math.exp(-1.0 / GOES_ON_SLOPES);
    return (1.0 - decay) / (1.0 + decay) * Math.pow(decay, Math.abs(change));
  }

  /** Makes the spectra around a place, so that the noise floor is known there. */
  private void hearFloor(int centre) {
    for (int w = 0; w < FLOOR_WINDOWS; w++) {
      // Half a window further on all but one of them are there already.
      int at = centre + (w - FLOOR_WINDOWS / 2) * length / 2;
      int slot = Math.floorMod(2 * at / length, FLOOR_WINDOWS);
      if (floorCentres[slot] != at) {
        floorCentres[slot] = at;
        for (int i = 0; i < length; i++) {
          int from = at - length / 2 + i;
          section[i] = from < 0 || from >= audio.length ? 0f : audio[from];
        }
        power[0] = floorPowers[slot];
        transform.powers(section, start, bell, power);
      }
    }
  }

  /** Median of the lines around a place, over what it is of the mean of so many windows. */
  private double floor(int place) {
    int n = 0;
    for (int k = place - FLOOR_REACH; k < place + FLOOR_REACH; k++) {
      if (k > 2 && k < length) {
        float sum = 0f;
        for (float[] powers : floorPowers) {
          sum += powers[k];
        }
        around[n++] = sum / FLOOR_WINDOWS;
      }
    }
    // Windows that overlap by half are worth two thirds of so many independent ones. Median of a
    // mean of K powers is (1 − 1/(9K))³ of the mean (Wilson and Hilferty).
    double independent = 0.7 * FLOOR_WINDOWS;
    double bias = Math.pow(1.0 - 1.0 / (9.0 * independent), 3);
    return Math.max(1e-25, Whitener.median(around, n) / bias);
  }
}
