package org.whinograph.report;

import java.io.IOException;
import java.io.OutputStream;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.whinograph.band.BandLevel;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.floor.GradedLevel;
import org.whinograph.level.LevelHistory;
import org.whinograph.level.LevelQuantity;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.RecordingInfo;
import org.whinograph.quantity.Reading;
import org.whinograph.report.Table.Column;
import org.whinograph.signal.Warning;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.speed.order.FollowedOrder;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.speed.order.ResonanceCrossing;
import org.whinograph.speed.order.SpeedSweep;
import org.whinograph.speed.order.TwoFans;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/**
 * One measurement as tables: CSV files after RFC 4180 and the same as one workbook. Headers hold
 * the units; what a level refers to stands in the column {@code level_unit} of every row. An empty
 * cell is an unknown number. Levels are rounded to 0.0001 dB and frequencies to 1 µHz; the JSON has
 * them in full.
 *
 * <p>All methods are pure and safe for use by several threads.
 */
public final class Tables {
  private Tables() {}

  /**
   * Plans {@code third-octaves.csv}, {@code octaves.csv}, {@code tones.csv}, {@code
   * following-tones.csv}, {@code timeline.csv} and {@code measurement.xlsx}; where the speed goes
   * through a range, {@code resonances.csv} too.
   *
   * @param measurement measurement
   * @param folder folder to add them to
   * @param prefix put before each name, such as a folder with its slash; may be empty
   */
  public static void addTo(OutputFolder folder, String prefix, Measurement measurement) {
    for (Table each : levelTables(measurement)) {
      Table table = cautioned(each, measurement);
      folder.add(prefix + table.name() + ".csv", out -> Csv.write(table, out));
    }
    folder.add(prefix + "measurement.xlsx", out -> writeWorkbook(measurement, out));
  }

  /**
   * Writes the workbook: levels and method, then the tables of the CSV files.
   *
   * @param measurement measurement
   * @param out where to; not closed
   * @throws IOException if writing fails
   */
  public static void writeWorkbook(Measurement measurement, OutputStream out) throws IOException {
    List<Table> sheets = new ArrayList<>();
    sheets.add(cautioned(levels(measurement), measurement));
    levelTables(measurement).forEach(table -> sheets.add(cautioned(table, measurement)));
    sheets.add(method(measurement));
    Xlsx.write(sheets, out);
  }

  private static List<Table> levelTables(Measurement measurement) {
    List<Table> tables = new ArrayList<>();
    tables.add(thirdOctaves(measurement));
    tables.add(octaves(measurement));
    tables.add(tones(measurement));
    tables.add(followingTones(measurement));
    if (measurement.orders().sweep() != null) {
      tables.add(resonances(measurement.orders().sweep()));
    }
    tables.add(timeline(measurement));
    return tables;
  }

  /** A row can be copied without its file, so what no output may leave out stands in each. */
  private static Table cautioned(Table table, Measurement measurement) {
    return measurement
        .caution()
        .map(caution -> table.with(Column.text("caution"), caution))
        .orElse(table);
  }

  static Table levels(Measurement measurement) {
    Table table =
        new Table(
            "levels",
            "Levels",
            List.of(
                Column.text("symbol"),
                Column.db("level_db"),
                Column.text("level_unit"),
                Column.text("meaning"),
                Column.text("unknown_because")));
    for (LevelQuantity quantity : LevelQuantity.values()) {
      Reading reading = quantity.of(measurement.levels());
      table.row(
          quantity.symbol(),
          reading,
          measurement.unit().label(),
          quantity.meaning(),
          reading.reason());
    }
    return table;
  }

