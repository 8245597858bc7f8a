package org.whinograph.report;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.whinograph.comparison.ComparedBand;
import org.whinograph.comparison.ComparedDevice;
import org.whinograph.comparison.ComparedTone;
import org.whinograph.comparison.ComparedValue;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.tone.Tone;

/**
 * A comparison as plain text for the terminal. Devices have numbers; many devices stand in several
 * blocks, each with the device that one compares with in front. No line is wider than 100
 * characters unless a recording's name is.
 *
 * <p>All methods are pure and safe for use by several threads.
 */
public final class ComparisonSummary {
  private static final int OTHERS_IN_A_BLOCK = 3;
  private static final int TONES_SHOWN = 20;
  private static final int FOLLOWED_SHOWN = 8;

  /** Mark of a tone that only the spectrum that follows the speed finds prominent. */
  private static final String HIDDEN = "▷";

  private final Comparison comparison;
  private final TextSheet sheet = new TextSheet();

  private ComparisonSummary(Comparison comparison) {
    this.comparison = comparison;
  }

  /**
   * Writes the comparison.
   *
   * @param comparison comparison
   * @param typeface characters that the terminal can show
   * @return lines, each ended by a line feed
   */
  public static String of(Comparison comparison, Typeface typeface) {
    ComparisonSummary summary = new ComparisonSummary(comparison);
    summary.head();
    summary.findings();
    for (List<Integer> block : summary.blocks()) {
      summary.values(block);
    }
    for (List<Integer> block : summary.blocks()) {
      summary.bands(block);
    }
    for (List<Integer> block : summary.blocks()) {
      summary.tones(block);
    }
    summary.followed();
    summary.warnings();
    return typeface.set(summary.sheet.toString());
  }

  private List<List<Integer>> blocks() {
    List<List<Integer>> blocks = new ArrayList<>();
    List<Integer> block = null;
    for (int i = 0; i < comparison.devices().size(); i++) {
      if (i == comparison.reference()) {
        continue;
      }
      if (block == null || block.size() > OTHERS_IN_A_BLOCK) {
        block = new ArrayList<>(List.of(comparison.reference()));
        blocks.add(block);
      }
      block.add(i);
    }
    return blocks;
  }

  private void head() {
    sheet.line("Comparison of " + comparison.devices().size() + " recordings");
    for (int i = 0; i < comparison.devices().size(); i++) {
      ComparedDevice device = comparison.devices().get(i);
      String role = i == comparison.reference() ? ", the one compared with" : "";
      sheet.line("  " + number(i) + "  " + device.label() + role);
      sheet.line(
          "     "
              + Words.duration(device.measurement().recording().durationS())
              + ", "
              + Words.unit(device.measurement().unit())
              + (device.measurement().unit().calibrated()
                  ? ", " + Words.calibration(device.measurement())
                  : ""));
    }
  }

  private static String number(int device) {
    return String.valueOf(device + 1);
  }

  /** A star at a device without calibration where others have one. */
  private String mark(int device) {
    boolean calibrated = comparison.devices().get(device).measurement().unit().calibrated();
    return comparison.sameUnit() || calibrated ? "" : "*";
  }

  /** The unit of all levels, or the words for several. */
  private String unit() {
    LevelUnit unit = comparison.devices().get(0).measurement().unit();
    return comparison.sameUnit()
        ? Words.unit(unit)
        : "dB re 20 µPa, or * dB re full scale, not calibrated";
  }

  private void findings() {
    sheet.heading("Findings (differences without stated uncertainty)");
    for (String finding : ComparisonFindings.of(comparison)) {
      sheet.wrapped("  ", "  ", finding);
    }
  }

  private void values(List<Integer> block) {
    sheet.heading("Levels in " + unit());
    List<String[]> rows = new ArrayList<>();
    rows.add(header("", block));
    List<String[]> ratios = new ArrayList<>();
    ratios.add(header("", block));
    for (ComparedValue value : comparison.values()) {
      (value.level() ? rows : ratios)
          .add(row(value.symbol(), value.values(), value.differences(), block));
    }
    sheet.table("  ", sides(block), rows);
    sheet.heading(
        "Ratios of all tones together, plain spectrum (TNR tone-to-noise, PR prominence; ECMA TR/108)");
    sheet.table("  ", sides(block), ratios);
  }

