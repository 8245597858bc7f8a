package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Quantile;

/**
 * Finds where orders grow loud on their way. Several orders that do so at one frequency are a
 * resonance; one alone may be, unless another passes there and doesn't.
 */
final class Resonances {
  /** Least rise of an order above its surroundings for a resonance [dB]. */
  private static final double LEAST_RISE_DB = 5.0;

  /** Resonance peaks of several orders within this part of each other are one. */
  private static final double SAME = 0.08;

  /** Ranges of speed in which an order must be heard. */
  private static final int FEWEST = 5;

  /** Half width of a range of speeds, as its logarithm. */
  private static final double HALF_RANGE = 0.03;

  /** A broad resonance is looked for as far from the ends of the speeds as this factor. */
  private static final double EDGE = 1.06;

  private static final double STEP = 1.03;

  /** By so much the sum of squares must fall, in terms of its mean: a chance of e^−20 each. */
  private static final double CLEAR = 40.0;

  private record Peak(int order, double rpm, double frequencyHz, double riseDb) {}

  /** Levels of one order by ranges of speed, in order of speed. */
  static final class Run {
    private final double[] x;
    private final double[] y;
    private int length;

    /**
     * Starts empty.
     *
     * @param most most ranges of speed
     */
    Run(int most) {
      x = new double[most];
      y = new double[most];
    }

    /**
     * Adds a level.
     *
     * @param logHz decimal logarithm of the speed [1/s]
     * @param levelDb level [dB]
     */
    void add(double logHz, double levelDb) {
      x[length] = logHz;
      y[length++] = levelDb;
    }
  }

  private final Map<Integer, Run> runs;
  private final List<SpeedLevels> levels;
  private final SteadyLines steady;
  private final List<Fitted> fitted = new ArrayList<>();

  private record Fitted(List<Integer> orders, ResonanceFit fit) {}

  /**
   * Prepares.
   *
   * @param runs levels of each order by ranges of speed
   * @param levels levels of the orders at finer steps of the speed
   * @param steady lines that stay, whatever the speed
   */
  Resonances(Map<Integer, Run> runs, List<SpeedLevels> levels, SteadyLines steady) {
    this.steady = steady;
    this.runs = runs;
    this.levels = levels;
  }

  /** Resonances, the greatest rise first. */
  List<ResonanceCrossing> find() {
    List<Peak> peaks = new ArrayList<>();
    runs.forEach(
        (order, run) -> {
          Peak peak = run.length >= FEWEST ? peak(order, run) : null;
          peak = peak == null ? broad(order) : peak;
          if (peak != null) {
            peaks.add(peak);
          }
        });
    peaks.sort(Comparator.comparingDouble(Peak::riseDb).reversed());
    List<ResonanceCrossing> result = new ArrayList<>();
    while (!peaks.isEmpty()) {
      Peak first = peaks.get(0);
      List<Peak> alike = new ArrayList<>();
      for (Peak peak : peaks) {
        if (Math.abs(peak.frequencyHz() / first.frequencyHz() - 1.0) <= SAME) {
          alike.add(peak);
        }
      }
      peaks.removeAll(alike);
      alike.sort(Comparator.comparingInt(Peak::order));
      ResonanceCrossing crossing = crossing(alike, first.riseDb());
      if (crossing.orders().size() > 1 || crossing.ordersWithoutPeak().isEmpty()) {
        result.add(crossing);
      }
    }
    return result;
  }

  /**
   * How much louder the resonances that were found make an order, on average over a range of speeds
   * [dB].
   */
  double gainDb(int order, double frequencyHz) {
    double gain = 0.0;
    for (Fitted each : fitted) {
      if (each.orders().contains(order) || each.fit().lifts(levels, order, steady)) {
        gain += each.fit().gainDb(frequencyHz, HALF_RANGE);
      }
    }
    return gain;
  }

