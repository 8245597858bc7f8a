package org.whinograph.speed;

import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.PowerTransform;

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
  private static final int SWEPT_MARGIN = 5;
  private static final int MOST_BINS = 65_536;

  /** Values between two looks at the speed. */
  private static final int STRIDE = 16;

  /**
   * Least values a sample. What lies above half the rate is gone; fewer values than samples fold
   * only what isn't looked at, as long as the highest line's mirror stays above all that is there:
   * 0.5 + 0.41 of the rate.
   */
  private static final double LEAST_DENSITY = 0.92;

  /** Weights, those of one phase after the other. */
  private static final float[] KERNEL = kernel();

  private final int cycles;
  private final OrderPowers sum;
  private final EnvelopeStack envelope;
  private int windows;

  /** Space for windows of one length, kept while that length stays the same. */
  private PowerTransform transform;

  private final float[][] powers = new float[1][];
  private final int[] start = new int[1];
  private float[] ring;
  private float[] spacings;
  private float[] bell;
  private int bellLength;

  /**
   * Starts a stack.
   *
   * @param spacingHz typical spacing of the comb [Hz]
   * @param seconds wanted length of a window [s]
   */
  OrderStack(double spacingHz, double seconds) {
    this(spacingHz, seconds, true);
  }

  private OrderStack(double spacingHz, double seconds, boolean withEnvelope) {
    int wanted = (int) Math.round(Math.log(spacingHz * seconds) / Math.log(2.0));
    this.cycles = 1 << Math.max(4, Math.min(15, wanted));
    this.sum = new OrderPowers(cycles, MOST_BINS);
    this.envelope = withEnvelope ? new EnvelopeStack(cycles) : null;
  }

  /**
   * A stack of the lines alone.
   *
   * @param spacingHz typical spacing of the comb [Hz]
   * @param seconds wanted length of a window [s]
   */
  static OrderStack ofLines(double spacingHz, double seconds) {
    return new OrderStack(spacingHz, seconds, false);
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

  /** Windows stacked so far. */
  int windows() {
    return windows;
  }

  /**
   * Adds a run of frames.
   *
   * @param audio samples
   * @param rate their rate [Hz]
   * @param times centres of the frames, evenly spaced [samples]
   * @param hz spacing of the comb at those centres [Hz, all known]
   * @param from first frame
   * @param to end, exclusive
   * @param highestHz orders above this frequency are left out [Hz]
   * @param standing lines that stand still: the orders that they sweep in a window are left out of
   *     it [Hz]
   */
  void add(
      float[] audio,
      double rate,
      double[] times,
      double[] hz,
      int from,
      int to,
      double highestHz,
      List<Double> standing) {
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
    while (perCycle * lowest < LEAST_DENSITY * rate) {
      perCycle *= 2;
    }
    int length = perCycle * cycles;
    if (length > 1 << 19) {
      return;
    }
    prepare(length);
    int lines = Math.min(MOST_BINS, Math.min(length / 2, (int) (highestHz / highest * cycles)));
    Whitener whitener = new Whitener(lines, 64);
    double frameStep = times[from + 1] - times[from];
    double perStep = rate / perCycle;
    int filled = 0;
    double time = times[from];
    double end = times[to - 1];
    while (time < end) {
      double step = perStep / at(hz, from, to, (time - times[from]) / frameStep);
      // The speed halfway tells the length of the whole stride.
      double middle = time + 0.5 * STRIDE * step;
      double spacing = at(hz, from, to, (middle - times[from]) / frameStep);
      step = perStep / spacing;
      spacings[filled / STRIDE] = (float) spacing;
      int wanted = (int) Math.min(STRIDE, Math.ceil((end - time) / step));
      read(audio, time, step, filled, wanted);
      filled += wanted;
      time += STRIDE * step;
      if (filled == length) {
        boolean[] swept = swept(filled, standing, lines);
        stack(filled, whitener, lines, swept);
        // A quarter of overlap: half tells a little more and costs half as much again.
        filled = length / 4;
        System.arraycopy(ring, length - filled, ring, 0, filled);
        int kept = filled / STRIDE;
        System.arraycopy(spacings, spacings.length - kept, spacings, 0, kept);
      }
    }
    // What remains is at least half a window; it counts if it is nearly whole.
    if ((windows == 0 && filled > length / 4) || filled > 3 * length / 4) {
      boolean[] swept = swept(filled, standing, lines);
      stack(filled, whitener, lines, swept);
    }
  }

  private void prepare(int length) {
    if (transform == null || transform.length() != length) {
      transform = new PowerTransform(length, 1);
      powers[0] = new float[length / 2];
      ring = new float[length];
      spacings = new float[length / STRIDE];
      bell = new float[length];
      bellLength = 0;
    }
  }

  /** Spacing at a place between the frames of a run, straight between neighbours [Hz]. */
  private static double at(double[] hz, int from, int to, double place) {
    int left = Math.min(to - 2 - from, (int) place);
    double a = hz[from + left];
    return a + (place - left) * (hz[from + left + 1] - a);
  }

  /** Bins that standing lines sweep while the comb's spacing goes as given. */
  private boolean[] swept(int filled, List<Double> standing, int lines) {
    float least = spacings[0];
    float greatest = spacings[0];
    for (int i = 1; i < (filled + STRIDE - 1) / STRIDE; i++) {
      least = Math.min(least, spacings[i]);
      greatest = Math.max(greatest, spacings[i]);
    }
    boolean[] result = new boolean[lines];
    for (double hz : standing) {
      int from = Math.max(0, (int) (hz / greatest * cycles) - SWEPT_MARGIN);
      int to = Math.min(lines - 1, (int) (hz / least * cycles) + SWEPT_MARGIN);
      for (int k = from; k <= to; k++) {
        result[k] = true;
      }
    }
    return result;
  }

  private void stack(int filled, Whitener whitener, int lines, boolean[] swept) {
    if (bellLength != filled) {
      bellLength = filled;
      Arrays.fill(bell, 0f);
      for (int i = 0; i < filled; i++) {
        bell[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / filled));
      }
    }
    transform.powers(ring, start, bell, powers);
    float[] power = powers[0];
    power[0] = 0f;
    if (!whitener.whiten(power)) {
      return;
    }
    windows++;
    for (int k = 0; k < lines; k++) {
      if (swept[k]) {
        power[k] = 0f;
      } else {
        sum.add(k, power[k]);
      }
    }
    if (envelope != null) {
      envelope.add(ring, bell, filled, power, lines);
    }
  }

  /** Reads the sound at evenly spaced moments; outside it is silent. */
  private void read(float[] audio, double time, double step, int to, int values) {
    for (int v = 0; v < values; v++) {
      double moment = time + v * step;
      int whole = (int) moment;
      int k = TAPS * (int) ((moment - whole) * PHASES);
      int start = whole - (TAPS / 2 - 1);
      if (start < 0 || start + TAPS > audio.length) {
        ring[to + v] = 0f;
        continue;
      }
      float a = KERNEL[k] * audio[start] + KERNEL[k + 4] * audio[start + 4];
      float b = KERNEL[k + 1] * audio[start + 1] + KERNEL[k + 5] * audio[start + 5];
      float c = KERNEL[k + 2] * audio[start + 2] + KERNEL[k + 6] * audio[start + 6];
      float d = KERNEL[k + 3] * audio[start + 3] + KERNEL[k + 7] * audio[start + 7];
      ring[to + v] = (a + b) + (c + d);
    }
  }

  /** The lines by order of the comb. */
  OrderPowers lines() {
    return sum;
  }

  /**
   * The lines of the noise's envelope by order of the comb: what the noise swells and fades with;
   * not for a stack of the lines alone.
   */
  OrderPowers envelope() {
    return envelope.lines();
  }
}
