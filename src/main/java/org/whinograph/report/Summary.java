package org.whinograph.report;

import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Locale;
import java.util.Set;
import java.util.stream.Collectors;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.floor.Grade;
import org.whinograph.floor.GradedLevel;
import org.whinograph.floor.GradedLevels;
import org.whinograph.level.LevelQuantity;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/**
 * One measurement as a page of plain text for the terminal: what was measured, what the levels rest
 * on, levels, one-third octaves, tones, findings in sentences, and what the reader must know. No
 * line is wider than 100 characters unless a file's name is.
 *
 * <p>All methods are pure and safe for use by several threads.
 */
public final class Summary {
  private static final int TONES_SHOWN = 15;
  private static final int UNKNOWN_SHOWN = 4;
  private static final int FOLLOWED_SHOWN = 8;

  private static final List<LevelRow> LEVEL_ROWS =
      List.of(
          new LevelRow("equivalent", LevelQuantity.LAEQ, LevelQuantity.LCEQ, LevelQuantity.LZEQ),
          new LevelRow("maximum", LevelQuantity.LAF_MAX, LevelQuantity.LAS_MAX),
          new LevelRow("minimum", LevelQuantity.LAF_MIN, LevelQuantity.LAS_MIN),
          new LevelRow("exceeded", LevelQuantity.LA10, LevelQuantity.LA50, LevelQuantity.LA90),
          new LevelRow("peak", LevelQuantity.LC_PEAK, LevelQuantity.LZ_PEAK),
          new LevelRow("exposure", LevelQuantity.LAE));

  private record LevelRow(String name, LevelQuantity... quantities) {}

  private final Measurement measurement;
  private final TextSheet sheet = new TextSheet();

  private Summary(Measurement measurement) {
    this.measurement = measurement;
  }

  /**
   * Writes the page.
   *
   * @param measurement measurement
   * @param typeface characters that the terminal can show
   * @return lines, each ended by a line feed
   */
  public static String of(Measurement measurement, Typeface typeface) {
    Summary summary = new Summary(measurement);
    summary.head();
    summary.levels();
    summary.grades();
    summary.bands();
    summary.tones();
    summary.followed();
    new SpeedLines(measurement).writeTo(summary.sheet);
    summary.findings();
    summary.warnings();
    return typeface.set(summary.sheet.toString());
  }

  private void head() {
    sheet.line(measurement.recording().file());
    sheet.line("  " + Words.format(measurement.recording()));
    CalibrationRecord calibration = measurement.calibration();
    if (!measurement.unit().calibrated()) {
      sheet.line("  NOT CALIBRATED: levels are dB re full scale and no sound pressure levels");
    } else if (calibration == null) {
      sheet.line("  Calibrated: levels are " + Words.unit(measurement.unit()));
    } else {
      sheet.wrapped("  ", "  ", sentence(calibration));
    }
    measurement.caution().ifPresent(caution -> sheet.line("  " + Words.FAILED_INPUT));
    long overload = measurement.recording().overloadSamples();
    if (overload > 0) {
      sheet.line("  OVERLOADED in " + overload + " samples: levels there are too low");
    }
    long lost = measurement.recording().lostSamples();
    if (lost > 0) {
      sheet.line("  " + lost + " samples were lost while recording");
    }
  }

  private String sentence(CalibrationRecord calibration) {
    StringBuilder text = new StringBuilder();
    text.append("Calibrated ").append(calibration.date().atZone(ZoneOffset.UTC).toLocalDate());
    if (calibration.microphone() != null) {
      text.append(" with ").append(calibration.microphone());
    }
    text.append(": full scale is ")
        .append(Words.number(calibration.levelAtFullScaleDb(), 2))
        .append(" dB re 20 µPa, standard uncertainty ")
        .append(Words.number(calibration.standardUncertaintyDb(), 2))
        .append(" dB");
    if (measurement.calibrationFile() != null) {
      text.append(" (").append(Words.fileName(measurement.calibrationFile())).append(')');
    }
    return text.toString();
  }