  /**
   * A peak too broad to stand above both sides: by the fit of one mode, if it explains far more.
   */
  private Peak broad(int order) {
    if (order > SpeedLevels.MOST_ORDERS || levels.size() < FEWEST) {
      return null;
    }
    double from = order * levels.get(0).shaftHz() * EDGE;
    double to = order * levels.get(levels.size() - 1).shaftHz() / EDGE;
    double[] at = new double[2];
    Peak best = null;
    double most = CLEAR;
    for (double f = from; f <= to; f *= STEP) {
      ResonanceModel model = new ResonanceModel(levels, List.of(order), f, steady);
      if (model.free() < FEWEST) {
        continue;
      }
      double squares = model.coarseSquares(f, at);
      double gained =
          (model.squares(f, at[0], 0.0) - squares) / Math.max(1.0, squares / model.free());
      gained *= model.worth(f, at[0], at[1]);
      if (gained > most && at[1] >= LEAST_RISE_DB && model.crosses(f, at[0])) {
        most = gained;
        best = new Peak(order, 60.0 * f / order, f, at[1]);
      }
    }
    return best;
  }

  private ResonanceCrossing crossing(List<Peak> alike, double riseDb) {
    double sum = 0.0;
    double weights = 0.0;
    for (Peak peak : alike) {
      sum += peak.riseDb() * peak.frequencyHz();
      weights += peak.riseDb();
    }
    double near = sum / weights;
    List<Integer> orders = alike.stream().map(Peak::order).toList();
    List<Double> rpm = alike.stream().map(Peak::rpm).toList();
    ResonanceFit fit = ResonanceFit.of(levels, orders, near, steady);
    if (fit == null) {
      Reading unknown = Reading.unknown("the orders pass it too fast or too near to the noise");
      return new ResonanceCrossing(near, unknown, unknown, orders, rpm, List.of(), riseDb);
    }
    fitted.add(new Fitted(orders, fit));
    List<Integer> silent =
        runs.keySet().stream()
            .filter(
                order -> !orders.contains(order) && fit.passesWithoutPeak(levels, order, steady))
            .toList();
    return new ResonanceCrossing(
        fit.frequencyHz(),
        Reading.of(fit.lowHz()),
        Reading.of(fit.highHz()),
        orders,
        orders.stream().map(order -> 60.0 * fit.frequencyHz() / order).toList(),
        silent,
        riseDb);
  }

  /** Where an order stands above both sides, its general rise with the speed taken out. */
  private static Peak peak(int order, Run run) {
    int n = run.length;
    double[] x = run.x;
    double[] y = run.y;
    double slope = medianSlope(x, y, n);
    double[] flat = new double[n];
    int top = 0;
    for (int i = 0; i < n; i++) {
      flat[i] = y[i] - slope * x[i];
      top = flat[i] > flat[top] ? i : top;
    }
    if (top == 0 || top == n - 1) {
      return null;
    }
    double left = Arrays.stream(flat, 0, top).min().orElseThrow();
    double right = Arrays.stream(flat, top + 1, n).min().orElseThrow();
    double usual = Quantile.median(flat, flat.length);
    double rise = flat[top] - Math.max(usual, Math.max(left, right));
    if (rise < LEAST_RISE_DB) {
      return null;
    }
    double hz = Math.pow(10.0, x[top] + offset(x, flat, top));
    return new Peak(order, 60.0 * hz, order * hz, rise);
  }

  /** The top of the parabola through the greatest value and its neighbours. */
  private static double offset(double[] x, double[] y, int top) {
    double a = x[top - 1] - x[top];
    double b = x[top + 1] - x[top];
    double ya = y[top - 1] - y[top];
    double yb = y[top + 1] - y[top];
    double curvature = (ya / a - yb / b) / (a - b);
    double tilt = ya / a - curvature * a;
    double shift = -tilt / (2.0 * curvature);
    return curvature < 0.0 ? Math.max(a, Math.min(b, shift)) : 0.0;
  }

  /** Median of the slopes of all pairs (Theil 1950, Sen 1968). */
  private static double medianSlope(double[] x, double[] y, int n) {
    double[] slopes = new double[n * (n - 1) / 2];
    int count = 0;
    for (int i = 0; i < n; i++) {
      for (int j = i + 1; j < n; j++) {
        slopes[count++] = (y[j] - y[i]) / (x[j] - x[i]);
      }
    }
    return Quantile.median(slopes, count);
  }
}
