package org.whinograph.report.chart;

import java.awt.Graphics2D;
import java.awt.geom.Path2D;
import java.util.Arrays;
import java.util.stream.DoubleStream;
import org.whinograph.level.LevelHistory;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.report.Words;

/** Level through time: F-weighted as a fine line, the equivalent level of each second as steps. */
public final class TimeSheet implements Chart {
  private static final double LEFT = 70.0;
  private static final double RIGHT = 830.0;
  private static final double TOP = 96.0;
  private static final double BOTTOM = 360.0;
  private static final double COLUMN = 0.5;
  private static final double MARK = 8.0;

  /** A smaller span would make nothing look like much [dB]. */
  private static final double LEAST_SPAN_DB = 10.0;

  private final Measurement measurement;
  private final TimeAxis axis;

  /**
   * A sheet of one measurement.
   *
   * @param measurement measurement
   */
  public TimeSheet(Measurement measurement) {
    this.measurement = measurement;
    this.axis = TimeAxis.of(measurement, LEFT, RIGHT);
  }

  @Override
  public int width() {
    return 1040;
  }

  @Override
  public int height() {
    return 420;
  }

  @Override
  public String title() {
    return Captions.title(measurement, "A-weighted level through time");
  }

  @Override
  public String subtitle() {
    return Captions.of(measurement);
  }

  @Override
  public void paint(Graphics2D graphics) {
    Pen pen = new Pen(graphics);
    pen.begin(this, 16.0);
    LevelHistory history = measurement.levels().history();
    double[] known =
        DoubleStream.concat(Arrays.stream(history.laf()), Arrays.stream(history.laeq1s()))
            .filter(Double::isFinite)
            .toArray();
    if (known.length == 0) {
      double middle = (TOP + BOTTOM) / 2.0;
      pen.line(Palette.PALE_INK, Palette.solid(0.7f), LEFT, middle, RIGHT, middle);
      pen.text(
          Pen.TEXT,
          Palette.PALE_INK,
          "unknown: no level could be measured",
          LEFT,
          middle - 6.0,
          Pen.Anchor.LEFT);
      return;
    }
    double low = Arrays.stream(known).min().getAsDouble();
    double high = Arrays.stream(known).max().getAsDouble();
    double spare = Math.max(0.0, LEAST_SPAN_DB - (high - low)) / 2.0;
    ValueAxis y = ValueAxis.round(TOP, BOTTOM, low - spare, high + spare);
    pen.axis(y, LEFT, RIGHT, "dB");
    axis.rules(pen, TOP, BOTTOM);
    axis.draw(pen, BOTTOM);
    EndLabels labels = new EndLabels();
    pen.draw(
        Palette.PALE_INK,
        Palette.solid(0.8f),
        trace(history.laf(), history.intervalS(), history.intervalS(), y));
    pen.draw(Palette.INK, Palette.solid(1.8f), steps(history.laeq1s(), y));
    label(labels, "LAF, time weighting F", history.laf(), y, false);
    label(labels, "LAeq of each second", history.laeq1s(), y, true);
    Reading laeq = measurement.levels().laeq();
    if (laeq.known()) {
      double place = y.y(laeq.value());
      // Beside the panel, where it hides nothing of the lines that it sums up.
      pen.line(Palette.INK, Palette.solid(2.4f), RIGHT, place, RIGHT + MARK, place);
      String text = "LAeq " + Words.number(laeq.value(), 1) + " dB, overall";
      labels.add(text, Palette.INK, Pen.SMALL_BOLD, RIGHT + MARK, place);
    }
    labels.draw(pen, RIGHT + 26.0, 172.0, TOP, BOTTOM);
  }

  private static void label(
      EndLabels labels, String text, double[] values, ValueAxis y, boolean strong) {
    for (int i = values.length - 1; i >= 0; i--) {
      if (Double.isFinite(values[i])) {
        labels.add(text, strong ? Palette.INK : Palette.PALE_INK, Pen.SMALL, RIGHT, y.y(values[i]));
        return;
      }
    }
  }

  /** Place of a moment of the stretch that was measured. */
  private double x(double seconds) {
    return axis.x(measurement.recording().startS() + seconds);
  }

  private Path2D steps(double[] seconds, ValueAxis y) {
    if (seconds.length > (RIGHT - LEFT) / COLUMN / 2.0) {
      return trace(seconds, 1.0, 0.5, y);
    }
    Path2D path = new Path2D.Double();
    boolean down = false;
    for (int i = 0; i < seconds.length; i++) {
      if (!Double.isFinite(seconds[i])) {
        down = false;
        continue;
      }
      double place = y.y(seconds[i]);
      if (down) {
        path.lineTo(x(i), place);
      } else {
        path.moveTo(x(i), place);
      }
      path.lineTo(x(i + 1.0), place);
      down = true;
    }
    return path;
  }

  /** A line through samples, drawn as the least and the greatest of each column. */
  private Path2D trace(double[] values, double interval, double first, ValueAxis y) {
    Path2D path = new Path2D.Double();
    boolean down = false;
    int i = 0;
    while (i < values.length) {
      if (!Double.isFinite(values[i])) {
        down = false;
        i++;
        continue;
      }
      int column = column(first + i * interval);
      double low = values[i];
      double high = values[i];
      double start = x(first + i * interval);
      while (i < values.length
          && Double.isFinite(values[i])
          && column(first + i * interval) == column) {
        low = Math.min(low, values[i]);
        high = Math.max(high, values[i]);
        i++;
      }
      if (down) {
        path.lineTo(start, y.y(low));
      } else {
        path.moveTo(start, y.y(low));
      }
      if (high > low) {
        path.lineTo(start, y.y(high));
      }
      down = true;
    }
    return path;
  }

  private int column(double seconds) {
    return (int) Math.floor((x(seconds) - LEFT) / COLUMN);
  }
}