  private void bands(List<Integer> block) {
    sheet.heading("One-third octaves, unweighted, levels in " + unit());
    List<String[]> rows = new ArrayList<>();
    rows.add(header("Hz", block));
    for (ComparedBand band : comparison.thirdOctaves()) {
      rows.add(row(Words.nominal(band.nominalHz()), band.levels(), band.differences(), block));
    }
    sheet.table("  ", sides(block), rows);
  }

  private static boolean[] sides(List<Integer> block) {
    boolean[] left = new boolean[2 * block.size()];
    left[0] = true;
    return left;
  }

  private String[] header(String first, List<Integer> block) {
    List<String> cells = new ArrayList<>(List.of(first));
    for (int device : block) {
      cells.add(number(device) + mark(device));
      if (device != comparison.reference()) {
        cells.add(number(device) + " − " + number(comparison.reference()));
      }
    }
    return cells.toArray(String[]::new);
  }

  private String[] row(
      String name, List<Reading> values, List<Reading> differences, List<Integer> block) {
    List<String> cells = new ArrayList<>(List.of(name));
    for (int device : block) {
      cells.add(Words.ratio(values.get(device)));
      if (device != comparison.reference()) {
        cells.add(Words.difference(differences.get(device)));
      }
    }
    return cells.toArray(String[]::new);
  }

  private void tones(List<Integer> block) {
    List<ComparedTone> all =
        comparison.tones().stream()
            .filter(row -> block.stream().anyMatch(device -> row.tones().get(device).isPresent()))
            .toList();
    if (all.isEmpty()) {
      sheet.heading("Tones: none was found in " + block.size() + " recordings");
      return;
    }
    sheet.heading("Tones in the plain spectrum, levels in " + unit());
    sheet.line(
        "  in brackets the ratio above its limit of prominence; ▲ prominent" + hiddenKey(all));
    List<ComparedTone> shown =
        all.stream().filter(row -> rank(row, all, block) < TONES_SHOWN).toList();
    List<String[]> rows = new ArrayList<>();
    List<String> header = new ArrayList<>(List.of("about"));
    block.forEach(device -> header.add(number(device) + mark(device)));
    rows.add(header.toArray(String[]::new));
    for (ComparedTone row : shown) {
      List<String> cells = new ArrayList<>(List.of(Words.number(row.frequencyHz(), 1) + " Hz"));
      block.forEach(device -> cells.add(cell(row, device)));
      rows.add(cells.toArray(String[]::new));
    }
    sheet.table("  ", new boolean[block.size() + 1], rows);
    if (shown.size() < all.size()) {
      sheet.line(
          "  and "
              + (all.size() - shown.size())
              + " lesser tones, in the tables of --out or --json");
    }
  }

  private static long rank(ComparedTone row, List<ComparedTone> all, List<Integer> block) {
    double own = height(row, block);
    int place = all.indexOf(row);
    long before = 0;
    for (int i = 0; i < all.size(); i++) {
      double other = height(all.get(i), block);
      if (other > own || (other == own && i < place)) {
        before++;
      }
    }
    return before;
  }

  private static double height(ComparedTone row, List<Integer> block) {
    return block.stream()
        .filter(device -> row.sameLinesHz().get(device).isEmpty())
        .flatMap(device -> row.tones().get(device).stream())
        .flatMap(tone -> Excess.of(tone).stream())
        .mapToDouble(Excess::aboveLimit)
        .max()
        .orElse(Double.NEGATIVE_INFINITY);
  }

  private static String cell(ComparedTone row, int device) {
    Optional<Tone> tone = row.tones().get(device);
    boolean hidden =
        row.followed().get(device).filter(FollowedLine::onlyFollowedIsProminent).isPresent();
    if (tone.isEmpty()) {
      return hidden ? "none " + HIDDEN : "none";
    }
    if (row.sameLinesHz().get(device).isPresent()) {
      return "line of " + Words.number(row.sameLinesHz().get(device).get(), 1) + " Hz  ";
    }
    String excess =
        Excess.of(tone.get())
            .map(each -> " (" + Words.difference(Reading.of(each.aboveLimit())) + ")")
            .orElse(" (no limit)");
    String mark = Boolean.TRUE.equals(tone.get().prominent()) ? " ▲" : hidden ? " " + HIDDEN : "  ";
    return Words.ratio(tone.get().level()) + excess + mark;
  }

