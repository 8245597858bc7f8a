package org.whinograph.speed;

import java.util.Arrays;

/**
 * Weighs a run of a path frame by frame: forward and backward within a band around it, against its
 * neighbourhood and against silence.
 *
 * <p>Each loop over the band is a method of its own: in a recording of minutes it is their
 * compilation that costs, and one by one they are compiled once.
 */
final class PathBand {
  /** Cells to either side of the path. */
  private static final int BAND = 16;

  private static final int WIDTH = 2 * BAND + 1;
  private static final double FADE = 0.02;
  private static final double RISE = 0.1;

  private final int cells;
  private final double[] kernel;

  /**
   * Prepares.
   *
   * @param cells cells of the grid
   * @param kernel probability of a drift by 0, 1 … cells within a frame
   */
  PathBand(int cells, double[] kernel) {
    this.cells = cells;
    this.kernel = kernel;
  }

  /**
   * Settles a run.
   *
   * @param emission likelihood of each cell, by frame
   * @param offEmission likelihood of silence, by frame
   * @param path cells of the path
   * @param from first frame of the run
   * @param to its end, exclusive
   * @param spacing where the mean spacing of each frame goes [Hz]
   * @param confidence where the probability of the band goes
   */
  void settle(
      float[][] emission,
      double[] offEmission,
      int[] path,
      int from,
      int to,
      double[] spacing,
      double[] confidence) {
    int frames = to - from;
    double[][] alpha = new double[frames][WIDTH + 1];
    double[][] e = new double[frames][WIDTH + 1];
    double[] state = new double[WIDTH + 1];
    Arrays.fill(state, 0.9 / WIDTH);
    state[WIDTH] = 0.1;
    for (int t = 0; t < frames; t++) {
      cut(emission[from + t], path[from + t], e[t]);
      e[t][WIDTH] = offEmission[from + t];
      if (t > 0) {
        step(alpha[t - 1], state);
      }
      weigh(state, e[t], alpha[t]);
    }
    double[] ahead = new double[WIDTH + 1];
    Arrays.fill(state, 1.0);
    for (int t = frames - 1; t >= 0; t--) {
      double mass = mass(alpha[t], state);
      double total = mass + alpha[t][WIDTH] * state[WIDTH];
      confidence[from + t] = total > 0.0 ? mass / total : 0.0;
      double off = mass > 0.0 ? moment(alpha[t], state) / mass : 0.0;
      double centre = Math.max(0.0, Math.min(cells - 1.0, path[from + t] + off));
      spacing[from + t] = CombSearch.hzOf(centre);
      if (t > 0) {
        weigh(state, e[t], ahead);
        step(ahead, state);
      }
    }
  }

  private void cut(float[] emission, int path, double[] e) {
    int first = path - BAND;
    for (int k = Math.max(0, -first); k < Math.min(WIDTH, cells - first); k++) {
      e[k] = emission[first + k];
    }
  }

  /** Products of sum 1. */
  private static void weigh(double[] state, double[] e, double[] result) {
    double sum = 0.0;
    for (int k = 0; k <= WIDTH; k++) {
      result[k] = state[k] * e[k] + 1e-300;
      sum += result[k];
    }
    for (int k = 0; k <= WIDTH; k++) {
      result[k] /= sum;
    }
  }

  private static double mass(double[] alpha, double[] beta) {
    double sum = 0.0;
    for (int k = 0; k < WIDTH; k++) {
      sum += alpha[k] * beta[k];
    }
    return sum;
  }

  private static double moment(double[] alpha, double[] beta) {
    double sum = 0.0;
    for (int k = 0; k < WIDTH; k++) {
      sum += alpha[k] * beta[k] * (k - BAND);
    }
    return sum;
  }

  /** One frame's drift about the path within the band; the last state is silence. */
  private void step(double[] in, double[] out) {
    double on = 0.0;
    for (int k = 0; k < WIDTH; k++) {
      on += in[k];
    }
    for (int to = 0; to < WIDTH; to++) {
      double sum = 0.0;
      for (int k = 0; k < WIDTH; k++) {
        sum += in[k] * kernel[Math.abs(k - to)];
      }
      out[to] = sum * (1.0 - FADE) + in[WIDTH] * RISE / WIDTH;
    }
    out[WIDTH] = on * FADE + in[WIDTH] * (1.0 - RISE);
  }
}