  static Table thirdOctaves(Measurement measurement) {
    if (measurement.graded() == null) {
      return bands(
          "third-octaves", "One-third octaves", measurement, measurement.bands().thirdOctaves());
    }
    Table table =
        new Table(
            "third-octaves",
            "One-third octaves",
            List.of(
                new Column("nominal_hz", 1),
                Column.hz("midband_hz"),
                Column.db("level_db"),
                Column.db("a_weighted_db"),
                Column.db("background_db"),
                Column.db("corrected_db"),
                Column.text("grade"),
                Column.text("level_unit")));
    for (int i = 0; i < measurement.bands().thirdOctaves().size(); i++) {
      BandLevel band = measurement.bands().thirdOctaves().get(i);
      GradedLevel graded = measurement.graded().thirdOctaves().get(i);
      table.row(
          band.nominalHz(),
          band.midbandHz(),
          band.level(),
          band.aWeighted(),
          graded.background(),
          graded.corrected(),
          graded.grade() == null ? null : graded.grade().label(),
          measurement.unit().label());
    }
    return table;
  }

  static Table octaves(Measurement measurement) {
    return bands("octaves", "Octaves", measurement, measurement.bands().octaves());
  }

  private static Table bands(
      String name, String title, Measurement measurement, List<BandLevel> bands) {
    Table table =
        new Table(
            name,
            title,
            List.of(
                new Column("nominal_hz", 1),
                Column.hz("midband_hz"),
                Column.db("level_db"),
                Column.db("a_weighted_db"),
                Column.text("level_unit")));
    for (BandLevel band : bands) {
      table.row(
          band.nominalHz(),
          band.midbandHz(),
          band.level(),
          band.aWeighted(),
          measurement.unit().label());
    }
    return table;
  }

  /**
   * The tones of the plain spectrum. Columns that begin with {@code following_} hold the same order
   * in the spectrum that follows the speed: its ratios hold at the speed {@code following_rpm} and
   * the frequency {@code following_frequency_hz} that the order has there, against the limits of
   * that frequency. {@code same_line_as_hz} names a stronger tone that is the same line, heard at
   * another speed.
   */
  static Table tones(Measurement measurement) {
    Table table =
        new Table(
            "tones",
            "Tones",
            List.of(
                Column.hz("frequency_hz"),
                Column.hz("frequency_uncertainty_hz"),
                Column.db("level_db"),
                Column.db("tone_to_noise_db"),
                Column.db("tone_to_noise_limit_db"),
                Column.db("prominence_db"),
                Column.db("prominence_limit_db"),
                Column.text("prominent"),
                Column.text("audible"),
                Column.db("tonal_audibility_db"),
                Column.hz("harmonic_of_hz"),
                Column.text("harmonic_number"),
                Column.text("verdict"),
                Column.text("level_unit"),
                Column.db("following_tone_to_noise_db"),
                Column.db("following_prominence_db"),
                new Column("order", 2),
                Column.text("cause"),
                Column.text("evidence"),
                Column.text("following_prominent"),
                new Column("following_rpm", 1),
                Column.hz("following_frequency_hz"),
                Column.db("following_tone_to_noise_limit_db"),
                Column.db("following_prominence_limit_db"),
                Column.hz("same_line_as_hz")));
    List<Tone> tones = measurement.tones() == null ? List.of() : measurement.tones().tones();
    for (Tone tone : tones) {
      Tone.Harmonic harmonic = tone.harmonic();
      FollowingTone following = ToneOriginFields.following(measurement, tone);
      Tone stronger = ToneOriginFields.sameLine(measurement, tone);
      table.row(
          tone.frequencyHz(),
          tone.frequencyUncertaintyHz(),
          tone.level(),
          tone.toneToNoise(),
          tone.toneToNoiseLimit(),
          tone.prominence(),
          tone.prominenceLimit(),
          tone.prominent(),
          tone.audible(),
          tone.tonalAudibility(),
          harmonic == null ? null : harmonic.fundamentalHz(),
          harmonic == null ? null : harmonic.number(),
          Words.verdict(tone),
          measurement.unit().label(),
          following.toneToNoise(),
          following.prominence(),
          ToneOriginFields.of(measurement, tone).order(),
          ToneOriginFields.of(measurement, tone).cause().label(),
          String.join(" ", ToneOriginFields.of(measurement, tone).evidence()),
          following.prominent(),
          following.rpm(ToneOriginFields.of(measurement, tone).order()),
          following.shaftHz() > 0.0 ? following.frequencyHz() : null,
          following.toneToNoiseLimit(),
          following.prominenceLimit(),
          stronger == null ? null : stronger.frequencyHz());
    }
    return table;
  }

