package org.whinograph.report;

import java.util.List;
import org.whinograph.band.BandLevel;
import org.whinograph.tone.Tone;

/**
 * One-third-octave levels as bars of text, a column of two characters a band, with the tones as
 * wedges on the frequency axis beneath.
 */
final class BandBars {
  private static final int MAX_ROWS = 8;
  private static final int MIN_ROWS = 4;
  private static final int COLUMN = 2;
  private static final String INDENT = " ".repeat(8);
  private static final String BLOCKS = " ▁▂▃▄▅▆▇█";

  private final List<BandLevel> bands;
  private final double step;
  private final double top;
  private final int rows;

  BandBars(List<BandLevel> bands) {
    this.bands = bands;
    double highest =
        bands.stream()
            .filter(band -> band.level().known())
            .mapToDouble(band -> band.level().value())
            .max()
            .orElse(0.0);
    double lowest =
        bands.stream()
            .filter(band -> band.level().known())
            .mapToDouble(band -> band.level().value())
            .min()
            .orElse(0.0);
    step = highest - lowest <= 5.0 * (MAX_ROWS - 1) ? 5.0 : 10.0;
    top = Math.ceil(highest / step) * step;
    int needed = (int) Math.ceil((top - lowest) / step + 0.25);
    rows = Math.max(MIN_ROWS, Math.min(MAX_ROWS, needed));
  }

  void writeTo(TextSheet sheet, List<Tone> tones) {
    for (int row = 0; row < rows; row++) {
      double foot = top - (row + 1) * step;
      StringBuilder line = new StringBuilder(pad(Words.number(foot, 0), 6)).append(" │");
      for (BandLevel band : bands) {
        line.append(block(band, foot)).append(' ');
      }
      sheet.line(line.toString());
    }
    sheet.line(pad("dB", 6) + " └" + "─".repeat(COLUMN * bands.size()));
    sheet.line(axis());
    if (!tones.isEmpty()) {
      sheet.line(wedges(tones));
    }
  }

  private char block(BandLevel band, double foot) {
    if (!band.level().known()) {
      return foot <= top - rows * step ? '?' : ' ';
    }
    double eighths = Math.rint((band.level().value() - foot) / step * 8.0);
    return BLOCKS.charAt((int) Math.max(0.0, Math.min(8.0, eighths)));
  }

  private String axis() {
    StringBuilder line = new StringBuilder(pad("Hz", 6)).append("  ");
    for (int i = 0; i < bands.size(); i++) {
      int place = INDENT.length() + COLUMN * i;
      if (isOctave(bands.get(i).nominalHz()) && line.length() <= place) {
        line.append(" ".repeat(place - line.length()));
        line.append(Words.nominal(bands.get(i).nominalHz()).replace(" ", ""));
      }
    }
    return line.toString();
  }

  private static boolean isOctave(double nominal) {
    double steps = Math.log(nominal / 1000.0) / Math.log(2.0);
    return Math.abs(steps - Math.rint(steps)) < 0.05;
  }

  private String wedges(List<Tone> tones) {
    char[] marks = " ".repeat(COLUMN * bands.size()).toCharArray();
    for (Tone tone : tones) {
      int column = COLUMN * nearest(tone.frequencyHz());
      if (Boolean.TRUE.equals(tone.prominent())) {
        marks[column] = '▲';
      } else if (marks[column] == ' ') {
        marks[column] = '△';
      }
    }
    return " tones  " + new String(marks) + " ▲ prominent  △ other";
  }

  private int nearest(double hz) {
    int best = 0;
    for (int i = 1; i < bands.size(); i++) {
      if (distance(i, hz) < distance(best, hz)) {
        best = i;
      }
    }
    return best;
  }

  private double distance(int band, double hz) {
    return Math.abs(Math.log(bands.get(band).midbandHz() / hz));
  }

  private static String pad(String text, int width) {
    return " ".repeat(Math.max(0, width - text.length())) + text;
  }
}