  private void levels() {
    sheet.heading("Levels of the whole recording");
    List<String[]> rows = new ArrayList<>();
    for (LevelRow row : LEVEL_ROWS) {
      String[] cells = new String[8];
      Arrays.fill(cells, "");
      cells[0] = row.name();
      for (int i = 0; i < row.quantities().length; i++) {
        Reading level = row.quantities()[i].of(measurement.levels());
        cells[1 + 2 * i] = row.quantities()[i].symbol();
        cells[2 + 2 * i] = value(level);
      }
      cells[7] = Words.unit(measurement.unit());
      rows.add(cells);
    }
    boolean[] left = {true, true, false, true, false, true, false, true};
    sheet.table("  ", left, rows);
  }

  /** What the background and the floor leave of the levels. */
  private void grades() {
    GradedLevels graded = measurement.graded();
    if (graded == null) {
      return;
    }
    sheet.heading("Held against background and floor (ISO 3744, K1)");
    sheet.wrapped("  ", "  ", "LAeq of the device: " + sentence(graded.laeq()));
    sheet.wrapped(
        "  ",
        "  ",
        "One-third octaves: "
            + count(graded, Grade.MEASURED)
            + " measured, "
            + count(graded, Grade.CORRECTED)
            + " corrected, "
            + count(graded, Grade.UPPER_BOUND)
            + " upper bounds");
  }

  private static long count(GradedLevels graded, Grade grade) {
    return graded.thirdOctaves().stream().filter(level -> level.grade() == grade).count();
  }

  private String sentence(GradedLevel level) {
    if (level.grade() == null) {
      return "unknown";
    }
    String unit = Words.unit(measurement.unit());
    String beneath = ", background " + value(level.background()) + " dB";
    return switch (level.grade()) {
      case MEASURED -> value(level.corrected()) + " " + unit + ", measured" + beneath;
      case CORRECTED -> value(level.corrected()) + " " + unit + ", corrected" + beneath;
      case UPPER_BOUND -> "≤ " + value(level.corrected()) + " " + unit + ", upper bound" + beneath;
    };
  }

  private static String value(Reading reading) {
    return reading.known() ? Words.number(reading.value(), 1) : "unknown";
  }

  private void bands() {
    sheet.heading("One-third octaves, unweighted, levels in " + Words.unit(measurement.unit()));
    new BandBars(measurement.bands().thirdOctaves()).writeTo(sheet, allTones());
  }

  private List<Tone> allTones() {
    return measurement.tones() == null ? List.of() : measurement.tones().tones();
  }

  private void tones() {
    List<Tone> all = allTones();
    if (all.isEmpty()) {
      return;
    }
    sheet.heading("Tones, levels in " + Words.unit(measurement.unit()) + " (ratios: ECMA-418-1)");
    Set<Tone> chosen = chosen(all, measurement.lines());
    List<String[]> rows = new ArrayList<>();
    rows.add(
        new String[] {
          "frequency", "level", "tone-to-noise", "limit", "prominence", "limit", "verdict"
        });
    for (Tone tone : all) {
      if (chosen.contains(tone)) {
        rows.add(
            new String[] {
              aligned(tone),
              value(tone.level()) + " dB",
              Words.ratio(tone.toneToNoise()),
              limit(tone.toneToNoiseLimit()),
              Words.ratio(tone.prominence()),
              limit(tone.prominenceLimit()),
              verdict(tone)
            });
      }
    }
    boolean[] left = {false, false, false, false, false, false, true};
    sheet.table("  ", left, rows);
    if (chosen.size() < all.size()) {
      sheet.line(
          "  and "
              + (all.size() - chosen.size())
              + " lesser tones, in the tables of --out or --json");
    }
    origins(all.stream().filter(chosen::contains).toList());
  }

  /** The verdict on a line stands beside its strongest tone. */
  private String verdict(Tone tone) {
    Tone stronger = ToneOriginFields.sameLine(measurement, tone);
    return stronger == null ? Words.verdict(tone) : "same line as " + Words.frequency(stronger);
  }

  /** Orders of which the speed-following spectrum shows more than the plain one. */
  private void followed() {
    List<FollowedLine> lines =
        Excess.rankedLines(
            FollowedLine.of(measurement).stream().filter(FollowedLine::gains).toList());
    if (lines.isEmpty()) {
      return;
    }
    sheet.heading("Followed along the speed, whose motion smears tones in the plain spectrum");
    List<String[]> rows = new ArrayList<>();
    rows.add(
        new String[] {
          "frequency",
          "order",
          "at speed",
          "tone-to-noise",
          "plain",
          "prominence",
          "from limit",
          "verdict"
        });
    lines.stream()
        .limit(FOLLOWED_SHOWN)
        .sorted(Comparator.comparingDouble(line -> line.followed().frequencyHz()))
        .forEach(line -> rows.add(row(line)));
    sheet.table("  ", new boolean[] {false, false, false, false, false, false, false, true}, rows);
    if (lines.size() > FOLLOWED_SHOWN) {
      sheet.line(
          "  and "
              + (lines.size() - FOLLOWED_SHOWN)
              + " lesser ones, in the tables of --out or --json");
    }
  }

