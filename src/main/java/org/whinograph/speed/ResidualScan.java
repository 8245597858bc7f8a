package org.whinograph.speed;

import java.util.Arrays;

/**
 * Which residuals of the speed to look at for the greatest sum of periodograms, and the sums. A
 * residual is looked at together with its opposite, since their products are the same: every third
 * first, then those beside all that may lie next to the top, then those beside the greatest until
 * it is greater than its neighbours.
 *
 * <p>One place asks for all of them, so that what adds them up is compiled once. Nothing is
 * allocated per scan once the widest was met. Not safe for use by several threads.
 */
final class ResidualScan {
  /**
   * A step beside its top, a fifth of a line, a Hann window is down to 0.95: what is left below the
   * greatest by more than {@value #COARSE_LOSS} of it and one nat has no greater one beside it.
   */
  private static final int COARSE = 3;

  private static final double COARSE_LOSS = 0.2;

  private static final double COARSE_LOSS_NATS = 1.0;

  /** What is further below the greatest hardly counts [nat]. */
  private static final double LEAST_NATS = 12.0;

  /** Power of each harmonic by residual, the middle one at {@link #side}. */
  private final double[][] powers;

  private double[] sums = {};
  private int[] places = {};
  private int side;
  private double stepDeviations;
  private int count;
  private int at;
  private boolean coarse;
  private int greatest;

  /**
   * Prepares.
   *
   * @param harmonics number of harmonics that are added up
   */
  ResidualScan(int harmonics) {
    this.powers = new double[harmonics][];
  }

  /**
   * Begins a scan.
   *
   * @param side residuals to either side of the middle, at least 2
   * @param stepDeviations spacing of the residuals [standard deviations of the bell that holds them
   *     near the middle]
   */
  void begin(int side, double stepDeviations) {
    this.side = side;
    this.stepDeviations = stepDeviations;
    if (sums.length < 2 * side + 1) {
      sums = new double[4 * side + 1];
      places = new int[2 * side + 1];
      for (int m = 0; m < powers.length; m++) {
        powers[m] = new double[sums.length];
      }
    }
    Arrays.fill(sums, 0, 2 * side + 1, Double.NEGATIVE_INFINITY);
    count = 0;
    for (int k = 0; k <= side; k += COARSE) {
      want(k);
    }
    at = -1;
    coarse = true;
    greatest = 0;
  }

  /** Goes on to the next residual to look at; false if there is none. */
  boolean next() {
    if (at >= 0) {
      addUp(places[at]);
    }
    at++;
    if (at == count && coarse) {
      coarse = false;
      wantNearTop();
    }
    if (at == count) {
      int k = Math.abs(greatest);
      want(Math.min(side, k + 1));
      if (k > 0) {
        want(k - 1);
      }
    }
    return at < count;
  }

  private void wantNearTop() {
    double enough = sums[side + greatest];
    enough -= COARSE_LOSS * Math.abs(enough) + COARSE_LOSS_NATS;
    for (int k = 0; k <= side; k += COARSE) {
      if (Math.max(sums[side - k], sums[side + k]) >= enough) {
        want(Math.max(0, k - 1));
        want(Math.min(side, k + 1));
      }
    }
  }

  private void want(int k) {
    if (sums[side + k] == Double.NEGATIVE_INFINITY) {
      places[count++] = k;
    }
  }

  /** The residual to look at, at least 0. */
  int place() {
    return places[at];
  }

  /**
   * Takes what a harmonic has there.
   *
   * @param m which harmonic, counted from 0
   * @param above its periodogram at the residual [1]
   * @param below the same at the opposite [1]
   */
  void add(int m, double above, double below) {
    powers[m][side - places[at]] = below;
    powers[m][side + places[at]] = above;
  }

  private void addUp(int k) {
    double up = 0.0;
    double down = 0.0;
    for (double[] power : powers) {
      up += power[side + k];
      down += power[side - k];
    }
    double bell = 0.5 * k * k * stepDeviations * stepDeviations;
    put(k, up - bell);
    put(-k, down - bell);
  }

  private void put(int k, double sum) {
    sums[side + k] = sum;
    if (sum > sums[side + greatest]) {
      greatest = k;
    }
  }

  /** Residual of the greatest sum, from −side to side. */
  int greatest() {
    return greatest;
  }

  /** Sum at a residual, less the bell. */
  double sum(int residual) {
    return sums[side + residual];
  }

  /**
   * Mean square of the distance from a place, the sums taken for logarithms of the likelihood: more
   * than the greatest one's sharpness tells where others are nearly as great.
   *
   * @param place where from [residuals]
   * @return mean square [residuals²]
   */
  double spread(double place) {
    double top = sums[side + greatest];
    double total = 0.0;
    double squares = 0.0;
    for (int k = -side; k <= side; k++) {
      double sum = sums[side + k];
      if (sum == Double.NEGATIVE_INFINITY) {
        // Not near a top: much as at the nearest that was looked at.
        int near = COARSE * ((Math.abs(k) + COARSE / 2) / COARSE);
        near = near > side ? near - COARSE : near;
        sum = sums[side + (k < 0 ? -near : near)];
      }
      if (sum > top - LEAST_NATS) {
        double likelihood = Math.exp(sum - top);
        total += likelihood;
        squares += likelihood * (k - place) * (k - place);
      }
    }
    return squares / total;
  }

  /** Power of a harmonic at a residual [1]. */
  double power(int m, int residual) {
    return powers[m][side + residual];
  }
}
