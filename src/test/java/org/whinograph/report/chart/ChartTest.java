package org.whinograph.report.chart;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.awt.image.BufferedImage;
import java.io.ByteArrayInputStream;
import java.io.ByteArrayOutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import javax.imageio.ImageIO;
import javax.xml.parsers.DocumentBuilderFactory;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.w3c.dom.Document;
import org.w3c.dom.NodeList;
import org.whinograph.comparison.Comparison;
import org.whinograph.level.LevelHistory;
import org.whinograph.measurement.Measurement;
import org.whinograph.report.InventedDevice;
import org.whinograph.signal.RefusedException;

class ChartTest {
  private static Comparison comparison(InventedDevice... devices) {
    List<Measurement> measurements = new ArrayList<>();
    for (InventedDevice device : devices) {
      measurements.add(device.build());
    }
    return Comparison.of(measurements, 0);
  }

  private static byte[] svg(Chart chart) throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ChartFile.svg(chart, out);
    return out.toByteArray();
  }

  private static Document document(Chart chart) throws Exception {
    return DocumentBuilderFactory.newInstance()
        .newDocumentBuilder()
        .parse(new ByteArrayInputStream(svg(chart)));
  }

  private static List<String> texts(Chart chart) throws Exception {
    NodeList nodes = document(chart).getElementsByTagName("text");
    List<String> texts = new ArrayList<>();
    for (int i = 0; i < nodes.getLength(); i++) {
      texts.add(nodes.item(i).getTextContent());
    }
    return texts;
  }

  @Test
  void thePictureIsTwiceTheSizeAndNotBlank() throws Exception {
    for (Chart chart :
        List.of(
            new FrequencySheet(InventedDevice.miniComputer().build()),
            new TimeSheet(InventedDevice.miniComputer().build()),
            new ComparisonSheet(
                comparison(InventedDevice.miniComputer(), InventedDevice.blower())))) {
      ByteArrayOutputStream out = new ByteArrayOutputStream();
      ChartFile.png(chart, out);
      BufferedImage image = ImageIO.read(new ByteArrayInputStream(out.toByteArray()));
      assertEquals(2 * chart.width(), image.getWidth());
      assertEquals(2 * chart.height(), image.getHeight());
      long drawn = 0;
      for (int y = 0; y < image.getHeight(); y++) {
        for (int x = 0; x < image.getWidth(); x++) {
          if (image.getRGB(x, y) != Palette.PAPER.getRGB()) {
            drawn++;
          }
        }
      }
      double part = drawn / (double) (image.getWidth() * image.getHeight());
      assertTrue(part > 0.01 && part < 0.5, () -> chart.title() + ": drawn part " + part);
    }
  }

  @Test
  void theWhineStandsAtItsFrequencyInThePicture() throws Exception {
    BufferedImage image =
        ChartFile.image(new FrequencySheet(InventedDevice.miniComputer().build()));
    // The axis of the sheet: 70 px to 910 px for the outer edges of the bands of 20 Hz and 20 kHz.
    double place = 70.0 + 840.0 * (Math.log10(1736.021 / 1000.0) + 1.75) / 3.1;
    int dark = 0;
    for (int x = (int) (2.0 * place) - 3; x <= (int) (2.0 * place) + 3; x++) {
      // The upper half of the spectrum's panel, where only the tone's own line reaches.
      dark = Math.max(dark, darkPixels(image, x, 225, 300));
    }
    assertTrue(dark > 60, "dark pixels at the whine: " + dark);
    int beside = darkPixels(image, (int) (2.0 * place) + 40, 225, 300);
    assertTrue(beside < 5, "dark pixels beside it: " + beside);
  }

  private static int darkPixels(BufferedImage image, int x, int top, int bottom) {
    int dark = 0;
    for (int y = top; y < bottom; y++) {
      if ((image.getRGB(x, y) & 0xFF) < 128) {
        dark++;
      }
    }
    return dark;
  }

  /**
   * ECMA-418-1, clause 11.6: at 744 Hz the limit is 8 + 8.33 lg(1000/744) = 9.07 dB, so that 12 dB
   * stand 2.9 dB above it.
   */
  @Test
  void whatOnlyFollowingFindsProminentIsNamed() throws Exception {
    InventedDevice drifting = InventedDevice.miniComputer().followed(12.0);
    List<String> one = texts(new FrequencySheet(drifting.build()));
    assertTrue(one.contains("744 Hz followed, +2.9 dB, order 3"), one.toString());
    assertTrue(one.stream().anyMatch(text -> text.startsWith("Ring: prominent only")));
    List<String> both = texts(new ComparisonSheet(comparison(drifting, InventedDevice.blower())));
    assertTrue(both.contains("744 Hz followed, +2.9 dB"), both.toString());
    assertTrue(both.stream().anyMatch(text -> text.contains("Hollow: prominent only")));
    List<String> plain = texts(new FrequencySheet(InventedDevice.miniComputer().build()));
    assertTrue(plain.stream().noneMatch(text -> text.contains("followed")), plain.toString());
  }

  /** What turns with the fan is filled, what isn't known is half filled. */
  @Test
  void wedgesTellWhatTurnsWithTheFan() throws Exception {
    BufferedImage image =
        ChartFile.image(new FrequencySheet(InventedDevice.miniComputer().build()));
    int fan = wedgePixels(image, 1736.021, Palette.EMBER);
    int other = wedgePixels(image, 9800.0, Palette.EMBER);
    assertTrue(fan > 100, "filled at the blade-pass line: " + fan);
    assertEquals(0, other);
    assertTrue(wedgePixels(image, 9800.0, Palette.INK) > 60);
    List<String> texts = texts(new FrequencySheet(InventedDevice.miniComputer().build()));
    assertTrue(texts.contains("1736.0 Hz, +5.3 dB, order 7"), texts.toString());
  }

  private static int wedgePixels(BufferedImage image, double hz, java.awt.Color colour) {
    double place = 2.0 * (70.0 + 840.0 * (Math.log10(hz / 1000.0) + 1.75) / 3.1);
    int found = 0;
    for (int x = (int) place - 12; x <= (int) place + 12; x++) {
      for (int y = 2 * 780; y < 2 * 805; y++) {
        found += image.getRGB(x, y) == colour.getRGB() ? 1 : 0;
      }
    }
    return found;
  }

  @Test
  void theFrequencySheetNamesFrequenciesTonesLimitAndUnit() throws Exception {
    List<String> texts = texts(new FrequencySheet(InventedDevice.miniComputer().build()));
    for (String wanted :
        List.of(
            "idle-1.wav: spectrum, one-third octaves and tones",
            "60.00 s, levels in dB re 20 µPa, calibrated 2026-03-02",
            "31.5",
            "63",
            "125",
            "250",
            "500",
            "1 k",
            "2 k",
            "4 k",
            "8 k",
            "16 k",
            "Hz",
            "dB",
            "1736.0 Hz, +5.3 dB, order 7",
            "3472.0 Hz, +1.1 dB",
            "248.0 Hz",
            "13500.0 Hz",
            "limit of",
            "prominence",
            "tone-to-noise ratio",
            "prominence ratio",
            "unweighted",
            "A-weighted")) {
      assertTrue(texts.contains(wanted), () -> wanted + " is missing from " + texts);
    }
  }

  @Test
  void everyChartSaysThatItIsNotCalibrated() throws Exception {
    for (Chart chart :
        List.of(
            new FrequencySheet(InventedDevice.miniComputer().uncalibrated().build()),
            new TimeSheet(InventedDevice.miniComputer().uncalibrated().build()),
            new ComparisonSheet(
                comparison(
                    InventedDevice.miniComputer().uncalibrated(),
                    InventedDevice.blower().uncalibrated())))) {
      assertTrue(
          texts(chart).stream().anyMatch(text -> text.contains("dB re full scale, not calibrated")),
          chart.title());
      assertTrue(texts(chart).stream().noneMatch(text -> text.contains("20 µPa")));
    }
  }

  @Test
  void unknownBandsAndMissingSpectraAreSaid() throws Exception {
    List<String> texts =
        texts(new FrequencySheet(InventedDevice.miniComputer().rate(32_000.0).build()));
    assertTrue(texts.contains("unknown"), texts::toString);
    Measurement brief = InventedDevice.named("brief.wav", 0.0).withoutSpectrum().build();
    assertEquals(
        2,
        texts(new FrequencySheet(brief)).stream()
            .filter(text -> text.equals("unknown: the recording gives no spectrum"))
            .count());
    assertTrue(
        texts(new FrequencySheet(InventedDevice.named("a.wav", 0.0).build()))
            .contains("No discrete tone was found."));
  }

  @Test
  void aHistoryOfUnknownsDrawsWords() throws Exception {
    Measurement whole = InventedDevice.miniComputer().seconds(1).build();
    LevelHistory history = whole.levels().history();
    history.laeq1s()[0] = Double.NaN;
    assertTrue(texts(new TimeSheet(whole)).contains("unknown: no level could be measured"));
  }

  @Test
  void theTimeSheetLabelsItsLines() throws Exception {
    Measurement measurement = InventedDevice.miniComputer().build();
    List<String> texts = texts(new TimeSheet(measurement));
    assertTrue(texts.contains("LAF, time weighting F"), texts::toString);
    assertTrue(texts.contains("LAeq of each second"), texts::toString);
    assertTrue(
        texts.stream().anyMatch(text -> text.matches("LAeq 34\\.5 dB, overall")), texts::toString);
    assertTrue(texts.contains("time, s"), texts::toString);
    assertTrue(
        texts(new TimeSheet(InventedDevice.blower().seconds(36_000).build())).contains("time, h"));
  }

  @Test
  void tenHoursMakeNoLargerDrawingThanAMinuteByMuch() throws Exception {
    byte[] long10h = svg(new TimeSheet(InventedDevice.blower().seconds(36_000).build()));
    assertTrue(long10h.length < 300_000, "bytes: " + long10h.length);
  }

  @Test
  void theComparisonLabelsEachDeviceAtItsLines() throws Exception {
    List<String> texts =
        texts(
            new ComparisonSheet(
                comparison(
                    InventedDevice.miniComputer(),
                    InventedDevice.quietComputer(),
                    InventedDevice.blower())));
    for (String label : List.of("heron-mini/idle-1", "plover-cube/idle-1", "dunlin-one/idle-1")) {
      assertEquals(2, texts.stream().filter(label::equals).count(), label);
    }
    assertTrue(texts.contains("1736.0 Hz, +5.3 dB"), texts::toString);
    assertTrue(
        texts.contains(
            "levels in dB re 20 µPa; compared with heron-mini/idle-1 (solid line); no"
                + " uncertainty stated"),
        texts::toString);
  }

  @Test
  void levelsOfAnotherUnitAreLeftOutAndNamed() throws Exception {
    List<String> texts =
        texts(
            new ComparisonSheet(
                comparison(
                    InventedDevice.miniComputer(), InventedDevice.quietComputer().uncalibrated())));
    assertTrue(
        texts.contains(", unweighted; left out, being not calibrated: plover-cube/idle-1"),
        texts::toString);
    assertEquals(1, texts.stream().filter("plover-cube/idle-1"::equals).count());
  }

  @Test
  void theSameMeasurementGivesTheSameFile() throws Exception {
    assertArrayEquals(
        svg(new FrequencySheet(InventedDevice.miniComputer().build())),
        svg(new FrequencySheet(InventedDevice.miniComputer().build())));
  }

  @Test
  void svgCarriesTitleAndEscapesNames() throws Exception {
    Document document = document(new TimeSheet(InventedDevice.named("a <b> & c.wav", 0.0).build()));
    assertEquals(
        "a <b> & c.wav: A-weighted level through time",
        document.getElementsByTagName("title").item(0).getTextContent());
    assertFalse(
        new String(svg(new FrequencySheet(InventedDevice.blower().build())), StandardCharsets.UTF_8)
            .contains("NaN"));
  }

  @Test
  void withoutAnyFontChartsAreRefusedWithASentence(@TempDir Path temp) throws Exception {
    Path fonts = temp.resolve("fonts.conf");
    Files.writeString(fonts, "<?xml version=\"1.0\"?><fontconfig></fontconfig>");
    ProcessBuilder builder =
        new ProcessBuilder(
            Path.of(System.getProperty("java.home"), "bin", "java").toString(),
            "-Djava.awt.headless=true",
            "-Duser.home=" + temp,
            "-cp",
            System.getProperty("java.class.path"),
            FontProbe.class.getName());
    builder.environment().put("FONTCONFIG_FILE", fonts.toString());
    builder.redirectErrorStream(true);
    Process process = builder.start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(process.waitFor(60, TimeUnit.SECONDS));
    assertTrue(said.contains("refused: Charts can't be drawn"), said);
  }

  /** Runs in a process of its own, without fonts. */
  static final class FontProbe {
    private FontProbe() {}

    public static void main(String[] args) {
      try {
        ChartFile.requireFonts();
        System.out.println("drawn");
      } catch (RefusedException e) {
        System.out.println("refused: " + e.getMessage());
      }
    }
  }
}
