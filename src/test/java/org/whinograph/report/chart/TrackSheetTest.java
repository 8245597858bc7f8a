package org.whinograph.report.chart;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.awt.Color;
import java.awt.Font;
import java.awt.Graphics2D;
import java.awt.RenderingHints;
import java.awt.geom.Rectangle2D;
import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.util.ArrayList;
import java.util.List;
import javax.imageio.ImageIO;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.Test;
import org.w3c.dom.Document;
import org.w3c.dom.Element;
import org.w3c.dom.NodeList;
import org.whinograph.measurement.Measurement;
import org.whinograph.report.InventedDevice;

/** The track over the spectrogram: 7 blades at 14 880 1/min, whose line stands at 1736 Hz. */
class TrackSheetTest {
  private static Measurement measurement() {
    return InventedDevice.miniComputer().build();
  }

  private static Document svg(Chart chart) throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ChartFile.svg(chart, out);
    return DocumentBuilderFactory.newInstance()
        .newDocumentBuilder()
        .parse(new ByteArrayInputStream(out.toByteArray()));
  }

  private static List<String> texts(Document document) {
    NodeList nodes = document.getElementsByTagName("text");
    List<String> texts = new ArrayList<>();
    for (int i = 0; i < nodes.getLength(); i++) {
      texts.add(nodes.item(i).getTextContent());
    }
    return texts;
  }

  /** The boxes that the texts of a drawing fill [px]. */
  private static List<Rectangle2D> boxes(Document document) {
    Graphics2D graphics = new BufferedImage(1, 1, BufferedImage.TYPE_INT_RGB).createGraphics();
    graphics.setRenderingHint(
        RenderingHints.KEY_FRACTIONALMETRICS, RenderingHints.VALUE_FRACTIONALMETRICS_ON);
    graphics.setRenderingHint(
        RenderingHints.KEY_TEXT_ANTIALIASING, RenderingHints.VALUE_TEXT_ANTIALIAS_ON);
    List<Rectangle2D> boxes = new ArrayList<>();
    NodeList nodes = document.getElementsByTagName("text");
    for (int i = 0; i < nodes.getLength(); i++) {
      Element text = (Element) nodes.item(i);
      String style = text.getAttribute("style");
      int size = Integer.parseInt(style.replaceAll(".*font-size: (\\d+)px.*", "$1"));
      Font font = new Font(Font.SANS_SERIF, style.contains("bold") ? Font.BOLD : Font.PLAIN, size);
      Rectangle2D box =
          graphics.getFontMetrics(font).getStringBounds(text.getTextContent(), graphics);
      double x = Double.parseDouble(text.getAttribute("x"));
      double y = Double.parseDouble(text.getAttribute("y"));
      // Digits and capitals reach 0.75 of the size above the line and 0.2 below it.
      boxes.add(new Rectangle2D.Double(x, y - 0.75 * size, box.getWidth() - 0.5, 0.95 * size));
    }
    graphics.dispose();
    return boxes;
  }

  @Test
  void itSaysWhatItShowsWithUnits() throws Exception {
    List<String> texts = texts(svg(new TrackSheet(measurement())));
    for (String wanted :
        List.of(
            "idle-1.wav: speed of the shaft through time",
            "60.00 s, levels in dB re 20 µPa, calibrated 2026-03-02",
            "Speed",
            ", 1/min, with its 95 % interval",
            "1/min",
            "speed",
            "Spectrogram",
            ", dashed: order 7 of the shaft, by the speed above",
            "Hz",
            "0",
            "4000",
            "level of a line,",
            "dB re 20 µPa")) {
      assertTrue(texts.contains(wanted), wanted + " isn't among " + texts);
    }
    assertEquals(2, texts.stream().filter("time, s"::equals).count(), texts.toString());
    assertTrue(texts.stream().anyMatch(text -> text.endsWith("and more")), texts.toString());
    assertTrue(texts.stream().anyMatch(text -> text.endsWith("and less")), texts.toString());
  }

  @Test
  void aSecondFanIsDrawnAndNamed() throws Exception {
    for (Measurement measurement :
        List.of(
            InventedDevice.miniComputer().besideAnother(14_840.0).build(),
            InventedDevice.miniComputer().besideAnother(9000.0, 9600.0).build())) {
      List<String> texts = texts(svg(new TrackSheet(measurement)));
      assertTrue(texts.contains("second fan"), texts.toString());
      assertTrue(
          texts.contains(", 1/min, with its 95 % interval; dotted: a second fan"),
          texts.toString());
    }
    assertFalse(texts(svg(new TrackSheet(measurement()))).contains("second fan"));
  }

  @Test
  void uncalibratedLevelsAreSaidToBe() throws Exception {
    Measurement measurement = InventedDevice.miniComputer().uncalibrated().build();
    List<String> texts = texts(svg(new TrackSheet(measurement)));
    assertTrue(texts.contains("dB re full scale, not calibrated"), texts.toString());
  }

  /** For all sheets of one measurement. */
  @Test
  void noTextIsCutOffAndNoneCoversAnother() throws Exception {
    for (Measurement measurement :
        List.of(
            measurement(),
            InventedDevice.miniComputer().uncalibrated().build(),
            InventedDevice.miniComputer().besideAnother(14_884.0).build(),
            InventedDevice.blower().build())) {
      for (Chart chart :
          List.of(
              new TrackSheet(measurement),
              new TimeSheet(measurement),
              new FrequencySheet(measurement))) {
        Document document = svg(chart);
        List<String> texts = texts(document);
        List<Rectangle2D> boxes = boxes(document);
        for (int i = 0; i < boxes.size(); i++) {
          Rectangle2D box = boxes.get(i);
          String name = chart.title() + ": " + texts.get(i) + " at " + box;
          assertTrue(box.getMinX() >= 0 && box.getMaxX() <= chart.width(), name);
          assertTrue(box.getMinY() >= 0 && box.getMaxY() <= chart.height(), name);
          for (int j = 0; j < i; j++) {
            assertFalse(box.intersects(boxes.get(j)), name + " and " + texts.get(j));
          }
        }
      }
    }
  }

  @Test
  void theTrackLiesOnTheInkOfItsLineAndTheBandAboutIt() throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    TrackSheet sheet = new TrackSheet(measurement());
    ChartFile.png(sheet, out);
    BufferedImage image = ImageIO.read(new ByteArrayInputStream(out.toByteArray()));
    assertEquals(2 * sheet.width(), image.getWidth());
    assertEquals(2 * sheet.height(), image.getHeight());
    // The spectrogram's panel: 324 px to 638 px stand for 4000 Hz to 0.
    double line = 2.0 * (638.0 - (638.0 - 324.0) * 1736.0 / 4000.0);
    int ink = 0;
    int ember = 0;
    for (int x = 2 * 70; x < 2 * 830; x++) {
      for (int y = (int) line - 4; y <= (int) line + 4; y++) {
        Color colour = new Color(image.getRGB(x, y));
        ink += near(colour, Palette.INK) ? 1 : 0;
        ember += near(colour, Palette.EMBER) ? 1 : 0;
      }
    }
    assertTrue(ink > 500, "ink at 1736 Hz: " + ink);
    assertTrue(ember > 500, "track over it: " + ember);
    // Nothing but paper half a kilohertz above.
    for (int x = 2 * 80; x < 2 * 820; x++) {
      Color colour = new Color(image.getRGB(x, (int) line - 78));
      assertTrue(near(colour, Palette.PAPER), x + ": " + colour);
    }
    int band = 0;
    for (int x = 2 * 70; x < 2 * 830; x++) {
      for (int y = 2 * 96; y < 2 * 250; y++) {
        band += near(new Color(image.getRGB(x, y)), Palette.EMBER_SHADE) ? 1 : 0;
      }
    }
    assertTrue(band > 2000, "the 95 % interval: " + band);
  }

  private static boolean near(Color one, Color other) {
    return Math.abs(one.getRed() - other.getRed()) < 24
        && Math.abs(one.getGreen() - other.getGreen()) < 24
        && Math.abs(one.getBlue() - other.getBlue()) < 24;
  }

  @Test
  void withoutSpectraThroughTimeThereIsNothingToDraw() {
    Measurement measurement = measurement();
    assertTrue(TrackSheet.drawable(measurement));
    Measurement silent =
        new Measurement(
            measurement.recording(),
            measurement.calibration(),
            measurement.calibrationFile(),
            measurement.responseFile(),
            measurement.unit(),
            measurement.levels(),
            measurement.bands(),
            measurement.graded(),
            measurement.spectrum(),
            measurement.tones(),
            org.whinograph.speed.SpeedResult.notSought("Not sought."),
            measurement.orders(),
            measurement.warnings());
    assertFalse(TrackSheet.drawable(silent));
  }
}