  private static String[] row(FollowedLine line) {
    FollowingTone followed = line.followed();
    return new String[] {
      Words.number(followed.frequencyHz(), 0) + " Hz",
      line.order() == null ? "unknown" : Words.number(line.order(), 0),
      Words.speed(line.rpm()),
      Words.ratio(followed.toneToNoise()),
      line.plain() == null ? "no tone" : Words.ratio(line.plainToneToNoise()),
      Words.ratio(followed.prominence()),
      Words.difference(Reading.of(Excess.of(line).orElseThrow().aboveLimit())),
      Words.verdict(followed)
    };
  }

  /** The tones of the table by cause, "unknown" last. */
  private void origins(List<Tone> shown) {
    if (!measurement.speed().heard()) {
      return;
    }
    sheet.heading("Where they come from (the evidence is in the tables of --out and in --json)");
    for (Cause cause : Cause.values()) {
      List<String> names = new ArrayList<>();
      for (Tone tone : shown) {
        Tone stronger = ToneOriginFields.sameLine(measurement, tone);
        if (ToneOriginFields.of(measurement, tone).cause() == cause && !shown.contains(stronger)) {
          names.add(ToneOriginFields.brief(measurement, tone));
        }
      }
      if (!names.isEmpty()) {
        String label = String.format(Locale.ROOT, "  %-12s", cause.label());
        sheet.wrapped(label, " ".repeat(label.length()), String.join(", ", names));
      }
    }
  }

  /**
   * All prominent lines, of the rest those that come nearest to their limits, then what is left.
   */
  private static Set<Tone> chosen(List<Tone> all, List<Tone> lines) {
    Set<Tone> chosen =
        lines.stream()
            .filter(tone -> Boolean.TRUE.equals(tone.prominent()))
            .collect(Collectors.toCollection(LinkedHashSet::new));
    for (Excess excess : Excess.ranked(lines)) {
      if (chosen.size() >= TONES_SHOWN) {
        return chosen;
      }
      chosen.add(excess.tone());
    }
    for (List<Tone> rest : List.of(lines, all)) {
      for (Tone tone : rest) {
        if (chosen.size() >= TONES_SHOWN) {
          return chosen;
        }
        chosen.add(tone);
      }
    }
    return chosen;
  }

  /** The frequency with its decimal point in one column. */
  private static String aligned(Tone tone) {
    String number = Words.frequency(tone).replace(" Hz", "");
    int point = number.indexOf('.');
    int decimals = point < 0 ? -1 : number.length() - point - 1;
    return number + " ".repeat(3 - decimals) + " Hz";
  }

  private static String limit(Reading limit) {
    return limit.known() ? Words.number(limit.value(), 1) + " dB" : "none";
  }

  private void findings() {
    sheet.heading("Findings");
    ToneResult result = measurement.tones();
    if (result == null || measurement.spectrum() == null) {
      sheet.wrapped(
          "  ",
          "  ",
          "Tones are unknown: the recording is too short for a spectrum; record longer.");
      return;
    }
    for (String finding : Findings.of(measurement)) {
      sheet.wrapped("  ", "  ", finding);
    }
  }

  private void warnings() {
    List<Warning> warnings = Notices.of(measurement);
    if (warnings.isEmpty()) {
      return;
    }
    sheet.heading("To know");
    long unknown = 0;
    for (Warning warning : warnings) {
      if (warning.code().equals(Notices.UNKNOWN) && ++unknown > UNKNOWN_SHOWN) {
        continue;
      }
      sheet.wrapped("  - ", "    ", Words.sentence(warning.message()));
    }
    if (unknown > UNKNOWN_SHOWN) {
      sheet.line(
          "  - "
              + (unknown - UNKNOWN_SHOWN)
              + " more numbers are unknown, each for a reason that --json and --out give.");
    }
  }
}
