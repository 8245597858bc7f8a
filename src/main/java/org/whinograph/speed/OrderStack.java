package org.whinograph.speed;

import java.util.HashMap;
import java.util.List;
import java.util.Map;

/**
 * The whole recording stacked in orders of the comb. Sampled by angle, every line that moves with
 * the comb falls on its own order however the speed goes, and the powers of all windows add up:
 * weak shaft orders rise out of the noise that hides them in any one window.
 *
 * <p>Where many windows were stacked at one speed, about 100 s, further ones tell little that is
 * new: from then on only one in four is, and of those after a quarter of an hour hardly any.
 *
 * <p>Bins are 1/{@code cycles} of the comb's spacing wide. Not safe for use by several threads.
 */
final class OrderStack {
  private static final int SWEPT_MARGIN = 5;
  private static final int MOST_BINS = 65_536;

  /** Greatest length of a window [values]. */
  private static final int MOST_VALUES = 1 << 19;

  private static final int FEWEST_A_CYCLE = 4;

  /** Windows that make a spacing well known (judgement). */
  private static final int ENOUGH_WINDOWS = 32;

  /** Windows left out between two that are stacked where the spacing is well known. */
  private static final int LEFT_OUT = 2;

  /** The same where there are more than any line is judged by, three times as many. */
  private static final int MOSTLY_LEFT_OUT = 14;

  /** Spacings as near as this are alike: a twentieth. */
  private static final double ALIKE = Math.log(1.05);

  /**
   * Least values a sample. What lies above half the rate is gone; fewer values than samples fold
   * only what isn't looked at, as long as the highest line's mirror stays above all that is there:
   * 0.5 + 0.41 of the rate.
   */
  private static final double LEAST_DENSITY = 0.92;

  private final double rate;
  private final int cycles;
  private final OrderPowers sum;
  private final EnvelopeStack envelope;

  private final OrderWindows shared;

  private int windows;
  private final Map<Long, Integer> windowsBySpacing = new HashMap<>();

  /**
   * Starts a stack.
   *
   * @param shared windows of all stacks of the recording
   * @param spacingHz typical spacing of the comb [Hz]
   * @param seconds wanted length of a window [s]
   */
  OrderStack(OrderWindows shared, double spacingHz, double seconds) {
    this(shared, spacingHz, seconds, true);
  }

  private OrderStack(OrderWindows shared, double spacingHz, double seconds, boolean withEnvelope) {
    int wanted = (int) Math.round(Math.log(spacingHz * seconds) / Math.log(2.0));
    this.shared = shared;
    this.rate = shared.rate();
    this.cycles = 1 << Math.max(4, Math.min(15, wanted));
    this.sum = new OrderPowers(cycles, MOST_BINS);
    this.envelope = withEnvelope ? new EnvelopeStack(cycles) : null;
  }

  /**
   * A stack of the lines alone.
   *
   * @param shared windows of all stacks of the recording
   * @param spacingHz typical spacing of the comb [Hz]
   * @param seconds wanted length of a window [s]
   */
  static OrderStack ofLines(OrderWindows shared, double spacingHz, double seconds) {
    return new OrderStack(shared, spacingHz, seconds, false);
  }

  /** Windows stacked so far. */
  int windows() {
    return windows;
  }

  /**
   * Adds a run of frames.
   *
   * @param audio samples
   * @param run spacing of the comb along the run
   * @param highestHz orders above this frequency are left out [Hz]
   * @param standing lines that stand still: the orders that they sweep in a window are left out of
   *     it [Hz]
   */
  void add(float[] audio, SpacingRun run, double highestHz, List<Double> standing) {
    int lines = (int) Math.min(MOST_BINS, highestHz / run.highest() * cycles);
    Whitener whitener = new Whitener(lines, 64);
    double start = run.begin();
    OrderWindow window = null;
    boolean full = true;
    while (full) {
      OrderWindow next = window(run.lowest(start, cycles, rate));
      if (next == null) {
        return;
      }
      // A quarter of overlap: half tells a little more and costs half as much again. Where the
      // density changes, it is read anew.
      if (next == window) {
        window.goOn();
      } else {
        next.begin(start);
      }
      window = next;
      full = window.fill(audio, run);
      // The last one counts if it is nearly whole.
      if (window.filled() > (windows == 0 ? window.length() / 4 : 3 * window.length() / 4)) {
        stack(window, whitener, lines, standing);
      }
      start = window.lastQuarter();
      if (full && wellKnown(run.at(window.end()))) {
        start = further(window, run);
        window = null;
      }
    }
  }

  private boolean wellKnown(double spacingHz) {
    return stackedAt(spacingHz) >= ENOUGH_WINDOWS;
  }

  private int stackedAt(double spacingHz) {
    return windowsBySpacing.getOrDefault(alike(spacingHz), 0);
  }

  private static long alike(double spacingHz) {
    return Math.round(Math.log(spacingHz) / ALIKE);
  }

  /** The moment up to which nothing new is to be heard, as far as that is known [samples]. */
  private double further(OrderWindow window, SpacingRun run) {
    double moment = window.end();
    boolean plenty = stackedAt(run.at(moment)) >= 3 * ENOUGH_WINDOWS;
    int most = plenty ? MOSTLY_LEFT_OUT : LEFT_OUT;
    for (int i = 0; i < most && wellKnown(run.at(moment)); i++) {
      moment = Math.min(run.end(), moment + cycles * rate / run.at(moment));
    }
    return moment;
  }

  /** The window for a comb that is nowhere narrower, null if it would be too long. */
  private OrderWindow window(double lowestHz) {
    int perCycle = FEWEST_A_CYCLE;
    while (perCycle * lowestHz < LEAST_DENSITY * rate) {
      perCycle *= 2;
    }
    if (perCycle * cycles > MOST_VALUES) {
      return null;
    }
    return shared.of(perCycle, cycles);
  }

  private void stack(OrderWindow window, Whitener whitener, int lines, List<Double> standing) {
    float[] power = window.powers();
    if (!whitener.whiten(power)) {
      return;
    }
    windows++;
    windowsBySpacing.merge(alike(window.middle()), 1, Integer::sum);
    boolean[] swept = swept(window, standing, lines);
    for (int k = 0; k < lines; k++) {
      if (swept[k]) {
        power[k] = 0f;
      } else {
        sum.add(k, power[k]);
      }
    }
    if (envelope != null) {
      envelope.add(window.values(), window.bell(), window.filled(), power, lines);
    }
  }

  /** Bins that standing lines sweep while the comb's spacing goes as it does. */
  private boolean[] swept(OrderWindow window, List<Double> standing, int lines) {
    float least = window.lowest();
    float greatest = window.highest();
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
