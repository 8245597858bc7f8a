package org.whinograph.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.Measurement;

class ComparisonReportTest {
  private static final Measurement HERON = InventedDevice.miniComputer().build();
  private static final Measurement PLOVER = InventedDevice.quietComputer().build();
  private static final Comparison PAIR = Comparison.of(List.of(HERON, PLOVER), 0);
  private static final Comparison MIXED =
      Comparison.of(
          List.of(HERON, InventedDevice.quietComputer().uncalibrated().rate(32_000.0).build()), 0);

  private static JsonNode json(Comparison comparison) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ComparisonJson.write(comparison, out);
    assertFalse(out.toString(StandardCharsets.UTF_8).contains("NaN"));
    return new ObjectMapper().readTree(out.toByteArray());
  }

  @Test
  void jsonHoldsDevicesValuesDifferencesAndTones() throws IOException {
    JsonNode root = json(PAIR);
    assertEquals("whinograph-comparison", root.get("format").asText());
    assertEquals(1, root.get("format_version").asInt());
    assertEquals("heron-mini/idle-1", root.get("devices").get(0).get("label").asText());
    assertEquals(0, root.get("reference").asInt());
    assertTrue(root.get("difference_uncertainty_db").isNull());
    JsonNode laeq = root.get("levels").get("laeq_db");
    assertEquals(HERON.levels().laeq().value(), laeq.get("values_db").get(0).doubleValue());
    assertEquals(
        PLOVER.levels().laeq().value() - HERON.levels().laeq().value(),
        laeq.get("differences_db").get(1).doubleValue());
    assertEquals(13, root.get("levels").size());
    assertEquals(3, root.get("ratios").size());
    assertEquals(31, root.get("third_octaves").size());
    JsonNode whine = root.get("tones").get(3);
    assertEquals(1736.021, whine.get("frequency_hz").doubleValue());
    assertEquals(1741.2, whine.get("devices").get(1).get("frequency_hz").doubleValue());
    assertTrue(root.get("tones").get(0).get("devices").get(1).isNull());
    assertTrue(whine.get("following").get(1).isNull());
    JsonNode followed = whine.get("following").get(0);
    assertEquals(13.3, followed.get("following_tone_to_noise_db").doubleValue());
    assertEquals(8.0, followed.get("tone_to_noise_limit_db").doubleValue());
    assertEquals(14_880, followed.get("rpm").doubleValue());
    assertEquals(7.0, followed.get("order").doubleValue());
    assertTrue(followed.get("following_prominent").booleanValue());
    assertFalse(followed.get("only_following_prominent").booleanValue());
    assertTrue(whine.get("following_tone_to_noise_differences_db").get(1).isNull());
    JsonNode third = root.get("tones").get(1);
    assertEquals(744.0, third.get("frequency_hz").doubleValue());
    assertTrue(third.get("devices").get(0).isNull());
    assertEquals(0.0, third.get("following_prominence_differences_db").get(1).doubleValue());
    assertEquals(Comparison.NO_UNCERTAINTY, root.get("warnings").get(0).get("code").asText());
  }

  @Test
  void jsonOfDifferentUnitsHasNoLevelDifferences() throws IOException {
    JsonNode root = json(MIXED);
    assertTrue(root.get("level_unit").isNull());
    assertEquals("dB re full scale", root.get("devices").get(1).get("level_unit").asText());
    for (JsonNode level : root.get("levels")) {
      assertTrue(level.get("differences_db").get(1).isNull());
    }
    assertFalse(
        root.get("ratios").get("total_prominence_db").get("differences_db").get(1).isNull());
    assertEquals(Comparison.UNITS_DIFFER, root.get("warnings").get(0).get("code").asText());
  }

  private static List<List<String>> csv(Table table) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    Csv.write(table, out);
    return CsvReader.read(out.toString(StandardCharsets.UTF_8));
  }

  @Test
  void csvGivesEachDeviceItsColumns() throws IOException {
    List<List<String>> rows = csv(ComparisonTables.values(PAIR));
    assertEquals("heron-mini/idle-1 value_db", rows.get(0).get(2));
    int difference = rows.get(0).indexOf("plover-cube/idle-1 difference_db");
    assertEquals("LAeq", rows.get(1).get(0));
    assertEquals(
        PLOVER.levels().laeq().value() - HERON.levels().laeq().value(),
        Double.parseDouble(rows.get(1).get(difference)),
        0.00005);
    assertEquals("dB re 20 uPa", rows.get(1).get(difference + 1));
    assertEquals(17, rows.size());
    assertEquals(32, csv(ComparisonTables.thirdOctaves(PAIR)).size());
    List<List<String>> tones = csv(ComparisonTables.tones(PAIR));
    int verdict = tones.get(0).indexOf("heron-mini/idle-1 verdict");
    assertEquals("prominent", tones.get(4).get(verdict));
    assertEquals("no such tone", tones.get(2).get(verdict));
    int above = tones.get(0).indexOf("heron-mini/idle-1 above_limit_db");
    assertEquals("5.3000", tones.get(4).get(above));
    int followed = tones.get(0).indexOf("heron-mini/idle-1 following_above_limit_db");
    assertEquals("5.3000", tones.get(4).get(followed));
    assertEquals("prominent", tones.get(4).get(followed + 1));
    assertEquals("not followed", tones.get(1).get(followed + 1));
    assertTrue(followed > tones.get(0).indexOf("plover-cube/idle-1 level_unit"));
  }

  @Test
  void csvOfDifferentUnitsSaysThemAndHasNoDifferences() throws IOException {
    List<List<String>> rows = csv(ComparisonTables.thirdOctaves(MIXED));
    assertEquals(
        List.of("dB re 20 uPa", "dB re full scale"),
        List.of(rows.get(1).get(4), rows.get(1).get(7)));
    for (List<String> row : rows.subList(1, rows.size())) {
      assertEquals("", row.get(6));
    }
  }

  @Test
  void theWorkbookHoldsTheTables() throws Exception {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    ComparisonTables.writeWorkbook(PAIR, out);
    Map<String, XlsxReader.Sheet> sheets = XlsxReader.read(out.toByteArray());
    assertEquals(
        List.of("Levels and ratios", "One-third octaves", "Tones", "Devices", "To know"),
        List.copyOf(sheets.keySet()));
    assertEquals(
        PLOVER.levels().laeq().value() - HERON.levels().laeq().value(),
        sheets.get("Levels and ratios").number("G2"),
        1e-9);
    assertEquals("plover-cube/idle-1", sheets.get("Devices").text("A3"));
    assertTrue(sheets.get("To know").text("B2").contains("without a stated uncertainty"));
  }

  @Test
  void theTextPutsDevicesSideBySide() {
    String text = ComparisonSummary.of(PAIR, Typeface.UNICODE);
    String laeq = text.lines().filter(line -> line.startsWith("  LAeq ")).findFirst().orElseThrow();
    assertEquals(
        "LAeq "
            + Words.ratio(HERON.levels().laeq())
            + " "
            + Words.ratio(PLOVER.levels().laeq())
            + " "
            + Words.difference(PAIR.values().get(0).differences().get(1)),
        laeq.strip().replaceAll(" +", " "));
    assertTrue(text.contains("Levels in dB re 20 µPa"), text);
    assertTrue(text.contains("29.1 dB (+5.3 dB) ▲"), text);
    assertTrue(text.contains("differences without stated uncertainty"), text);
    assertTrue(
        text.replaceAll("\\s+", " ")
            .contains("plover-cube/idle-1 has an LAeq 6.6 dB below that of heron-mini/idle-1"),
        text);
  }

  @Test
  void theTextSaysWhoIsNotCalibrated() {
    String text = ComparisonSummary.of(MIXED, Typeface.UNICODE);
    assertTrue(
        text.contains("Levels in dB re 20 µPa, or * dB re full scale, not calibrated"), text);
    assertTrue(text.lines().anyMatch(line -> line.matches(" +1 +2\\* +2 − 1")), text);
    assertTrue(text.replaceAll("\\s+", " ").contains("has an LAeq that can't be compared"), text);
    assertTrue(text.lines().anyMatch(line -> line.matches("  LAeq .* unknown")), text);
  }

  @Test
  void manyDevicesStandInBlocksNoWiderThanAHundredCharacters() {
    List<Measurement> many = new ArrayList<>(List.of(HERON, PLOVER));
    for (int i = 0; i < 6; i++) {
      many.add(
          InventedDevice.named("runs/tern-" + i + "/idle.wav", -120.0 + i)
              .tone(1000.0 + 300 * i, 20.0, 15.0, 14.0, 0, 0.0)
              .build());
    }
    String text = ComparisonSummary.of(Comparison.of(many, 1), Typeface.ASCII);
    assertTrue(text.chars().allMatch(c -> c < 128), text);
    assertTrue(text.lines().allMatch(line -> line.length() <= 100), text);
    assertEquals(3, text.lines().filter(line -> line.startsWith("  LAeq ")).count());
    assertTrue(text.contains("8 - 2"), text);
  }

  @Test
  void allFilesOfAComparison(@TempDir Path temp) throws Exception {
    OutputFolder folder = new OutputFolder(temp, false);
    AnalysisFiles.addTo(folder, PAIR, true);
    assertEquals(6, folder.write().size());
    for (String name :
        List.of(
            "comparison.csv",
            "comparison-third-octaves.csv",
            "comparison-tones.csv",
            "comparison.xlsx",
            "comparison.png",
            "comparison.svg")) {
      assertTrue(Files.size(temp.resolve(name)) > 100, name);
    }
  }
}
