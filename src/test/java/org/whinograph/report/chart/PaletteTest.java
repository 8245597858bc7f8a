package org.whinograph.report.chart;

import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.awt.BasicStroke;
import java.awt.Color;
import java.util.Arrays;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.whinograph.verification.VerificationReport;

/**
 * Contrast after WCAG 2.1, and colours seen with the three usual kinds of colour blindness,
 * simulated after Machado, Oliveira and Fernandes, "A physiologically-based model for simulation of
 * color vision deficiency", IEEE Transactions on Visualization and Computer Graphics 15(6), 2009:
 * matrices for severity 1.0, applied to linear sRGB.
 */
class PaletteTest {
  private static final Map<String, double[][]> VISION =
      Map.of(
          "none", new double[][] {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
          "protanopia",
              new double[][] {
                {0.152286, 1.052583, -0.204868},
                {0.114503, 0.786281, 0.099216},
                {-0.003882, -0.048116, 1.051998}
              },
          "deuteranopia",
              new double[][] {
                {0.367322, 0.860646, -0.227968},
                {0.280085, 0.672501, 0.047413},
                {-0.011820, 0.042940, 0.968881}
              },
          "tritanopia",
              new double[][] {
                {1.255528, -0.076749, -0.178779},
                {-0.078411, 0.930809, 0.147602},
                {0.004733, 0.691367, 0.303900}
              });

  /** Differences in CIELAB of ΔE*ab 10 are seen at a glance; lines are thin, so twice that. */
  private static final double LEAST_DIFFERENCE = 20.0;

  private static final List<Color> DEVICES =
      List.of(Palette.device(0), Palette.device(1), Palette.device(2), Palette.device(3));

  private static double[] linear(Color colour) {
    double[] rgb = {colour.getRed(), colour.getGreen(), colour.getBlue()};
    // IEC 61966-2-1:1999, 5.2.
    return Arrays.stream(rgb)
        .map(c -> c / 255.0)
        .map(c -> c <= 0.04045 ? c / 12.92 : Math.pow((c + 0.055) / 1.055, 2.4))
        .toArray();
  }

  private static double[] times(double[][] matrix, double[] vector) {
    double[] product = new double[3];
    for (int row = 0; row < 3; row++) {
      for (int column = 0; column < 3; column++) {
        product[row] += matrix[row][column] * vector[column];
      }
    }
    return product;
  }

  /** CIELAB of linear sRGB under D65 (CIE 15:2004). */
  private static double[] lab(double[] rgb) {
    double[][] toXyz = {
      {0.4124564, 0.3575761, 0.1804375},
      {0.2126729, 0.7151522, 0.0721750},
      {0.0193339, 0.1191920, 0.9503041}
    };
    double[] white = {0.95047, 1.0, 1.08883};
    double[] shown = Arrays.stream(rgb).map(c -> Math.max(0.0, Math.min(1.0, c))).toArray();
    double[] xyz = times(toXyz, shown);
    double[] f = new double[3];
    for (int i = 0; i < 3; i++) {
      double t = xyz[i] / white[i];
      f[i] = t > 216.0 / 24_389.0 ? Math.cbrt(t) : (24_389.0 / 27.0 * t + 16.0) / 116.0;
    }
    return new double[] {116.0 * f[1] - 16.0, 500.0 * (f[0] - f[1]), 200.0 * (f[1] - f[2])};
  }

  private static double difference(double[][] vision, Color a, Color b) {
    double[] one = lab(times(vision, linear(a)));
    double[] two = lab(times(vision, linear(b)));
    return Math.sqrt(
        Math.pow(one[0] - two[0], 2) + Math.pow(one[1] - two[1], 2) + Math.pow(one[2] - two[2], 2));
  }

  private static double leastDifference(double[][] vision, List<Color> colours) {
    double least = Double.POSITIVE_INFINITY;
    for (int i = 0; i < colours.size(); i++) {
      for (int j = 0; j < i; j++) {
        least = Math.min(least, difference(vision, colours.get(i), colours.get(j)));
      }
    }
    return least;
  }

  @Test
  void devicesStayApartUnderColourBlindness() {
    VerificationReport report =
        new VerificationReport(
            "colours-of-devices",
            "Colours of compared devices",
            "Machado, Oliveira, Fernandes 2009, severity 1.0; CIELAB difference",
            "vision",
            "least difference ΔE*ab",
            "asked for");
    VISION.entrySet().stream()
        .sorted(Map.Entry.comparingByKey())
        .forEach(
            kind ->
                report.row(
                    kind.getKey(), leastDifference(kind.getValue(), DEVICES), LEAST_DIFFERENCE));
    report.save();
    VISION.forEach(
        (name, vision) -> assertTrue(leastDifference(vision, DEVICES) >= LEAST_DIFFERENCE, name));
  }

  @Test
  void theSimulationTellsRedFromGreenOnlyForThoseWhoSeeBoth() {
    // Negative control: a red and a green of one lightness part for full vision alone.
    List<Color> pair = List.of(new Color(0xB5451B), new Color(0x8F6A10));
    assertTrue(leastDifference(VISION.get("none"), pair) > 30.0);
    assertTrue(leastDifference(VISION.get("deuteranopia"), pair) < 5.0);
  }

  private static double contrast(Color a, Color b) {
    double one = luminance(a) + 0.05;
    double two = luminance(b) + 0.05;
    return Math.max(one, two) / Math.min(one, two);
  }

  /** Relative luminance, WCAG 2.1. */
  private static double luminance(Color colour) {
    double[] rgb = linear(colour);
    return 0.2126 * rgb[0] + 0.7152 * rgb[1] + 0.0722 * rgb[2];
  }

  @Test
  void textAndLinesStandOutFromThePaper() {
    // WCAG 2.1, success criterion 1.4.3: 4.5 for text, also that in the colours of devices.
    for (Color colour : List.of(Palette.INK, Palette.PALE_INK)) {
      assertTrue(contrast(colour, Palette.PAPER) >= 4.5, colour::toString);
    }
    for (Color colour : DEVICES) {
      assertTrue(contrast(colour, Palette.PAPER) >= 4.5, colour::toString);
    }
    assertTrue(contrast(Palette.INK, Palette.SHADE) >= 4.5);
    assertTrue(Math.abs(contrast(Color.BLACK, Color.WHITE) - 21.0) < 1e-9);
  }

  @Test
  void dashesDifferBeforeColoursDo() {
    Set<String> lines = new HashSet<>();
    for (int place = 0; place < 6; place++) {
      lines.add(dash(place));
    }
    assertTrue(lines.size() == 6, lines::toString);
    // Fifteen devices beside the first before both dash and colour come round again.
    Set<String> looks = new HashSet<>();
    for (int place = 1; place <= 15; place++) {
      looks.add(dash(place) + Palette.device(place));
    }
    assertTrue(looks.size() == 15, looks::toString);
    assertNotEquals(dash(0), dash(1));
  }

  private static String dash(int place) {
    BasicStroke stroke = Palette.deviceLine(place, 1f);
    return Arrays.toString(stroke.getDashArray());
  }
}