  /** Orders that the spectrum that follows the speed shows, and no tone of the plain one. */
  static Table followingTones(Measurement measurement) {
    Table table =
        new Table(
            "following-tones",
            "Tones when followed",
            List.of(
                new Column("frequency_hz", 6),
                new Column("rpm", 1),
                Column.db("level_db"),
                Column.db("following_tone_to_noise_db"),
                Column.db("tone_to_noise_limit_db"),
                Column.db("following_prominence_db"),
                Column.db("prominence_limit_db"),
                Column.text("following_prominent"),
                Column.text("audible"),
                Column.text("level_unit"),
                new Column("order", 2),
                Column.text("cause"),
                Column.text("evidence")));
    for (FollowedOrder followed : measurement.orders().followedOnly()) {
      FollowingTone tone = followed.tone();
      table.row(
          tone.frequencyHz(),
          tone.rpm(followed.order()),
          tone.level(),
          tone.toneToNoise(),
          tone.toneToNoiseLimit(),
          tone.prominence(),
          tone.prominenceLimit(),
          tone.prominent(),
          tone.audible(),
          measurement.unit().label(),
          followed.order(),
          followed.cause().label(),
          String.join(" ", followed.evidence()));
    }
    return table;
  }

  /** Frequencies at which orders grow loud on their way, with the 95 % interval. */
  static Table resonances(SpeedSweep sweep) {
    Table table =
        new Table(
            "resonances",
            "Resonances",
            List.of(
                Column.hz("frequency_hz"),
                Column.hz("frequency_low_hz"),
                Column.hz("frequency_high_hz"),
                Column.db("rise_db"),
                Column.text("orders"),
                Column.text("orders_without_peak"),
                Column.text("verdict"),
                Column.text("interval_unknown_because")));
    for (ResonanceCrossing resonance : sweep.resonances()) {
      table.row(
          resonance.frequencyHz(),
          resonance.lowHz(),
          resonance.highHz(),
          resonance.riseDb(),
          Words.list(resonance.orders()),
          Words.list(resonance.ordersWithoutPeak()),
          resonance.orders().size() == 1 ? "perhaps" : "resonance",
          resonance.lowHz().reason());
    }
    return table;
  }

  /**
   * One row a second; {@code time_s} is the second's start on the recording's clock. Where a second
   * fan is known, its speed is the last column.
   */
  static Table timeline(Measurement measurement) {
    List<Column> columns =
        new ArrayList<>(
            List.of(
                new Column("time_s", measurement.recording().startS() == 0 ? 0 : 3),
                Column.db("laeq_1s_db"),
                Column.db("laf_max_db"),
                new Column("rpm", 1),
                Column.text("level_unit")));
    LevelHistory history = measurement.levels().history();
    int seconds = history.laeq1s().length;
    double[] rpm = rpmOfSeconds(measurement.speed().track(), seconds);
    double[] second = new double[0];
    TwoFans fans = measurement.orders().twoFans();
    if (fans != null) {
      columns.add(new Column("second_fan_rpm", 1));
      second = fans.track() == null ? constant(fans, rpm) : rpmOfSeconds(fans.track(), seconds);
    }
    Table table = new Table("timeline", "Timeline", columns);
    for (int i = 0; i < seconds; i++) {
      List<Object> row = new ArrayList<>();
      row.add(measurement.recording().startS() + i);
      row.add(history.laeq1s()[i]);
      row.add(history.lafMax1s()[i]);
      row.add(rpm[i]);
      row.add(measurement.unit().label());
      if (fans != null) {
        row.add(second[i]);
      }
      table.row(row.toArray());
    }
    return table;
  }

