package org.whinograph.speed;

import java.util.Arrays;

/**
 * How a comb's spacing goes on from one frame to the next: the transitions of the hidden Markov
 * model whose states are "comb at cell c" and "no comb". Within a frame it drifts a little, seldom
 * much, or goes on along the slope that was seen; now and then a comb starts, stops or another one
 * takes its place.
 *
 * <p>Nothing is allocated per frame. Not safe for use by several threads.
 */
final class CombDrift {
  /** What a jump puts into a cell at least: how one of less goes on matters nothing [1]. */
  static final float NEGLIGIBLE = 4e-8f;

  /** How probable it is that a comb stops within a frame (judgement: once in four minutes). */
  static final double STOP = 1e-3;

  /** How probable it is that one starts (judgement). */
  static final double START = 1e-3;

  /** How probable it is that another one takes its place (judgement). */
  static final double JUMP = 1e-4;

  /** Share of the drift that is narrow, and how it and the wide rest fall off [1/cell]. */
  private static final double NARROW = 0.85;

  private static final double NARROW_DECAY = Math.exp(-1.0 / 0.5);
  private static final double WIDE_DECAY = Math.exp(-1.0 / 8.0);

  /** How probable it is that a comb goes on along its slope, and the fall off beside it. */
  private static final double CARRIED = 0.4;

  private static final double CARRIED_DECAY = Math.exp(-1.0 / 3.0);

  /** Greatest distance that a path is followed over from a frame to the next [cells]. */
  static final int REACH = 120;

  private static final double[] KERNEL = kernels();

  private static final double[] LOG_KERNEL = Arrays.stream(KERNEL).map(Math::log).toArray();

  private static final double[] CARRIED_KERNEL = carriedKernel();

  private final int cells;
  private final double[] upNarrow;
  private final double[] upWide;
  private final double[] upCarried;
  private final double[] carried;

  /**
   * Makes room.
   *
   * @param cells cells of the grid of spacings
   */
  CombDrift(int cells) {
    this.cells = cells;
    this.carried = new double[cells];
    this.upNarrow = new double[cells];
    this.upWide = new double[cells];
    this.upCarried = new double[cells];
  }

  /** Probability of a drift by so many cells, either way, beside the slope [index: cells]. */
  static double[] kernel() {
    return KERNEL.clone();
  }

  /** Logarithm of the probability of a drift by so many cells, beside the slope [nat]. */
  static double logDrift(int by) {
    return LOG_KERNEL[Math.abs(by)];
  }

  /**
   * Spreads a distribution by one frame's drift, in place. Part of it goes on along the slope that
   * the short windows saw: a ramp carries on. What is nowhere near a state that matters is cleared.
   */
  void move(double[] state, byte[] slope) {
    int done = 0;
    int c = nextState(state, 0);
    while (c < cells) {
      int last = c;
      int next = nextState(state, c + 1);
      while (next < cells && next - last <= 2 * REACH) {
        last = next;
        next = nextState(state, next + 1);
      }
      int from = Math.max(done, c - REACH);
      int to = Math.min(cells, last + REACH + 1);
      Arrays.fill(state, done, from, 0.0);
      carry(state, slope, from, to);
      foldUp(state, from, to);
      foldDown(state, from, to);
      done = to;
      c = next;
    }
    Arrays.fill(state, done, cells, 0.0);
  }

  private int nextState(double[] state, int from) {
    int c = from;
    while (c < cells && state[c] < NEGLIGIBLE) {
      c++;
    }
    return c;
  }

  private void carry(double[] state, byte[] slope, int from, int to) {
    Arrays.fill(carried, from, to, 0.0);
    for (int c = from; c < to; c++) {
      carried[Math.max(from, Math.min(to - 1, c + 4 * slope[c]))] += CARRIED * state[c];
    }
  }

  /**
   * Two-sided exponential smoothing in two passes, narrow, wide and along the slopes at once: each
   * recursion waits for itself, so that three take hardly longer than one.
   */
  private void foldUp(double[] state, int from, int to) {
    double narrow = 0.0;
    double wide = 0.0;
    double along = 0.0;
    for (int c = from; c < to; c++) {
      narrow = state[c] + NARROW_DECAY * narrow;
      wide = state[c] + WIDE_DECAY * wide;
      along = carried[c] + CARRIED_DECAY * along;
      upNarrow[c] = narrow;
      upWide[c] = wide;
      upCarried[c] = along;
    }
  }

  private void foldDown(double[] state, int from, int to) {
    double narrowScale = (1.0 - CARRIED) * NARROW * middle(NARROW_DECAY);
    double wideScale = (1.0 - CARRIED) * (1.0 - NARROW) * middle(WIDE_DECAY);
    double alongScale = middle(CARRIED_DECAY);
    double narrow = 0.0;
    double wide = 0.0;
    double along = 0.0;
    for (int c = to - 1; c >= from; c--) {
      double here = state[c];
      state[c] =
          narrowScale * (upNarrow[c] + NARROW_DECAY * narrow)
              + wideScale * (upWide[c] + WIDE_DECAY * wide)
              + alongScale * (upCarried[c] + CARRIED_DECAY * along);
      narrow = here + NARROW_DECAY * narrow;
      wide = here + WIDE_DECAY * wide;
      along = carried[c] + CARRIED_DECAY * along;
    }
  }

  /** Middle weight of a two-sided exponential of sum 1. */
  private static double middle(double decay) {
    return (1.0 - decay) / (1.0 + decay);
  }

  private static double[] carriedKernel() {
    double[] result = new double[REACH + 1];
    for (int d = 0; d < result.length; d++) {
      result[d] = middle(CARRIED_DECAY) * Math.pow(CARRIED_DECAY, d);
    }
    return result;
  }

  private static double[] kernels() {
    double[] result = new double[REACH + 1];
    for (int d = 0; d < result.length; d++) {
      result[d] = kernel(d);
    }
    return result;
  }

  private static double kernel(int distance) {
    return NARROW * middle(NARROW_DECAY) * Math.exp(-distance / 0.5)
        + (1.0 - NARROW) * middle(WIDE_DECAY) * Math.exp(-distance / 8.0);
  }

  /** Probability that a comb moves so many cells within a frame while it has a slope. */
  static double moved(int by, int slope) {
    int off = Math.min(REACH, Math.abs(by - 4 * slope));
    return ((1.0 - CARRIED) * KERNEL[Math.abs(by)] + CARRIED * CARRIED_KERNEL[off])
        * (1.0 - STOP - JUMP);
  }
}
