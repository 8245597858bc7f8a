package org.whinograph.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.order.ResonanceCrossing;
import org.whinograph.speed.order.SpeedSweep;

class TablesTest {
  private static List<List<String>> csv(Table table) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    Csv.write(table, out);
    return CsvReader.read(out.toString(StandardCharsets.UTF_8));
  }

  @Test
  void everyRecordEndsWithCarriageReturnAndLineFeed() throws IOException {
    // RFC 4180, clause 2, rules 1 and 4.
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    Csv.write(Tables.octaves(InventedDevice.miniComputer().build()), out);
    String text = out.toString(StandardCharsets.UTF_8);
    assertTrue(text.endsWith("\r\n"));
    assertEquals(11, text.split("\r\n", -1).length - 1);
    assertFalse(text.replace("\r\n", "").contains("\n"));
  }

  @Test
  void fieldsWithCommasQuotesAndBreaksAreQuoted() throws IOException {
    // RFC 4180, clause 2, rules 6 and 7.
    Table table = new Table("t", "T", List.of(Table.Column.text("a,b"), Table.Column.db("c_db")));
    table.row("say \"so\",\r\nthen go", -0.00001);
    table.row(null, Double.NaN);
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    Csv.write(table, out);
    assertEquals(
        "\"a,b\",c_db\r\n\"say \"\"so\"\",\r\nthen go\",0.0000\r\n,\r\n",
        out.toString(StandardCharsets.UTF_8));
    assertEquals("say \"so\",\r\nthen go", csv(table).get(1).get(0));
  }

  @Test
  void thirdOctavesCarryFrequenciesLevelsAndTheUnit() throws IOException {
    Measurement measurement = InventedDevice.miniComputer().rate(32_000.0).build();
    List<List<String>> rows = csv(Tables.thirdOctaves(measurement));
    assertEquals(
        List.of("nominal_hz", "midband_hz", "level_db", "a_weighted_db", "level_unit"),
        rows.get(0));
    assertEquals(32, rows.size());
    assertEquals("31.5", rows.get(3).get(0));
    assertEquals("31.622777", rows.get(3).get(1));
    assertEquals(
        measurement.bands().thirdOctaves().get(2).level().value(),
        Double.parseDouble(rows.get(3).get(2)),
        0.00005);
    assertEquals("dB re 20 uPa", rows.get(3).get(4));
    assertEquals("", rows.get(31).get(2));
  }

  @Test
  void tonesCarryRatiosLimitsAndVerdict() throws IOException {
    List<List<String>> rows = csv(Tables.tones(InventedDevice.miniComputer().build()));
    assertEquals(7, rows.size());
    List<String> head = rows.get(0);
    List<String> whine = rows.get(2);
    assertEquals("1736.021000", whine.get(head.indexOf("frequency_hz")));
    assertEquals("13.3000", whine.get(head.indexOf("tone_to_noise_db")));
    assertEquals("8.0000", whine.get(head.indexOf("tone_to_noise_limit_db")));
    assertEquals("true", whine.get(head.indexOf("prominent")));
    assertEquals("7", whine.get(head.indexOf("harmonic_number")));
    assertEquals("prominent", whine.get(head.indexOf("verdict")));
    assertEquals("1736.021000", whine.get(head.indexOf("following_frequency_hz")));
    // ECMA-418-1, clauses 11.6 and 12.7: 8 and 9 dB from 1 kHz on.
    assertEquals("8.0000", whine.get(head.indexOf("following_tone_to_noise_limit_db")));
    assertEquals("9.0000", whine.get(head.indexOf("following_prominence_limit_db")));
    assertEquals("", whine.get(head.indexOf("same_line_as_hz")));
    List<String> high = rows.get(6);
    assertEquals("", high.get(head.indexOf("following_frequency_hz")));
    assertEquals("", high.get(head.indexOf("following_tone_to_noise_limit_db")));
    assertEquals("", high.get(head.indexOf("tone_to_noise_limit_db")));
    assertEquals("", high.get(head.indexOf("prominent")));
    assertEquals("", high.get(head.indexOf("harmonic_number")));
  }

  @Test
  void resonancesHaveTheirIntervalOrTheReasonWhyThereIsNone() throws IOException {
    Reading none = Reading.unknown("too fast");
    List<List<String>> rows =
        csv(
            Tables.resonances(
                new SpeedSweep(
                    3000,
                    6000,
                    none,
                    none,
                    none,
                    none,
                    0,
                    List.of(),
                    List.of(
                        new ResonanceCrossing(
                            780.0,
                            Reading.of(775.0),
                            Reading.of(786.0),
                            List.of(7, 9),
                            List.of(6686.0, 5200.0),
                            List.of(10),
                            8.0),
                        new ResonanceCrossing(
                            500.0, none, none, List.of(4), List.of(7500.0), List.of(), 6.0)))));
    assertEquals(
        List.of("780.000000", "775.000000", "786.000000", "8.0000", "7 9", "10", "resonance", ""),
        rows.get(1));
    assertEquals(
        List.of("500.000000", "", "", "6.0000", "4", "", "perhaps", "too fast"), rows.get(2));
  }

  @Test
  void timelineHasARowASecondAndEmptyCellsForTheUnknown() throws IOException {
    Measurement measurement = InventedDevice.miniComputer().uncalibrated().build();
    List<List<String>> rows = csv(Tables.timeline(measurement));
    assertEquals(List.of("time_s", "laeq_1s_db", "laf_max_db", "rpm", "level_unit"), rows.get(0));
    assertEquals(61, rows.size());
    assertEquals("0", rows.get(1).get(0));
    assertEquals("", rows.get(1).get(2));
    assertEquals("59", rows.get(60).get(0));
    assertEquals(
        measurement.levels().history().laeq1s()[59],
        Double.parseDouble(rows.get(60).get(1)),
        0.00005);
    assertEquals(14_882.0, Double.parseDouble(rows.get(60).get(3)), 5.0);
    assertEquals("dB re full scale", rows.get(60).get(4));
  }

  @Test
  void aSecondFanHasAColumnOfItsOwn() throws IOException {
    Measurement moving = InventedDevice.miniComputer().besideAnother(9000.0, 9600.0).build();
    List<List<String>> rows = csv(Tables.timeline(moving));
    assertEquals("second_fan_rpm", rows.get(0).get(5));
    // 10 rpm a second: the mean of the 31st second is that of its middle.
    assertEquals("9305.0", rows.get(31).get(5));
    Measurement even = InventedDevice.miniComputer().besideAnother(9000.0).build();
    assertEquals("9000.0", csv(Tables.timeline(even)).get(60).get(5));
  }

  @Test
  void theWorkbookHoldsTheSameTablesWithNumbersAsNumbers() throws Exception {
    Measurement measurement = InventedDevice.miniComputer().build();
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    Tables.writeWorkbook(measurement, out);
    Map<String, XlsxReader.Sheet> sheets = XlsxReader.read(out.toByteArray());
    assertEquals(
        List.of(
            "Levels",
            "One-third octaves",
            "Octaves",
            "Tones",
            "Tones when followed",
            "Timeline",
            "Method"),
        List.copyOf(sheets.keySet()));
    XlsxReader.Sheet levels = sheets.get("Levels");
    assertEquals("LAeq", levels.text("A2"));
    assertEquals(measurement.levels().laeq().value(), levels.number("B2"), 1e-9);
    assertEquals("dB re 20 uPa", levels.text("C2"));
    XlsxReader.Sheet bands = sheets.get("One-third octaves");
    assertEquals("level_db", bands.text("C1"));
    assertEquals(20.0, bands.number("A2"));
    assertEquals(
        measurement.bands().thirdOctaves().get(30).level().value(), bands.number("C32"), 1e-9);
    XlsxReader.Sheet tones = sheets.get("Tones");
    assertEquals(1736.021, tones.number("A3"), 1e-9);
    assertFalse(tones.has("E7"));
    XlsxReader.Sheet followed = sheets.get("Tones when followed");
    assertEquals("following_tone_to_noise_db", followed.text("D1"));
    assertEquals(-4.5, followed.number("D2"), 1e-9);
    assertEquals(3.0, followed.number("K2"), 1e-9);
    assertEquals(59.0, sheets.get("Timeline").number("A61"));
    XlsxReader.Sheet method = sheets.get("Method");
    assertEquals("runs/heron-mini/idle-1.wav", method.text("B2"));
    assertEquals(48_000.0, method.number("B4"));
    assertTrue(out.toString(StandardCharsets.ISO_8859_1).startsWith("PK"));
  }

  @Test
  void filesOfOneAndOfSeveralMeasurements(@TempDir Path temp) throws RefusedException {
    OutputFolder one = new OutputFolder(temp.resolve("one"), false);
    AnalysisFiles.addTo(one, List.of(InventedDevice.miniComputer().build()), true);
    one.write();
    for (String name :
        List.of(
            "third-octaves.csv",
            "octaves.csv",
            "tones.csv",
            "timeline.csv",
            "measurement.xlsx",
            "frequency.png",
            "frequency.svg",
            "level.png",
            "level.svg")) {
      assertTrue(Files.isRegularFile(temp.resolve("one").resolve(name)), name);
    }
    OutputFolder two = new OutputFolder(temp.resolve("two"), false);
    AnalysisFiles.addTo(
        two,
        List.of(InventedDevice.miniComputer().build(), InventedDevice.quietComputer().build()),
        false);
    two.write();
    assertTrue(Files.isRegularFile(temp.resolve("two/idle-1/tones.csv")));
    assertTrue(Files.isRegularFile(temp.resolve("two/idle-1-2/tones.csv")));
  }
}
