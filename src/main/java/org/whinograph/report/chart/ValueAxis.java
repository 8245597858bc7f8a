package org.whinograph.report.chart;

/**
 * A linear axis up a panel.
 *
 * @param top place of {@code max} [px]
 * @param bottom place of {@code min} [px]
 * @param min lowest value shown
 * @param max highest value shown
 * @param step spacing of the ticks
 */
record ValueAxis(double top, double bottom, double min, double max, double step) {
  private static final double[] STEPS = {
    0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0,
    10_000.0
  };

  /** An axis whose ends are ticks, with a tick every 18 px or wider. */
  static ValueAxis round(double top, double bottom, double low, double high) {
    double most = Math.max(1.0, Math.floor((bottom - top) / 24.0));
    for (double step : STEPS) {
      double min = Math.floor(low / step) * step;
      double max = Math.ceil(high / step) * step;
      if (max == min) {
        max = min + step;
      }
      if ((max - min) / step <= most) {
        return new ValueAxis(top, bottom, min, max, step);
      }
    }
    return new ValueAxis(top, bottom, low, high, high - low);
  }

  /** Place of a value, held within the panel [px]. */
  double y(double value) {
    double part = (value - min) / (max - min);
    return bottom + (top - bottom) * Math.max(0.0, Math.min(1.0, part));
  }

  /** Number of ticks. */
  int ticks() {
    return (int) Math.round((max - min) / step) + 1;
  }

  double tick(int index) {
    return min + index * step;
  }

  int decimals() {
    return step < 1.0 ? 1 : 0;
  }
}
