package org.whinograph.report.chart;

import java.awt.AWTError;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.image.BufferedImage;
import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import javax.imageio.ImageIO;
import javax.imageio.ImageWriter;
import javax.imageio.stream.ImageOutputStream;
import javax.imageio.stream.MemoryCacheImageOutputStream;
import org.jfree.svg.SVGGraphics2D;
import org.whinograph.report.OutputFolder;
import org.whinograph.signal.RefusedException;

/**
 * Charts as PNG (twice the size, for print and dense screens) and SVG (text stays text). No display
 * is needed, but one font is: without it, charts are refused with a sentence.
 */
public final class ChartFile {
  private static final int SCALE = 2;

  private ChartFile() {}

  /**
   * Plans {@code <name>.png} and {@code <name>.svg}.
   *
   * @param folder folder to add them to
   * @param name name without ending
   * @param chart chart
   */
  public static void addTo(OutputFolder folder, String name, Chart chart) {
    folder.add(name + ".png", out -> png(chart, out));
    folder.add(name + ".svg", out -> svg(chart, out));
  }

  /**
   * Refuses charts on a machine that can't draw text.
   *
   * @throws RefusedException if there is no font
   */
  public static void requireFonts() throws RefusedException {
    try {
      BufferedImage image = new BufferedImage(1, 1, BufferedImage.TYPE_INT_RGB);
      Graphics2D graphics = image.createGraphics();
      graphics.getFontMetrics(new Font(Font.SANS_SERIF, Font.PLAIN, 12)).stringWidth("0");
      graphics.dispose();
    } catch (RuntimeException | InternalError | LinkageError | AWTError e) {
      throw new RefusedException(
          "Charts can't be drawn on this machine, most often because Java finds no font; install one"
              + " (on Debian: fontconfig and fonts-dejavu-core).",
          e);
    }
  }

  /**
   * Writes a chart as PNG.
   *
   * @param chart chart
   * @param out where to; not closed
   * @throws IOException if writing fails
   * @throws RefusedException if there is no font
   */
  public static void png(Chart chart, OutputStream out) throws IOException, RefusedException {
    BufferedImage image = image(chart);
    ImageWriter writer = ImageIO.getImageWritersByFormatName("png").next();
    try (ImageOutputStream stream = new MemoryCacheImageOutputStream(out)) {
      writer.setOutput(stream);
      writer.write(image);
    } finally {
      writer.dispose();
    }
  }

  static BufferedImage image(Chart chart) throws RefusedException {
    requireFonts();
    BufferedImage image =
        new BufferedImage(
            chart.width() * SCALE, chart.height() * SCALE, BufferedImage.TYPE_INT_RGB);
    Graphics2D graphics = image.createGraphics();
    graphics.setRenderingHint(RenderingHints.KEY_ANTIALIASING, RenderingHints.VALUE_ANTIALIAS_ON);
    graphics.setRenderingHint(
        RenderingHints.KEY_TEXT_ANTIALIASING, RenderingHints.VALUE_TEXT_ANTIALIAS_ON);
    graphics.setRenderingHint(
        RenderingHints.KEY_FRACTIONALMETRICS, RenderingHints.VALUE_FRACTIONALMETRICS_ON);
    graphics.setRenderingHint(RenderingHints.KEY_STROKE_CONTROL, RenderingHints.VALUE_STROKE_PURE);
    graphics.scale(SCALE, SCALE);
    chart.paint(graphics);
    graphics.dispose();
    return image;
  }

  /**
   * Writes a chart as SVG.
   *
   * @param chart chart
   * @param out where to, as UTF-8; not closed
   * @throws IOException if writing fails
   * @throws RefusedException if there is no font
   */
  public static void svg(Chart chart, OutputStream out) throws IOException, RefusedException {
    requireFonts();
    SVGGraphics2D graphics = new SVGGraphics2D(chart.width(), chart.height());
    // The library's own prefix is the time of day; a file must not change with it.
    graphics.setDefsKeyPrefix("w");
    graphics.setGeomDoubleConverter(ChartFile::coordinate);
    graphics.setTransformDoubleConverter(ChartFile::coordinate);
    chart.paint(graphics);
    String document = graphics.getSVGElement(null, true, null, null, null);
    int inside = document.indexOf('>') + 1;
    String head =
        "<title>"
            + escaped(chart.title())
            + "</title><desc>"
            + escaped(chart.subtitle())
            + "</desc><style>text{font-variant-numeric:tabular-nums}</style>";
    String text = document.substring(0, inside) + head + document.substring(inside);
    out.write("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".getBytes(StandardCharsets.UTF_8));
    out.write(text.getBytes(StandardCharsets.UTF_8));
    out.write('\n');
  }

  private static String coordinate(double value) {
    double rounded = Math.rint(value * 100.0) / 100.0;
    return rounded == Math.rint(rounded) ? Long.toString((long) rounded) : Double.toString(rounded);
  }

  private static String escaped(String text) {
    StringBuilder safe = new StringBuilder();
    text.codePoints()
        .forEach(
            c -> {
              switch (c) {
                case '&' -> safe.append("&amp;");
                case '<' -> safe.append("&lt;");
                case '>' -> safe.append("&gt;");
                default -> safe.appendCodePoint(Character.isISOControl(c) ? ' ' : c);
              }
            });
    return safe.toString();
  }
}