  /** The one speed of a second fan, while the first's is known. */
  private static double[] constant(TwoFans fans, double[] rpm) {
    return Arrays.stream(rpm).map(each -> Double.isNaN(each) ? each : fans.secondRpm()).toArray();
  }

  /** Mean of the known speeds within each second; NaN, an empty cell, without any. */
  private static double[] rpmOfSeconds(SpeedTrack track, int seconds) {
    double[] sum = new double[seconds];
    int[] known = new int[seconds];
    for (int i = 0; i < track.frames(); i++) {
      int second = (int) track.timeS()[i];
      if (second < seconds && !Double.isNaN(track.rpm()[i])) {
        sum[second] += track.rpm()[i];
        known[second]++;
      }
    }
    for (int second = 0; second < seconds; second++) {
      sum[second] = known[second] == 0 ? Double.NaN : sum[second] / known[second];
    }
    return sum;
  }

  static Table method(Measurement measurement) {
    Table table =
        new Table(
            "method",
            "Method",
            List.of(Column.text("what"), Column.db("value"), Column.text("unit_or_remark")));
    RecordingInfo recording = measurement.recording();
    table.row("recording", recording.file(), null);
    table.row("SHA-256 of the recording", recording.sha256(), null);
    table.row("sample rate", recording.sampleRateHz(), "Hz");
    table.row("bit depth", recording.bitDepth(), "bit");
    table.row("channels in the file", recording.channels(), null);
    table.row("channel measured", recording.channel(), "counted from 1");
    table.row("start of the stretch measured", recording.startS(), "s");
    table.row("length measured", recording.durationS(), "s");
    table.row("samples in overload", recording.overloadSamples(), "samples");
    table.row("samples lost", recording.lostSamples(), "samples");
    table.row("levels refer to", measurement.unit().label(), Words.calibration(measurement));
    calibration(table, measurement);
    table.row("time and frequency weightings", "IEC 61672-1:2013", "A, C, Z; F, S");
    table.row(
        "band filters", "IEC 61260-1:2014", "base 10, octaves and one-third octaves, energy means");
    table.row("tones", "ECMA-418-1", "tone-to-noise ratio and prominence ratio");
    if (measurement.spectrum() != null) {
      table.row("spacing of spectral lines", measurement.spectrum().lineSpacingHz(), "Hz");
      table.row("effective noise bandwidth", measurement.spectrum().noiseBandwidthLines(), "lines");
      table.row("spectra averaged by energy", measurement.spectrum().frames(), "frames");
    }
    totals(table, measurement.tones());
    for (Warning warning : Notices.of(measurement)) {
      table.row("warning", warning.code(), warning.message());
    }
    return table;
  }

  private static void calibration(Table table, Measurement measurement) {
    CalibrationRecord calibration = measurement.calibration();
    if (calibration == null) {
      return;
    }
    table.row("calibration record", measurement.calibrationFile(), null);
    table.row("microphone response taken out", measurement.responseFile(), null);
    table.row("calibration date", calibration.date().toString(), "UTC");
    table.row("microphone", calibration.microphone(), null);
    table.row("level at full scale", calibration.levelAtFullScaleDb(), "dB re 20 uPa");
    table.row("standard uncertainty of that level", calibration.standardUncertaintyDb(), "dB");
    table.row("calibrator level", calibration.referenceLevelDb(), "dB re 20 uPa");
    table.row("microphone response", calibration.responseFile(), null);
  }

  private static void totals(Table table, ToneResult tones) {
    if (tones == null) {
      return;
    }
    table.row("total tone-to-noise ratio", tones.totalToneToNoise(), "dB, ECMA TR/108");
    table.row("total prominence ratio", tones.totalProminence(), "dB, ECMA TR/108");
    table.row("tonal adjustment", tones.tonalAdjustment(), "dB, ISO 1996-2:2017, Annex J");
  }
}
