package org.whinograph.report.chart;

import java.awt.Color;
import java.awt.Font;
import java.awt.geom.Path2D;
import java.util.List;
import java.util.function.Function;
import org.whinograph.band.BandLevel;
import org.whinograph.quantity.Reading;

/** Band levels as steps between their band edges; an unknown band is a gap. */
final class BandSteps {
  /** Half a one-third octave, base ten (IEC 61260-1:2014, 5.4 and 5.5): edge over midband. */
  private static final double HALF_BAND = Math.pow(10.0, 0.05);

  private BandSteps() {}

  /**
   * The line of the steps.
   *
   * @param bands one-third octaves in order
   * @param reading which level
   * @param x frequency axis
   * @param y level axis; what lies beneath its end is left out
   */
  static Path2D line(
      List<BandLevel> bands, Function<BandLevel, Reading> reading, FrequencyAxis x, ValueAxis y) {
    Path2D path = new Path2D.Double();
    boolean down = false;
    for (BandLevel band : bands) {
      Reading level = reading.apply(band);
      if (!level.known() || level.value() < y.min()) {
        down = false;
        continue;
      }
      double place = y.y(level.value());
      double from = x.x(band.midbandHz() / HALF_BAND);
      if (down) {
        path.lineTo(from, place);
      } else {
        path.moveTo(from, place);
      }
      path.lineTo(x.x(band.midbandHz() * HALF_BAND), place);
      down = true;
    }
    return path;
  }

  /** The area under the steps. */
  static Path2D area(
      List<BandLevel> bands, Function<BandLevel, Reading> reading, FrequencyAxis x, ValueAxis y) {
    Path2D path = new Path2D.Double();
    for (BandLevel band : bands) {
      Reading level = reading.apply(band);
      if (level.known()) {
        double place = y.y(level.value());
        path.moveTo(x.x(band.midbandHz() / HALF_BAND), y.bottom());
        path.lineTo(x.x(band.midbandHz() / HALF_BAND), place);
        path.lineTo(x.x(band.midbandHz() * HALF_BAND), place);
        path.lineTo(x.x(band.midbandHz() * HALF_BAND), y.bottom());
        path.closePath();
      }
    }
    return path;
  }

  /** Marks unknown bands with a fine rule and the word. */
  static void unknown(
      Pen pen,
      List<BandLevel> bands,
      Function<BandLevel, Reading> reading,
      FrequencyAxis x,
      ValueAxis y) {
    double from = Double.NaN;
    for (int i = 0; i <= bands.size(); i++) {
      boolean missing = i < bands.size() && !reading.apply(bands.get(i)).known();
      if (missing && Double.isNaN(from)) {
        from = x.x(bands.get(i).midbandHz() / HALF_BAND);
      }
      if (!missing && !Double.isNaN(from)) {
        double to = x.x(bands.get(i - 1).midbandHz() * HALF_BAND);
        double place = y.bottom() - 3.0;
        pen.line(Palette.PALE_INK, Palette.solid(0.7f), from, place, to, place);
        double middle = (from + to) / 2.0;
        pen.text(Pen.SMALL, Palette.PALE_INK, "unknown", middle, place - 4.0, Pen.Anchor.MIDDLE);
        from = Double.NaN;
      }
    }
  }

  /** Labels the right end of a line, unless none of it is seen. */
  static void label(
      EndLabels labels,
      String text,
      Color colour,
      Font font,
      List<BandLevel> bands,
      Function<BandLevel, Reading> reading,
      FrequencyAxis x,
      ValueAxis y) {
    for (int i = bands.size() - 1; i >= 0; i--) {
      Reading level = reading.apply(bands.get(i));
      if (level.known() && level.value() >= y.min()) {
        double end = x.x(bands.get(i).midbandHz() * HALF_BAND);
        labels.add(text, colour, font, end, y.y(level.value()));
        return;
      }
    }
  }
}