  private static String hiddenKey(List<ComparedTone> rows) {
    boolean any =
        rows.stream()
            .flatMap(row -> row.followed().stream())
            .flatMap(Optional::stream)
            .anyMatch(FollowedLine::onlyFollowedIsProminent);
    return any ? "; " + HIDDEN + " only when followed, below" : "";
  }

  /** Orders of which the spectrum that follows a device's speed shows more than the plain one. */
  private void followed() {
    List<ComparedTone> gaining =
        comparison.tones().stream()
            .filter(
                row ->
                    row.followed().stream()
                        .flatMap(Optional::stream)
                        .anyMatch(line -> line.gains() && Excess.of(line).isPresent()))
            .sorted(Comparator.comparingDouble(row -> -followedHeight(row)))
            .toList();
    if (gaining.isEmpty()) {
      return;
    }
    sheet.heading("Followed along the speed, whose motion smears tones in the plain spectrum");
    List<String[]> rows = new ArrayList<>();
    rows.add(
        new String[] {
          "frequency",
          "of",
          "order",
          "at speed",
          "tone-to-noise",
          "plain",
          "prominence",
          "from limit",
          "verdict"
        });
    gaining.stream()
        .limit(FOLLOWED_SHOWN)
        .sorted(Comparator.comparingDouble(ComparedTone::frequencyHz))
        .forEach(row -> rows.addAll(followedRows(row)));
    boolean[] left = new boolean[9];
    left[8] = true;
    sheet.table("  ", left, rows);
    if (gaining.size() > FOLLOWED_SHOWN) {
      sheet.line(
          "  and "
              + (gaining.size() - FOLLOWED_SHOWN)
              + " lesser ones, in the tables of --out or --json");
    }
  }

  private static double followedHeight(ComparedTone row) {
    return row.followed().stream()
        .flatMap(Optional::stream)
        .filter(FollowedLine::gains)
        .flatMap(line -> Excess.of(line).stream())
        .mapToDouble(Excess::aboveLimit)
        .max()
        .orElse(Double.NEGATIVE_INFINITY);
  }

  /** One line a device that has the tone in either spectrum. */
  private static List<String[]> followedRows(ComparedTone row) {
    List<String[]> rows = new ArrayList<>();
    for (int i = 0; i < row.tones().size(); i++) {
      Optional<FollowedLine> line = row.followed().get(i);
      if (line.isPresent()) {
        rows.add(followedRow(line.get(), i));
      } else if (row.tones().get(i).isPresent()) {
        rows.add(plainRow(row.tones().get(i).get(), i));
      }
    }
    return rows;
  }

  private static String[] followedRow(FollowedLine line, int device) {
    FollowingTone followed = line.followed();
    return new String[] {
      Words.number(followed.frequencyHz(), 0) + " Hz",
      number(device),
      line.order() == null ? "unknown" : Words.number(line.order(), 0),
      Words.speed(line.rpm()),
      Words.ratio(followed.toneToNoise()),
      line.plain() == null ? "no tone" : Words.ratio(line.plainToneToNoise()),
      Words.ratio(followed.prominence()),
      Excess.of(line)
          .map(excess -> Words.difference(Reading.of(excess.aboveLimit())))
          .orElse("no limit"),
      Words.verdict(followed)
    };
  }

  private static String[] plainRow(Tone tone, int device) {
    return new String[] {
      Words.number(tone.frequencyHz(), 0) + " Hz",
      number(device),
      "",
      "",
      "not followed",
      Words.ratio(tone.toneToNoise()),
      "",
      "",
      ""
    };
  }

  /** What is unknown and who isn't calibrated stands in the tables above; the rest is told here. */
  private void warnings() {
    sheet.heading("To know");
    for (Warning warning : comparison.warnings()) {
      sheet.wrapped("  - ", "    ", Words.sentence(warning.message()));
    }
    for (int i = 0; i < comparison.devices().size(); i++) {
      for (Warning warning : Notices.of(comparison.devices().get(i).measurement())) {
        boolean said =
            warning.code().equals(Notices.UNCALIBRATED) || warning.code().equals(Notices.UNKNOWN);
        if (!said) {
          sheet.wrapped("  - ", "    ", number(i) + ": " + Words.sentence(warning.message()));
        }
      }
    }
  }
}
