package org.whinograph.report.chart;

import java.awt.BasicStroke;
import java.awt.Color;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.Shape;
import java.awt.geom.Line2D;
import java.awt.geom.Path2D;
import java.awt.geom.Rectangle2D;
import org.whinograph.report.Words;

/** What every chart draws in the same way: text, rules, axes, wedges, titles. */
final class Pen {
  static final Font TITLE = new Font(Font.SANS_SERIF, Font.BOLD, 17);
  static final Font HEADING = new Font(Font.SANS_SERIF, Font.BOLD, 12);
  static final Font TEXT = new Font(Font.SANS_SERIF, Font.PLAIN, 12);
  static final Font SMALL = new Font(Font.SANS_SERIF, Font.PLAIN, 11);
  static final Font SMALL_BOLD = new Font(Font.SANS_SERIF, Font.BOLD, 11);

  /** Where a text stands relative to its point. */
  enum Anchor {
    LEFT,
    MIDDLE,
    RIGHT
  }

  private final Graphics2D graphics;

  Pen(Graphics2D graphics) {
    this.graphics = graphics;
  }

  /** Fills the paper and writes title and subtitle. */
  void begin(Chart chart, double left) {
    fill(Palette.PAPER, new Rectangle2D.Double(0.0, 0.0, chart.width(), chart.height()));
    double room = chart.width() - 2.0 * 16.0;
    text(TITLE, Palette.INK, fitted(TITLE, chart.title(), room), left, 30.0, Anchor.LEFT);
    text(TEXT, Palette.PALE_INK, fitted(TEXT, chart.subtitle(), room), left, 50.0, Anchor.LEFT);
  }

  double width(Font font, String text) {
    return graphics.getFontMetrics(font).getStringBounds(text, graphics).getWidth();
  }

  /** A text cut to a width, with an ellipsis. */
  String fitted(Font font, String text, double room) {
    if (width(font, text) <= room) {
      return text;
    }
    String part = text;
    while (part.length() > 1 && width(font, part + "…") > room) {
      part = part.substring(0, part.length() - 1);
    }
    return part + "…";
  }

  void text(Font font, Color colour, String text, double x, double y, Anchor anchor) {
    double shift =
        switch (anchor) {
          case LEFT -> 0.0;
          case MIDDLE -> width(font, text) / 2.0;
          case RIGHT -> width(font, text);
        };
    graphics.setFont(font);
    graphics.setColor(colour);
    graphics.drawString(text, (float) (x - shift), (float) y);
  }

  /** The heading of a panel: a bold name, then what it says of it. */
  void heading(String bold, String plain, double x, double y, double room) {
    text(HEADING, Palette.INK, bold, x, y, Anchor.LEFT);
    double start = width(HEADING, bold);
    text(TEXT, Palette.PALE_INK, fitted(TEXT, plain, room - start), x + start, y, Anchor.LEFT);
  }

  void draw(Color colour, BasicStroke stroke, Shape shape) {
    graphics.setColor(colour);
    graphics.setStroke(stroke);
    graphics.draw(shape);
  }

  void line(Color colour, BasicStroke stroke, double x1, double y1, double x2, double y2) {
    draw(colour, stroke, new Line2D.Double(x1, y1, x2, y2));
  }

  void fill(Color colour, Shape shape) {
    graphics.setColor(colour);
    graphics.fill(shape);
  }

  /** Rules and numbers of a value axis, with its unit above. */
  void axis(ValueAxis axis, double left, double right, String unit) {
    for (int i = 0; i < axis.ticks(); i++) {
      double value = axis.tick(i);
      double y = axis.y(value);
      line(Palette.RULE, Palette.solid(1f), left, y, right, y);
      String number = Words.number(value, axis.decimals());
      text(SMALL, Palette.PALE_INK, number, left - 8.0, y + 4.0, Anchor.RIGHT);
    }
    text(SMALL, Palette.PALE_INK, unit, left - 8.0, axis.top() - 9.0, Anchor.RIGHT);
  }

  /** Upright rules at the nominal octave frequencies. */
  void frequencyRules(FrequencyAxis axis, double top, double bottom) {
    for (double nominal : FrequencyAxis.TICKS) {
      double x = axis.x(FrequencyAxis.midband(nominal));
      line(Palette.RULE, Palette.solid(1f), x, top, x, bottom);
    }
  }

  /** The frequency axis itself, with nominal frequencies beneath. */
  void frequencyAxis(FrequencyAxis axis, double y) {
    line(Palette.INK, Palette.solid(1f), axis.left(), y, axis.right(), y);
    for (double nominal : FrequencyAxis.TICKS) {
      double x = axis.x(FrequencyAxis.midband(nominal));
      line(Palette.INK, Palette.solid(1f), x, y, x, y + 4.0);
      text(TEXT, Palette.INK, Words.nominal(nominal), x, y + 18.0, Anchor.MIDDLE);
    }
    text(TEXT, Palette.INK, "Hz", axis.right(), y + 18.0, Anchor.MIDDLE);
  }

  /** How much of a wedge is filled. */
  enum Filling {
    /** The tone turns with the fan. */
    WHOLE,
    /** Where the tone comes from isn't known. */
    HALF,
    /** The tone comes from something else. */
    NONE
  }

  /** A wedge that stands on the frequency axis. */
  void wedge(Color colour, double x, double y, double height, Filling filling) {
    double half = height * 0.45;
    Path2D whole = triangle(x - half, x + half, x, y, height);
    fill(filling == Filling.WHOLE ? colour : Palette.PAPER, whole);
    if (filling == Filling.HALF) {
      fill(colour, triangle(x - half, x, x, y, height));
    }
    draw(colour, Palette.solid(1.2f), whole);
  }

  private static Path2D triangle(double left, double right, double tip, double y, double height) {
    Path2D path = new Path2D.Double();
    path.moveTo(tip, y - height);
    path.lineTo(left, y);
    path.lineTo(right, y);
    path.closePath();
    return path;
  }
}
