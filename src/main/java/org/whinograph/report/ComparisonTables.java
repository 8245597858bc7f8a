package org.whinograph.report;

import java.io.IOException;
import java.io.OutputStream;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.whinograph.comparison.ComparedBand;
import org.whinograph.comparison.ComparedDevice;
import org.whinograph.comparison.ComparedTone;
import org.whinograph.comparison.ComparedValue;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.report.Table.Column;
import org.whinograph.signal.Warning;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.tone.Tone;

/**
 * A comparison as tables: CSV files after RFC 4180 and the same as one workbook. Each device has
 * its columns, which begin with its label; what its levels refer to stands in its column {@code
 * level_unit}. Differences have no stated uncertainty.
 *
 * <p>All methods are pure and safe for use by several threads.
 */
public final class ComparisonTables {
  private ComparisonTables() {}

  /**
   * Plans {@code comparison.csv}, {@code comparison-third-octaves.csv}, {@code
   * comparison-tones.csv} and {@code comparison.xlsx}.
   *
   * @param folder folder to add them to
   * @param comparison comparison
   */
  public static void addTo(OutputFolder folder, Comparison comparison) {
    for (Table table : levelTables(comparison)) {
      folder.add(table.name() + ".csv", out -> Csv.write(table, out));
    }
    folder.add("comparison.xlsx", out -> writeWorkbook(comparison, out));
  }

  /**
   * Writes the workbook.
   *
   * @param comparison comparison
   * @param out where to; not closed
   * @throws IOException if writing fails
   */
  public static void writeWorkbook(Comparison comparison, OutputStream out) throws IOException {
    List<Table> sheets = new ArrayList<>(levelTables(comparison));
    sheets.add(devices(comparison));
    sheets.add(remarks(comparison));
    Xlsx.write(sheets, out);
  }

  /** Tables of levels, each with a column for every device whose levels need a caution. */
  private static List<Table> levelTables(Comparison comparison) {
    List<Table> tables = new ArrayList<>();
    for (Table each : List.of(values(comparison), thirdOctaves(comparison), tones(comparison))) {
      Table table = each;
      for (ComparedDevice device : comparison.devices()) {
        Optional<String> caution = device.measurement().caution();
        if (caution.isPresent()) {
          table = table.with(Column.text(device.label() + " caution"), caution.get());
        }
      }
      tables.add(table);
    }
    return tables;
  }

  static Table values(Comparison comparison) {
    List<Column> columns = new ArrayList<>();
    columns.add(Column.text("quantity"));
    columns.add(Column.text("meaning"));
    for (ComparedDevice device : comparison.devices()) {
      columns.add(Column.db(device.label() + " value_db"));
      columns.add(Column.db(device.label() + " difference_db"));
      columns.add(Column.text(device.label() + " unit"));
    }
    Table table = new Table("comparison", "Levels and ratios", columns);
    for (ComparedValue value : comparison.values()) {
      List<Object> cells = new ArrayList<>(List.of(value.symbol(), value.meaning()));
      for (int i = 0; i < comparison.devices().size(); i++) {
        cells.add(value.values().get(i));
        cells.add(value.differences().get(i));
        cells.add(value.level() ? unit(comparison, i) : "dB");
      }
      table.row(cells.toArray());
    }
    return table;
  }

  private static String unit(Comparison comparison, int device) {
    return comparison.devices().get(device).measurement().unit().label();
  }

  static Table thirdOctaves(Comparison comparison) {
    List<Column> columns = new ArrayList<>();
    columns.add(new Column("nominal_hz", 1));
    columns.add(Column.hz("midband_hz"));
    for (ComparedDevice device : comparison.devices()) {
      columns.add(Column.db(device.label() + " level_db"));
      columns.add(Column.db(device.label() + " difference_db"));
      columns.add(Column.text(device.label() + " level_unit"));
    }
    Table table = new Table("comparison-third-octaves", "One-third octaves", columns);
    for (ComparedBand band : comparison.thirdOctaves()) {
      List<Object> cells = new ArrayList<>(List.of(band.nominalHz(), band.midbandHz()));
      for (int i = 0; i < comparison.devices().size(); i++) {
        cells.add(band.levels().get(i));
        cells.add(band.differences().get(i));
        cells.add(unit(comparison, i));
      }
      table.row(cells.toArray());
    }
    return table;
  }

