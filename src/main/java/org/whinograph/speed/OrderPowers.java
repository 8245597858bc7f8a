package org.whinograph.speed;

/**
 * Mean powers by order of a comb, summed over many windows. Bins are 1/{@code cycles} of the comb's
 * spacing wide. Not safe for use by several threads.
 */
final class OrderPowers {
  private static final int AROUND = 15;

  private final int cycles;
  private final double[] sum;
  private final int[] count;
  private final float[] around = new float[2 * AROUND];
  private int highestBin;

  /**
   * Starts empty.
   *
   * @param cycles bins a unit of order
   * @param bins number of bins
   */
  OrderPowers(int cycles, int bins) {
    this.cycles = cycles;
    this.sum = new double[bins];
    this.count = new int[bins];
  }

  /**
   * Leaves orders out as if nothing had been stacked there.
   *
   * @param from lowest order of the comb
   * @param to highest order
   * @param beside bins to either side that go as well
   */
  void leaveOut(double from, double to, int beside) {
    int first = Math.max(0, (int) Math.floor(from * cycles) - beside);
    int last = Math.min(count.length - 1, (int) Math.ceil(to * cycles) + beside);
    for (int k = first; k <= last; k++) {
      sum[k] = 0.0;
      count[k] = 0;
    }
  }

  /** Bins a unit of order. */
  int cycles() {
    return cycles;
  }

  /**
   * Adds the power of one window.
   *
   * @param bin which bin
   * @param power power, 1 under noise [1]
   */
  void add(int bin, float power) {
    sum[bin] += power;
    count[bin]++;
    highestBin = Math.max(highestBin, bin);
  }

  /**
   * Adds the powers of one window to the first bins.
   *
   * @param powers powers, one a bin
   * @param scale what they are to be multiplied by to be 1 under noise
   * @param bins number of bins
   */
  void add(float[] powers, float scale, int bins) {
    for (int k = 0; k < bins; k++) {
      sum[k] += scale * powers[k];
      count[k]++;
    }
    highestBin = Math.max(highestBin, bins - 1);
  }

  /**
   * Mean whitened power at an order of the comb: the greatest of the nearest lines, over the median
   * of the lines around.
   *
   * @param order order of the comb, above 0
   * @return mean power [1 under noise], or NaN outside the stack
   */
  double power(double order) {
    double place = order * cycles;
    int near = (int) Math.round(place);
    if (near < 3 || near + 1 >= count.length || count[near] == 0) {
      return Double.NaN;
    }
    int other = place > near ? near + 1 : near - 1;
    double greatest = mean(near);
    if (Math.abs(place - near) > 0.2) {
      greatest = Math.max(greatest, mean(other));
    }
    return greatest / Math.max(0.5, floorAround(near));
  }

  /**
   * How far the greatest line near an order of the comb stands from it, by the parabola through the
   * logarithms of three bins.
   *
   * @param order order of the comb, above 0
   * @param reach how many bins to either side are looked at
   * @return distance [bins, at least 0]
   */
  double distance(double order, int reach) {
    double place = order * cycles;
    int near = (int) Math.round(place);
    int top = near;
    for (int k = near - reach; k <= near + reach; k++) {
      top = mean(k) > mean(top) ? k : top;
    }
    double left = Math.log(mean(top - 1));
    double right = Math.log(mean(top + 1));
    double bend = left + right - 2.0 * Math.log(mean(top));
    double offset = bend < 0.0 ? Math.max(-0.5, Math.min(0.5, 0.5 * (left - right) / bend)) : 0.0;
    return Math.abs(top + offset - place);
  }

  /**
   * How many independent powers the mean at an order of the comb is worth: no more than the windows
   * that went into it, and no more than the scatter of the bins around allows. Lines that pass make
   * it wider than noise.
   */
  double independent(double order) {
    int near = (int) Math.round(order * cycles);
    if (near >= count.length || count[near] == 0) {
      return 0.0;
    }
    int n = gatherAround(near);
    double windowsWorth = Math.max(1.0, count[near]);
    if (n < 8) {
      return windowsWorth;
    }
    // Quartiles of a normal distribution are 1.349 standard deviations apart.
    float quartiles = Whitener.ranked(around, n, 3 * n / 4) - Whitener.ranked(around, n, n / 4);
    double deviation = quartiles / 1.349 / Whitener.median(around, n);
    return Math.max(1.0, Math.min(windowsWorth, 1.0 / (deviation * deviation)));
  }

  /** Highest order of the comb in the stack. */
  double highestOrder() {
    return (highestBin - 1.0) / cycles;
  }

  /** Powers that went into an order of the comb, 0 outside the stack. */
  int count(double order) {
    int near = (int) Math.round(order * cycles);
    return near < count.length ? count[near] : 0;
  }

  /**
   * Mean whitened power over the bins around an order of the comb.
   *
   * @param order order of the comb
   * @param reach how many bins to either side
   * @return mean power [1 under noise]
   */
  double meanAround(double order, int reach) {
    int near = (int) Math.round(order * cycles);
    double total = 0.0;
    for (int k = near - reach; k <= near + reach; k++) {
      total += mean(k);
    }
    return total / (2 * reach + 1);
  }

  /** Mean whitened power of a bin [1], 1 outside the stack. */
  double mean(int k) {
    return k < 0 || k >= count.length || count[k] == 0 ? 1.0 : sum[k] / count[k];
  }

  private int gatherAround(int k) {
    int n = 0;
    for (int d = 3; d < 3 + AROUND; d++) {
      if (k - d > 0 && count[k - d] > 0) {
        around[n++] = (float) mean(k - d);
      }
      if (k + d < count.length && count[k + d] > 0) {
        around[n++] = (float) mean(k + d);
      }
    }
    return n;
  }

  private double floorAround(int k) {
    int n = gatherAround(k);
    if (n < 8) {
      return 1.0;
    }
    // Median of a mean of K powers is (1 − 1/(9K))³ of the mean (Wilson and Hilferty).
    double bias = Math.pow(1.0 - 1.0 / (9.0 * Math.max(1.0, count[k])), 3);
    return Whitener.median(around, n) / bias;
  }
}
