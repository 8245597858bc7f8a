package org.whinograph.report.chart;

import java.awt.geom.Path2D;
import org.whinograph.spectrum.Spectrum;

/**
 * A spectrum drawn no finer than the drawing is: of the many lines that fall into one column, the
 * least and the greatest, so that no tone is lost.
 */
final class SpectrumTrace {
  private static final double COLUMN = 0.5;

  private final FrequencyAxis axis;
  private final float[] low;
  private final float[] high;

  SpectrumTrace(Spectrum spectrum, FrequencyAxis axis) {
    this.axis = axis;
    int columns = (int) Math.ceil((axis.right() - axis.left()) / COLUMN) + 1;
    low = new float[columns];
    high = new float[columns];
    java.util.Arrays.fill(low, Float.NaN);
    java.util.Arrays.fill(high, Float.NaN);
    double[] lines = spectrum.meanSquare();
    for (int k = 1; k < lines.length; k++) {
      double hz = k * spectrum.lineSpacingHz();
      double level = spectrum.unit().levelOf(lines[k]);
      if (axis.holds(hz) && Double.isFinite(level)) {
        int column = (int) ((axis.x(hz) - axis.left()) / COLUMN);
        low[column] =
            Float.isNaN(low[column]) ? (float) level : Math.min(low[column], (float) level);
        high[column] =
            Float.isNaN(high[column]) ? (float) level : Math.max(high[column], (float) level);
      }
    }
  }

  /** Whether there is anything to draw. */
  boolean isEmpty() {
    for (float level : high) {
      if (!Float.isNaN(level)) {
        return false;
      }
    }
    return true;
  }

  double highest() {
    double highest = Double.NEGATIVE_INFINITY;
    for (float level : high) {
      highest = Float.isNaN(level) ? highest : Math.max(highest, level);
    }
    return highest;
  }

  double lowest() {
    double lowest = Double.POSITIVE_INFINITY;
    for (float level : low) {
      lowest = Float.isNaN(level) ? lowest : Math.min(lowest, level);
    }
    return lowest;
  }

  Path2D path(ValueAxis y) {
    Path2D path = new Path2D.Double();
    for (int column = 0; column < low.length; column++) {
      if (Float.isNaN(low[column])) {
        continue;
      }
      double x = axis.left() + (column + 0.5) * COLUMN;
      if (path.getCurrentPoint() == null) {
        path.moveTo(x, y.y(low[column]));
      } else {
        path.lineTo(x, y.y(low[column]));
      }
      if (high[column] > low[column]) {
        path.lineTo(x, y.y(high[column]));
      }
    }
    return path;
  }
}
