package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.Quantile;

/**
 * What smears in the stack of a comb that stands still. Such a stack is a long spectrum, in which a
 * fixed tone is as narrow as the window allows. A fan too faint to be followed is not: it moves,
 * and lies over several lines of the spectrum, all a little above the noise.
 *
 * <p>All thresholds are a judgement. Immutable.
 */
final class SmearedLines {
  /** Widths that are tried [Hz]: a tenth of a percent to one of blade-pass. */
  private static final double[] WIDTHS_HZ = {1.5, 3.0, 6.0, 12.0};

  /** Half width of a fixed tone under Hann's window, its side lobes with it [bins]. */
  private static final int TONE_REACH = 6;

  /** Power from which on a bin may be a tone's [1]. */
  private static final double TONE_POWER = 6.0;

  /** Power of a line and what is beside it over that of its highest bin: 1.5 of a fixed tone. */
  private static final double MOST_OF_TONE = 2.5;

  /** How far to either side it is summed, at least [bins], and of its frequency [1]. */
  private static final int LEAST_REACH = 8;

  private static final double REACH = 0.003;

  /** One bin says no more than this [1]. */
  private static final double CAP = 2.5;

  /** Nearer to a multiple of the comb's it may be its own [1]. */
  private static final double OWN = 0.01;

  /** Widths on either side that the noise is taken from. */
  private static final int FLANK = 3;

  /**
   * Usual scatters from which on a smeared line is there: all places and widths of noise alone
   * reach 5.1 in two dozen recordings.
   */
  private static final double CLEAR = 6.0;

  private final double binHz;
  private final double[] sums;
  private final int[] counts;

  /**
   * Looks.
   *
   * @param stack the stacked orders of a comb that stands still
   * @param spacingHz spacing of the comb [Hz]
   * @param order order of the comb whose multiples are its own [1]
   */
  SmearedLines(OrderPowers stack, double spacingHz, double order) {
    int bins = (int) (stack.highestOrder() * stack.cycles());
    this.binHz = spacingHz / stack.cycles();
    this.sums = new double[Math.max(0, bins) + 1];
    this.counts = new int[sums.length];
    double own = order * stack.cycles();
    boolean[] tone = tones(stack, bins);
    for (int k = 0; k < bins; k++) {
      double multiple = k / own;
      boolean beside = Math.abs(multiple / Math.max(1.0, Math.rint(multiple)) - 1.0) > OWN;
      boolean counts = beside && !tone[k] && k * binHz > CombSearch.LOWEST_HZ;
      this.sums[k + 1] = sums[k] + (counts ? Math.min(CAP, stack.mean(k)) : 0.0);
      this.counts[k + 1] = this.counts[k] + (counts ? 1 : 0);
    }
  }

  /** The bins of fixed tones. */
  private static boolean[] tones(OrderPowers stack, int bins) {
    boolean[] result = new boolean[Math.max(0, bins)];
    for (int k = TONE_REACH; k + TONE_REACH < bins; k++) {
      double top = stack.mean(k);
      if (top > TONE_POWER && isGreatest(stack, k)) {
        int reach = Math.max(LEAST_REACH, (int) (REACH * k));
        double all = 0.0;
        for (int i = Math.max(1, k - reach); i <= k + reach; i++) {
          all += stack.mean(i) - 1.0;
        }
        if (all < MOST_OF_TONE * (top - 1.0)) {
          Arrays.fill(result, k - TONE_REACH, k + TONE_REACH + 1, true);
        }
      }
    }
    return result;
  }

  private static boolean isGreatest(OrderPowers stack, int k) {
    for (int d = 1; d <= TONE_REACH; d++) {
      if (stack.mean(k - d) > stack.mean(k) || stack.mean(k + d) > stack.mean(k)) {
        return false;
      }
    }
    return true;
  }

  /** Whether a smeared line is there that isn't the comb's. */
  boolean any() {
    for (double width : WIDTHS_HZ) {
      int half = Math.max(1, (int) (0.5 * width / binHz));
      double[] excess = new double[sums.length];
      int n = 0;
      double most = 0.0;
      int reach = (FLANK + 1) * (2 * half + 1);
      for (int k = reach; k + reach < sums.length - 1; k++) {
        double value = excess(k, half);
        if (!Double.isNaN(value)) {
          most = Math.max(most, value);
          excess[n++] = Math.abs(value);
        }
      }
      if (n > 0 && most > CLEAR * 1.4826 * Quantile.median(excess, n)) {
        return true;
      }
    }
    return false;
  }

  /** Mean power about a bin over that on both sides, NaN where too little is left to tell. */
  private double excess(int k, int half) {
    int whole = 2 * half + 1;
    int far = half + FLANK * whole;
    int near = 2 * half;
    double inside = sums[k + half + 1] - sums[k - half];
    int insideCount = counts[k + half + 1] - counts[k - half];
    double beside = sums[k - near] - sums[k - far] + sums[k + far + 1] - sums[k + near + 1];
    int besideCount =
        counts[k - near] - counts[k - far] + counts[k + far + 1] - counts[k + near + 1];
    return insideCount > 0.6 * whole && besideCount > 2 * whole
        ? inside / insideCount - beside / besideCount
        : Double.NaN;
  }
}
