package org.whinograph.speed;

import org.whinograph.signal.RealTransform;

/**
 * The whole recording stacked in orders of the comb. Sampled by angle, every line that moves with
 * the comb falls on its own order however the speed goes, and the powers of all windows add up:
 * weak shaft orders rise out of the noise that hides them in any one window.
 *
 * <p>Bins are 1/{@code cycles} of the comb's spacing wide. Not safe for use by several threads.
 */
final class OrderStack {
  private static final int TAPS = 8;
  private static final int PHASES = 256;
  private static final int MOST_BINS = 65_536;
  private static final float[][] KERNEL = kernel();

  private final int cycles;
  private final double[] sum;
  private final int[] count;
  private int windows;

  /**
   * Starts a stack.
   *
   * @param spacingHz typical spacing of the comb [Hz]
   * @param seconds wanted length of a window [s]
   */
  OrderStack(double spacingHz, double seconds) {
    int wanted = (int) Math.round(Math.log(spacingHz * seconds) / Math.log(2.0));
    this.cycles = 1 << Math.max(4, Math.min(15, wanted));
    this.sum = new double[MOST_BINS];
    this.count = new int[MOST_BINS];
  }

  private static float[][] kernel() {
    float[][] result = new float[PHASES][TAPS];
    for (int p = 0; p < PHASES; p++) {
      double total = 0.0;
      double[] taps = new double[TAPS];
      for (int i = 0; i < TAPS; i++) {
        double x = i - (TAPS / 2 - 1) - (double) p / PHASES;
        double sinc = Math.abs(x) < 1e-12 ? 1.0 : Math.sin(Math.PI * x) / (Math.PI * x);
        double bell = Math.cos(Math.PI * x / (TAPS + 0.5));
        taps[i] = sinc * bell * bell;
        total += taps[i];
      }
      for (int i = 0; i < TAPS; i++) {
        result[p][i] = (float) (taps[i] / total);
      }
    }
    return result;
  }

  /** Cycles of the comb in a window: bins a unit of order. */
  int cycles() {
    return cycles;
  }

  /** Windows stacked so far. */
  int windows() {
    return windows;
  }

  /**
   * Adds a run of frames.
   *
   * @param audio samples
   * @param rate their rate [Hz]
   * @param times centres of the frames [samples]
   * @param hz spacing of the comb at those centres [Hz, all known]
   * @param from first frame
   * @param to end, exclusive
   * @param highestHz orders above this frequency are left out [Hz]
   */
  void add(
      float[] audio, double rate, double[] times, double[] hz, int from, int to, double highestHz) {
    double lowest = Double.POSITIVE_INFINITY;
    double highest = 0.0;
    for (int i = from; i < to; i++) {
      lowest = Math.min(lowest, hz[i]);
      highest = Math.max(highest, hz[i]);
    }
    if (to - from < 2) {
      return;
    }
    int perCycle = 4;
    while (perCycle * lowest < rate) {
      perCycle *= 2;
    }
    int length = perCycle * cycles;
    if (length > 1 << 19) {
      return;
    }
    RealTransform transform = new RealTransform(length);
    int lines = Math.min(MOST_BINS, Math.min(length / 2, (int) (highestHz / highest * cycles)));
    Whitener whitener = new Whitener(lines, 64);
    double[] buffer = new double[length];
    float[] power = new float[lines];
    double[] ring = new double[length];
    int filled = 0;
    double time = times[from];
    double end = times[to - 1];
    int frame = from;
    while (time < end) {
      while (frame < to - 2 && time >= times[frame + 1]) {
        frame++;
      }
      double share = (time - times[frame]) / (times[frame + 1] - times[frame]);
      double spacing = hz[frame] + share * (hz[frame + 1] - hz[frame]);
      ring[filled++] = at(audio, time);
      time += rate / (spacing * perCycle);
      if (filled == length) {
        stack(ring, buffer, transform, whitener, power, lines);
        System.arraycopy(ring, length / 2, ring, 0, length - length / 2);
        filled = length - length / 2;
      }
    }
    // What remains is at least half a window; it counts if it is nearly whole.
    if ((windows == 0 && filled > length / 4) || filled > 3 * length / 4) {
      java.util.Arrays.fill(ring, filled, length, 0.0);
      stack(ring, filled, buffer, transform, whitener, power, lines);
    }
  }