  /**
   * What the plain spectra show of each device, then in columns named {@code following_} what those
   * show that follow the speed; {@code same_line_as_hz} names a stronger tone of the device that is
   * the same line, heard at another speed.
   */
  static Table tones(Comparison comparison) {
    List<Column> columns = new ArrayList<>();
    columns.add(Column.hz("frequency_hz"));
    for (ComparedDevice device : comparison.devices()) {
      String label = device.label() + " ";
      columns.add(Column.hz(label + "frequency_hz"));
      columns.add(Column.db(label + "level_db"));
      columns.add(Column.db(label + "level_difference_db"));
      columns.add(Column.db(label + "tone_to_noise_db"));
      columns.add(Column.db(label + "tone_to_noise_difference_db"));
      columns.add(Column.db(label + "prominence_db"));
      columns.add(Column.db(label + "prominence_difference_db"));
      columns.add(Column.db(label + "above_limit_db"));
      columns.add(Column.text(label + "verdict"));
      columns.add(Column.text(label + "level_unit"));
    }
    for (ComparedDevice device : comparison.devices()) {
      columns.addAll(followingColumns(device.label() + " following_"));
      columns.add(Column.hz(device.label() + " same_line_as_hz"));
    }
    Table table = new Table("comparison-tones", "Tones", columns);
    for (ComparedTone row : comparison.tones()) {
      List<Object> cells = new ArrayList<>(List.of(row.frequencyHz()));
      for (int i = 0; i < comparison.devices().size(); i++) {
        Optional<Tone> tone = row.tones().get(i);
        cells.add(tone.map(Tone::frequencyHz).orElse(null));
        cells.add(tone.map(Tone::level).orElse(null));
        cells.add(row.levelDifferences().get(i));
        cells.add(tone.map(Tone::toneToNoise).orElse(null));
        cells.add(row.toneToNoiseDifferences().get(i));
        cells.add(tone.map(Tone::prominence).orElse(null));
        cells.add(row.prominenceDifferences().get(i));
        cells.add(tone.flatMap(Excess::of).map(Excess::aboveLimit).orElse(null));
        cells.add(tone.map(Words::verdict).orElse("no such tone"));
        cells.add(unit(comparison, i));
      }
      for (int i = 0; i < comparison.devices().size(); i++) {
        cells.addAll(followingCells(row, i));
        cells.add(row.sameLinesHz().get(i).orElse(null));
      }
      table.row(cells.toArray());
    }
    return table;
  }

  private static List<Column> followingColumns(String prefix) {
    return List.of(
        Column.hz(prefix + "frequency_hz"),
        new Column(prefix + "rpm", 1),
        new Column(prefix + "order", 2),
        Column.db(prefix + "level_db"),
        Column.db(prefix + "tone_to_noise_db"),
        Column.db(prefix + "tone_to_noise_difference_db"),
        Column.db(prefix + "prominence_db"),
        Column.db(prefix + "prominence_difference_db"),
        Column.db(prefix + "above_limit_db"),
        Column.text(prefix + "verdict"));
  }

  private static List<Object> followingCells(ComparedTone row, int device) {
    Optional<FollowedLine> line = row.followed().get(device);
    Optional<FollowingTone> tone = line.map(FollowedLine::followed);
    List<Object> cells = new ArrayList<>();
    cells.add(tone.map(FollowingTone::frequencyHz).orElse(null));
    cells.add(line.map(FollowedLine::rpm).orElse(null));
    cells.add(line.map(FollowedLine::order).orElse(null));
    cells.add(tone.map(FollowingTone::level).orElse(null));
    cells.add(tone.map(FollowingTone::toneToNoise).orElse(null));
    cells.add(row.followingToneToNoiseDifferences().get(device));
    cells.add(tone.map(FollowingTone::prominence).orElse(null));
    cells.add(row.followingProminenceDifferences().get(device));
    cells.add(line.flatMap(Excess::of).map(Excess::aboveLimit).orElse(null));
    cells.add(tone.map(Words::verdict).orElse("not followed"));
    return cells;
  }

  private static Table devices(Comparison comparison) {
    Table table =
        new Table(
            "devices",
            "Devices",
            List.of(
                Column.text("label"),
                Column.text("compared_with"),
                Column.text("file"),
                Column.text("sha256"),
                Column.text("level_unit"),
                Column.text("calibration_file"),
                new Column("duration_s", 3),
                new Column("sample_rate_hz", 3)));
    for (int i = 0; i < comparison.devices().size(); i++) {
      Measurement measurement = comparison.devices().get(i).measurement();
      table.row(
          comparison.devices().get(i).label(),
          i == comparison.reference(),
          measurement.recording().file(),
          measurement.recording().sha256(),
          measurement.unit().label(),
          measurement.calibrationFile(),
          measurement.recording().durationS(),
          measurement.recording().sampleRateHz());
    }
    return table;
  }

  private static Table remarks(Comparison comparison) {
    Table table =
        new Table("remarks", "To know", List.of(Column.text("code"), Column.text("message")));
    for (Warning warning : comparison.warnings()) {
      table.row(warning.code(), warning.message());
    }
    for (ComparedDevice device : comparison.devices()) {
      for (Warning warning : Notices.of(device.measurement())) {
        table.row(warning.code(), device.label() + ": " + warning.message());
      }
    }
    return table;
  }
}
