package org.whinograph.band;

import java.util.List;

/**
 * All bands that run at one sample rate, and the halving that feeds the next stage.
 *
 * <p>The zeros (1 − z⁻¹)³ (1 + z⁻¹) = 1 − 2z⁻¹ + 2z⁻³ − z⁻⁴ are common to all bands and computed
 * once. A constant of 10⁻³⁰, far below anything measured, keeps the filters' decay after digital
 * silence out of the denormal numbers, in which arithmetic is many times slower.
 *
 * <p>One thread at a time.
 */
final class BandStage {
  /** Keeps arithmetic out of the denormal range; −600 dB against full scale. */
  static final double BIAS = 1e-30;

  private static final int HISTORY = 4;

  private final List<BandMeter> meters;
  private final BandStage next;
  private final HalfBandDecimator decimator = new HalfBandDecimator();
  private final double[] input;
  private final double[] zeroed;
  private long position;

  /**
   * Prepares a stage.
   *
   * @param meters bands that run at this stage's rate
   * @param capacity most samples at once
   * @param next the stage at half the rate, or null
   */
  BandStage(List<BandMeter> meters, int capacity, BandStage next) {
    this.meters = List.copyOf(meters);
    this.input = new double[HISTORY + capacity];
    this.zeroed = new double[capacity];
    this.next = next;
  }

  /** Where {@link #process} takes its samples from. */
  double[] input() {
    return input;
  }

  /** Index of the first sample in {@link #input()}. */
  static int inputStart() {
    return HISTORY;
  }

  /** Takes samples from {@link #input()} through all bands and all later stages. */
  void process(int length) {
    applyZeros(input, zeroed, length);
    int i = 0;
    for (; i + 1 < meters.size(); i += 2) {
      BandMeter.process(meters.get(i), meters.get(i + 1), zeroed, length, position);
    }
    if (i < meters.size()) {
      meters.get(i).process(zeroed, length, position);
    }
    position += length;
    if (next != null) {
      int produced = decimator.decimate(input, HISTORY, length, next.input, HISTORY);
      if (produced > 0) {
        next.process(produced);
      }
    }
    System.arraycopy(input, length, input, 0, HISTORY);
  }

  private static void applyZeros(double[] in, double[] out, int length) {
    for (int i = 0; i < length; i++) {
      out[i] = (in[i + 4] - in[i]) - 2.0 * (in[i + 3] - in[i + 1]) + BIAS;
    }
  }
}
