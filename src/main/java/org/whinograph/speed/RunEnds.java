package org.whinograph.speed;

import java.util.Arrays;
import java.util.List;
import org.whinograph.speed.WaySearch.Way;

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
  /** Evidence of a harmonic from which on it is looked at [nat]. */
  private static final double LEAST_HARMONIC = 0.8;

  /** Logarithm of the mean likelihood ratio from which on a step counts [nat]. */
  private static final double CLEAR_NATS = 6.0;

  /** What a step must have to be worth going on to [nat], and how far what is lost may go. */
  private static final double STEP_NATS = 1.5;

  private static final double MOST_LOST = 8.0;

  /** A fan comes to rest or to speed within so many steps: six seconds. */
  private static final int MOST_STEPS = 48;

  /** What changes by less than this over a second is left to the search [1], [steps]. */
  private static final double CALM = 0.03;

  private static final int CALM_STEPS = 9;

  /**
   * Change of the spacing along an end that no note makes: a fourth, as a logarithm (judgement).
   */
  private static final double GLIDE = 0.3;

  /** A frame that is less sure than this stays unknown [1]. */
  private static final double MOST_DEVIATION = 0.02;

  /** Steps to either side that a parabola is laid through, and what each errs by at least [1]. */
  private static final int FIT_STEPS = 3;

  private static final double OFF_FIT = 0.001;

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
  private final WaySearch search;
  private double[] hz = {};
  private double[] deviation = {};
  private boolean[] joined = {};

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
    this.search = new WaySearch(rate, hop, highestHz);
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
    this.hz = hz;
    this.deviation = deviation;
    this.joined = joined;
    search.begin(
        audio,
        orders(harmonicEvidence),
        standing.stream().mapToDouble(Double::doubleValue).toArray());
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
    int[] result = new int[WaySearch.MOST_HARMONICS];
    int count = 0;
    for (int m = 0; m < evidence.length && count < WaySearch.MOST_HARMONICS; m++) {
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
    search.beginEnd();
    for (int step = 1; step <= MOST_STEPS && all > most - MOST_LOST - CLEAR_NATS; step++) {
      boolean own = step <= 2 * AGAIN;
      int beyond = first + direction * ((step + 1) / 2);
      if (beyond < 0 || beyond >= hz.length || (!own && !Double.isNaN(hz[beyond]))) {
        break;
      }
      int centre = (first + 1) * hop + direction * step * hop / 2;
      ways = search.onward(centre, ways, seconds);
      if (ways.isEmpty() || isCalm(ways.get(0))) {
        break;
      }
      all += search.nats() - STEP_NATS;
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
    for (Way way = reached; last >= 0; way = way.before()) {
      path[last--] = way;
    }
    take(path, first, direction);
    return Math.abs(Math.log(reached.hz() / path[0].hz())) > GLIDE;
  }

  /** Whether the spacing has been about the same for long. */
  private static boolean isCalm(Way way) {
    Way earlier = way;
    for (int i = 0; i < CALM_STEPS && earlier != null; i++) {
      earlier = earlier.before();
    }
    return earlier != null && Math.abs(Math.log(way.hz() / earlier.hz())) < CALM;
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
    double least = OFF_FIT * path[at].hz();
    for (int i = from; i <= to; i++) {
      double x = i - at;
      double w = 1.0 / (path[i].variance() + least * least);
      double[] powers = {1.0, x, x * x};
      for (int r = 0; r < 3; r++) {
        for (int c = 0; c < 3; c++) {
          a[r][c] += w * powers[r] * powers[c];
        }
        a[r][3] += w * powers[r] * path[i].hz();
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
      double off = path[i].hz() - value - slope * x - bend * x * x;
      misfit += off * off / (path[i].variance() + least * least);
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
}
