package org.whinograph.report.chart;

import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.RecordingInfo;
import org.whinograph.report.Words;

/**
 * Time along a sheet, on the recording's clock.
 *
 * @param left place of the start [px]
 * @param right place of the end [px]
 * @param startS start [s]
 * @param durationS length [s], above 0
 */
record TimeAxis(double left, double right, double startS, double durationS) {
  private static final double[] STEPS_S = {
    1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 10_800, 21_600, 43_200
  };
  private static final double MOST_TICKS = 12.0;

  /** The axis of a measured stretch. */
  static TimeAxis of(Measurement measurement, double left, double right) {
    RecordingInfo recording = measurement.recording();
    return new TimeAxis(left, right, recording.startS(), Math.max(1.0, recording.durationS()));
  }

  /** Place of a moment [px]. */
  double x(double seconds) {
    return left + (right - left) * (seconds - startS) / durationS;
  }

  /** Moment at a place [s]. */
  double seconds(double x) {
    return startS + (x - left) / (right - left) * durationS;
  }

  private double step() {
    for (double step : STEPS_S) {
      if (durationS / step <= MOST_TICKS) {
        return step;
      }
    }
    return STEPS_S[STEPS_S.length - 1];
  }

  /** Upright rules at the ticks. */
  void rules(Pen pen, double top, double bottom) {
    double step = step();
    for (double t = Math.ceil(startS / step) * step; t <= startS + durationS; t += step) {
      pen.line(Palette.RULE, Palette.solid(1f), x(t), top, x(t), bottom);
    }
  }

  /** The axis with its numbers beneath. */
  void draw(Pen pen, double y) {
    double step = step();
    double unit = step >= 3600.0 ? 3600.0 : step >= 60.0 ? 60.0 : 1.0;
    pen.line(Palette.INK, Palette.solid(1f), left, y, right, y);
    for (double t = Math.ceil(startS / step) * step; t <= startS + durationS; t += step) {
      pen.line(Palette.INK, Palette.solid(1f), x(t), y, x(t), y + 4.0);
      String text = Words.number(t / unit, 0);
      pen.text(Pen.TEXT, Palette.INK, text, x(t), y + 18.0, Pen.Anchor.MIDDLE);
    }
    String name = unit == 3600.0 ? "h" : unit == 60.0 ? "min" : "s";
    pen.text(Pen.TEXT, Palette.INK, "time, " + name, right + 18.0, y + 18.0, Pen.Anchor.LEFT);
  }
}
