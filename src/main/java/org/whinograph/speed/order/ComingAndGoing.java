package org.whinograph.speed.order;

import java.util.Arrays;
import org.whinograph.signal.Quantile;

/**
 * A strong line that is there in some frames and gone in others, at one place, while the speed is
 * the same in both: so something else than the speed switches it. Immutable.
 */
final class ComingAndGoing {
  private static final double REACH_LINES = 1.5;

  /** From this power over the noise on, no frame misses a line by chance [1]. */
  private static final double STRONG = 36.0;

  private static final int FEWEST = 4;
  private static final double LEAST_SHARE = 0.15;
  private static final double MOST_SHARE = 0.9;

  /** Speeds this near are the same [1]. */
  private static final double SAME_SPEED = 2e-3;

  /** Part of the frames without it that need a frame with it at the same speed. */
  private static final double LEAST_MATCHED = 0.7;

  /** A line that wanders off is elsewhere within this part of its frequency [1]. */
  private static final double NEAR = 0.03;

  /** The frequency of a line that is switched scatters no more than this [lines]. */
  private static final double STEADY_LINES = 0.2;

  /** A rotor that speeds up leaves its line once or comes to it once. */
  private static final int FEWEST_SWITCHINGS = 3;

  private static final double LEAST_EITHER = 0.85;
  private static final double MOST_BOTH = 0.4;

  private final LineTracks tracks;
  private final ShaftMotion motion;
  private final double frequencyHz;
  private final boolean[] on;
  private final int present;
  private final double strength;
  private final double scatterLines;
  private int matched;
  private int gone;

  /**
   * Looks at a line.
   *
   * @param tracks peaks through time
   * @param motion speed through the same frames
   * @param frequencyHz frequency of the line in the average over all [Hz]
   */
  ComingAndGoing(LineTracks tracks, ShaftMotion motion, double frequencyHz) {
    this.tracks = tracks;
    this.motion = motion;
    this.frequencyHz = frequencyHz;
    int n = tracks.frames();
    double reach = REACH_LINES * tracks.lineSpacingHz();
    on = new boolean[n];
    double[] ratios = new double[n];
    double[] places = new double[n];
    int count = 0;
    for (int i = 0; i < n; i++) {
      int peak = tracks.strongest(i, frequencyHz - reach, frequencyHz + reach);
      if (peak >= 0) {
        on[i] = true;
        places[count] = tracks.frequencyHz(peak);
        ratios[count++] = tracks.ratio(peak);
      }
    }
    present = count;
    strength = count == 0 ? 0.0 : Quantile.median(ratios, count);
    // Half of normal values lie within ±0.674 standard deviations.
    scatterLines =
        count == 0
            ? 0.0
            : (Quantile.ranked(places, count, 3 * count / 4)
                    - Quantile.ranked(places, count, count / 4))
                / 1.349
                / tracks.lineSpacingHz();
    match();
  }

  /** Counts the frames without it at whose speed it sounds in others. */
  private void match() {
    double[] sounding = new double[present];
    int n = 0;
    for (int i = 0; i < on.length; i++) {
      if (on[i] && !Double.isNaN(motion.hz(i))) {
        sounding[n++] = motion.hz(i);
      }
    }
    Arrays.sort(sounding, 0, n);
    for (int i = 0; i < on.length; i++) {
      double hz = motion.hz(i);
      if (!on[i] && !Double.isNaN(hz)) {
        gone++;
        int at = Arrays.binarySearch(sounding, 0, n, hz * (1.0 - SAME_SPEED));
        int next = at < 0 ? -at - 1 : at;
        matched += next < n && sounding[next] <= hz * (1.0 + SAME_SPEED) ? 1 : 0;
      }
    }
  }

  /** Changes between sounding and not. */
  private int switchings() {
    int count = 0;
    for (int i = 1; i < on.length; i++) {
      count += on[i] == on[i - 1] ? 0 : 1;
    }
    return count;
  }

  /** Whether it is at one place all the time that it sounds. */
  private boolean steady() {
    return present >= FEWEST && strength >= STRONG && scatterLines <= STEADY_LINES;
  }

  /**
   * Whether it and another are one line that leaps between two places: it sounds at one or the
   * other nearly always, and at both only in the frames of a leap.
   */
  boolean alternatesWith(ComingAndGoing other) {
    int both = 0;
    int either = 0;
    for (int i = 0; i < on.length; i++) {
      both += on[i] && other.on[i] ? 1 : 0;
      either += on[i] || other.on[i] ? 1 : 0;
    }
    return steady()
        && other.steady()
        && either >= LEAST_EITHER * on.length
        && both <= 2 * Math.max(switchings(), other.switchings())
        && both <= MOST_BOTH * Math.min(present, other.present);
  }

  /** Whether it comes and goes by itself. */
  boolean byItself() {
    double share = on.length == 0 ? 0.0 : (double) present / on.length;
    return steady()
        && gone >= FEWEST
        && switchings() >= FEWEST_SWITCHINGS
        && share >= LEAST_SHARE
        && share <= MOST_SHARE
        && matched >= LEAST_MATCHED * gone
        && !elsewhere();
  }

  /** Whether, when it is gone, there is more near by than when it is there. */
  private boolean elsewhere() {
    double with = 0.0;
    double without = 0.0;
    for (int i = 0; i < on.length; i++) {
      int others = tracks.count(i, (1.0 - NEAR) * frequencyHz, (1.0 + NEAR) * frequencyHz);
      if (on[i]) {
        with += others - 1.0;
      } else {
        without += others;
      }
    }
    return without / (on.length - present) > with / present + 0.3;
  }

  /** What speaks for it, in words. */
  String told() {
    return Wording.format(
        "It sounds in %d of %d frames, %.0f dB above the noise in its line, and not in the others,"
            + " %d of which have the same speed as frames in which it sounds: something else than"
            + " the speed switches it, as the load does a coil.",
        present, on.length, 10.0 * Math.log10(strength), matched);
  }
}