  private void stack(
      double[] ring,
      double[] buffer,
      RealTransform transform,
      Whitener whitener,
      float[] power,
      int lines) {
    stack(ring, ring.length, buffer, transform, whitener, power, lines);
  }

  private void stack(
      double[] ring,
      int filled,
      double[] buffer,
      RealTransform transform,
      Whitener whitener,
      float[] power,
      int lines) {
    java.util.Arrays.fill(buffer, 0.0);
    double rotationRe = Math.cos(2.0 * Math.PI / filled);
    double rotationIm = Math.sin(2.0 * Math.PI / filled);
    double cos = Math.cos(Math.PI / filled);
    double sin = Math.sin(Math.PI / filled);
    for (int i = 0; i < filled; i++) {
      buffer[i] = ring[i] * (0.5 - 0.5 * cos);
      double next = cos * rotationRe - sin * rotationIm;
      sin = cos * rotationIm + sin * rotationRe;
      cos = next;
    }
    transform.forward(buffer);
    power[0] = 0f;
    for (int k = 1; k < lines; k++) {
      power[k] = (float) (buffer[2 * k] * buffer[2 * k] + buffer[2 * k + 1] * buffer[2 * k + 1]);
    }
    if (!whitener.whiten(power)) {
      return;
    }
    windows++;
    for (int k = 0; k < lines; k++) {
      sum[k] += power[k];
      count[k]++;
    }
  }

  private static double at(float[] audio, double time) {
    int whole = (int) Math.floor(time);
    int phase = (int) ((time - whole) * PHASES);
    float[] taps = KERNEL[phase];
    int start = whole - (TAPS / 2 - 1);
    if (start < 0 || start + TAPS > audio.length) {
      return 0.0;
    }
    double value = 0.0;
    for (int i = 0; i < TAPS; i++) {
      value += taps[i] * audio[start + i];
    }
    return value;
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
    if (near < 3 || near + 1 >= MOST_BINS || count[near] == 0) {
      return Double.NaN;
    }
    int other = place > near ? near + 1 : near - 1;
    double greatest = mean(near);
    if (Math.abs(place - near) > 0.2) {
      greatest = Math.max(greatest, mean(other));
    }
    return greatest / Math.max(0.5, floorAround(near));
  }

  /** Windows that went into an order of the comb, as independent ones. */
  double independent(double order) {
    int near = (int) Math.round(order * cycles);
    return near >= MOST_BINS ? 0.0 : Math.max(1.0, CombSearch.OVERLAP_WORTH * count[near]);
  }

  /** Highest order of the comb in the stack. */
  double highestOrder() {
    int last = 0;
    for (int k = 0; k < MOST_BINS; k++) {
      if (count[k] > 0) {
        last = k;
      }
    }
    return (double) (last - 1) / cycles;
  }

  private double mean(int k) {
    return k < 0 || k >= MOST_BINS || count[k] == 0 ? 1.0 : sum[k] / count[k];
  }

  private double floorAround(int k) {
    int half = 15;
    float[] around = new float[2 * half];
    int n = 0;
    for (int d = 3; d < 3 + half; d++) {
      if (k - d > 0) {
        around[n++] = (float) mean(k - d);
      }
      if (k + d < MOST_BINS && count[k + d] > 0) {
        around[n++] = (float) mean(k + d);
      }
    }
    if (n < 8) {
      return 1.0;
    }
    // Median of a mean of K powers is (1 − 1/(9K))³ of the mean (Wilson and Hilferty).
    double k9 = 9.0 * Math.max(1.0, CombSearch.OVERLAP_WORTH * count[k]);
    double bias = Math.pow(1.0 - 1.0 / k9, 3);
    return Whitener.median(around, n) / bias;
  }
}
