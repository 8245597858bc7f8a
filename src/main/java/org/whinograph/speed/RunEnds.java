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

  /**
   * Change over a step, between two of which neither has so great a share of it, that no shaft
   * makes: it is a leap to another line beside the comb (judgement) [ln 1], [1].
   */
  private static final double LEAP = 0.04;

  private static final double LEAP_SHARE = 0.25;

  /** A frame that is less sure than this stays unknown [1]. */
  private static final double MOST_DEVIATION = 0.02;

  /**
   * The same where its window still told a place: by a corner anywhere in its second half, T/2,
   * from which on the speed loses half of itself in a second (judgement), the mean over T loses τ²
   * / 4T, by rms T / (16 √5) with T of a quarter second [1].
   */
  private static final double LEFT = 0.007;

  /** Deviation of the last frame before a comb is lost, which may have begun to run down [1]. */
  private static final double LOST = 0.015;

  /** Frames of a run's end whose place is sought anew, and those before that give the slope. */
  private static final int AGAIN = 2;

  private static final int LEADING = 6;

  private final double rate;
  private final int hop;
  private final WaySearch search;
  private final EndFit fit;
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
    this.fit = new EndFit(rate / hop);
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
   * Follows one end of a run outward, to where another begins or nothing is heard. A fan falls
   * silent where it comes to rest; what rises far and is lost at the top is other notes of music.
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
    boolean meets = false;
    search.beginEnd();
    for (int step = 1; step <= MOST_STEPS && all > most - MOST_LOST - CLEAR_NATS; step++) {
      boolean own = step <= 2 * AGAIN;
      int beyond = first + direction * ((step + 1) / 2);
      meets = !own && beyond >= 0 && beyond < hz.length && !Double.isNaN(hz[beyond]);
      if (beyond < 0 || beyond >= hz.length || meets) {
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
    Way[] path = withoutLeap(reached, last);
    double rise = path.length == 0 ? 0.0 : Math.log(path[path.length - 1].hz() / hz[first]);
    if ((path.length - 1) / 2 <= AGAIN || (rise > GLIDE && !meets)) {
      deviation[edge] = Math.max(deviation[edge], LOST);
      return false;
    }
    boolean moves = Math.abs(rise) > CALM;
    if (moves) {
      refine(path, first, direction);
    }
    take(path, first, direction, moves);
    return Math.abs(rise) > GLIDE;
  }

  /** The steps to one that was reached, in order, but none from a leap on. */
  static Way[] withoutLeap(Way reached, int last) {
    Way[] path = new Way[reached == null ? 0 : last + 1];
    Way way = reached;
    for (int i = path.length - 1; i >= 0; i--) {
      path[i] = way;
      way = way.before();
    }
    for (int i = 1; i + 1 < path.length; i++) {
      double leap = change(path, i);
      double before = i > 1 ? change(path, i - 1) : 0.0;
      if (leap > LEAP && Math.max(before, change(path, i + 1)) < LEAP_SHARE * leap) {
        return Arrays.copyOf(path, i);
      }
    }
    return path;
  }

  /** Size of a step [ln 1]. */
  private static double change(Way[] path, int step) {
    return Math.abs(Math.log(path[step].hz() / path[step - 1].hz()));
  }

  /** Whether the spacing has been about the same for long. */
  private static boolean isCalm(Way way) {
    Way earlier = way;
    for (int i = 0; i < CALM_STEPS && earlier != null; i++) {
      earlier = earlier.before();
    }
    return earlier != null && Math.abs(Math.log(way.hz() / earlier.hz())) < CALM;
  }

  /** Reads the places once more, each along the slope that all of them tell. */
  private void refine(Way[] path, int first, int direction) {
    Way[] read = path.clone();
    for (int i = 1; i < path.length; i++) {
      fit.layWithout(read, i);
      int centre = (first + 1) * hop + direction * i * hop / 2;
      if (!fit.isBent()) {
        double slope = 2.0 * direction * rate / hop * fit.slope();
        path[i] = search.refined(centre, fit.place(), slope, Math.sqrt(fit.variance()));
      }
    }
  }

  /** Writes what was found into the frames. */
  private void take(Way[] path, int first, int direction, boolean moves) {
    int last = (path.length - 1) / 2;
    for (int k = 1; k <= last; k++) {
      int frame = first + direction * k;
      fit.lay(path, 2 * k);
      double relative = Math.sqrt(fit.variance()) / fit.mean();
      hz[frame] = relative < MOST_DEVIATION ? fit.mean() : Double.NaN;
      deviation[frame] = relative;
      joined[direction > 0 ? frame : frame + 1] = true;
    }
    if (!moves && path.length % 2 == 1) {
      int frame = first + direction * last;
      deviation[frame] = Math.max(deviation[frame], LEFT);
    }
    int after = first + direction * (last + 1);
    if (after >= 0 && after < hz.length) {
      joined[direction > 0 ? after : after + 1] = false;
    }
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
