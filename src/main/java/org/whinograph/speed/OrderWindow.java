package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.PowerTransform;

/**
 * One window of sound read at even steps of a comb's angle, and its spectrum.
 *
 * <p>Nothing is allocated per window. Not safe for use by several threads.
 */
final class OrderWindow {
  private static final int TAPS = 8;
  private static final int PHASES = 256;
  private static final double SAMPLE = 0x1p32;
  private static final int PHASE_SHIFT = 32 - Integer.numberOfTrailingZeros(PHASES);

  /** Values between two looks at the speed. */
  private static final int STRIDE = 16;

  /** Weights, those of one phase after the other. */
  private static final float[] KERNEL = kernel();

  private final int perCycle;
  private final double rate;
  private final float[] values;
  private final float[] spacings;
  private final PowerTransform transform;
  private final float[] whole;
  private final float[] part;
  private final float[][] powers;
  private final int[] start = new int[1];
  private int filled;
  private double time;
  private double lastQuarter;

  /**
   * Makes room.
   *
   * @param perCycle values a cycle of the comb, a power of two
   * @param cycles cycles in the window, a power of two, at least 16
   * @param rate rate of the samples [Hz]
   */
  OrderWindow(int perCycle, int cycles, double rate) {
    int length = perCycle * cycles;
    this.perCycle = perCycle;
    this.rate = rate;
    this.values = new float[length];
    this.spacings = new float[length / STRIDE];
    this.transform = new PowerTransform(length, 1);
    this.whole = new float[length];
    this.part = new float[length];
    this.powers = new float[1][length / 2];
    hann(whole, length);
  }

  private static float[] kernel() {
    float[] result = new float[PHASES * TAPS];
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
        result[p * TAPS + i] = (float) (taps[i] / total);
      }
    }
    return result;
  }

  private static void hann(float[] bell, int length) {
    for (int i = 0; i < length; i++) {
      bell[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length));
    }
  }

  /** Empties the window, which is to begin at a moment [samples]. */
  void begin(double moment) {
    filled = 0;
    time = moment;
  }

  /** Keeps the last quarter as the first one of the next window. */
  void goOn() {
    filled = values.length / 4;
    System.arraycopy(values, values.length - filled, values, 0, filled);
    int kept = spacings.length / 4;
    System.arraycopy(spacings, spacings.length - kept, spacings, 0, kept);
  }

  /**
   * Reads on to the end of the window or of the run.
   *
   * @return whether the window is full
   */
  boolean fill(float[] audio, SpacingRun run) {
    double perStep = rate / perCycle;
    double end = run.end();
    while (filled < values.length && time < end) {
      double step = perStep / run.at(time);
      // The speed halfway tells the length of the whole stride.
      double spacing = run.at(time + 0.5 * STRIDE * step);
      step = perStep / spacing;
      spacings[filled / STRIDE] = (float) spacing;
      int count = (int) Math.min(STRIDE, Math.ceil((end - time) / step));
      read(audio, time, step, values, filled, count);
      filled += count;
      time += STRIDE * step;
      if (filled == values.length - values.length / 4) {
        lastQuarter = time;
      }
    }
    return filled == values.length;
  }

  /** Reads the sound at evenly spaced moments; outside it is silent. */
  private static void read(
      float[] audio, double time, double step, float[] values, int to, int count) {
    int before = TAPS / 2 - 1;
    if (time < before || time + count * step + TAPS > audio.length) {
      Arrays.fill(values, to, to + count, 0f);
      return;
    }
    float[] k = KERNEL;
    // Whole numbers, in which a sample is 2³²: to turn each moment into one takes longer.
    long moment = (long) (time * SAMPLE);
    long on = (long) (step * SAMPLE);
    for (int v = to; v < to + count; v++) {
      int p = TAPS * ((int) (moment >>> PHASE_SHIFT) & (PHASES - 1));
      int s = (int) (moment >>> 32) - before;
      moment += on;
      float a = k[p] * audio[s] + k[p + 4] * audio[s + 4];
      float b = k[p + 1] * audio[s + 1] + k[p + 5] * audio[s + 5];
      float c = k[p + 2] * audio[s + 2] + k[p + 6] * audio[s + 6];
      float d = k[p + 3] * audio[s + 3] + k[p + 7] * audio[s + 7];
      values[v] = (a + b) + (c + d);
    }
  }

  /** Values a cycle of the comb. */
  int perCycle() {
    return perCycle;
  }

  /** Values that the window holds when it is full. */
  int length() {
    return values.length;
  }

  /** How many there are. */
  int filled() {
    return filled;
  }

  /** Moment at which the last quarter of the full window begins [samples]. */
  double lastQuarter() {
    return lastQuarter;
  }

  /** Moment up to which the sound was read [samples]. */
  double end() {
    return time;
  }

  /** Spacing in the middle of what is filled [Hz]. */
  float middle() {
    return spacings[filled / 2 / STRIDE];
  }

  /** The values, those beyond what is filled of no meaning. */
  float[] values() {
    return values;
  }

  /** Hann's window over what is filled, 0 beyond. */
  float[] bell() {
    if (filled == values.length) {
      return whole;
    }
    Arrays.fill(part, filled, part.length, 0f);
    hann(part, filled);
    return part;
  }

  /** Least spacing in what is filled [Hz]. */
  float lowest() {
    float lowest = spacings[0];
    for (int i = 1; i < (filled + STRIDE - 1) / STRIDE; i++) {
      lowest = Math.min(lowest, spacings[i]);
    }
    return lowest;
  }

  /** Greatest spacing in what is filled [Hz]. */
  float highest() {
    float highest = spacings[0];
    for (int i = 1; i < (filled + STRIDE - 1) / STRIDE; i++) {
      highest = Math.max(highest, spacings[i]);
    }
    return highest;
  }

  /**
   * Powers of the lines under Hann's window.
   *
   * @return powers, one a cycle of the window; used again for the next
   */
  float[] powers() {
    transform.powers(values, start, bell(), powers);
    powers[0][0] = 0f;
    return powers[0];
  }
}
