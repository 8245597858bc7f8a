package org.whinograph.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.whinograph.fuzz.Mutator;
import org.whinograph.signal.RefusedException;

class CalibrationFileTest {
  private static final CalibrationRecord RECORD =
      new CalibrationRecord(
          114.25,
          93.85,
          1000,
          1000.02,
          0.012,
          0.0042,
          17.3,
          0.26,
          Instant.parse("2026-03-14T09:30:00Z"),
          "Übungsmikrofon 0421",
          "calibrator.wav",
          "ab".repeat(32),
          48_000,
          24,
          null,
          null);

  @TempDir Path folder;

  @Test
  void readsWhatItWrote() throws RefusedException {
    Path file = folder.resolve("mic.json");
    CalibrationFile.write(RECORD, file, false);
    assertEquals(RECORD, CalibrationFile.read(file));
  }

  @Test
  void fieldsHaveTheirNamesAndUnits() throws IOException {
    JsonNode json = new ObjectMapper().readTree(CalibrationFile.toJson(RECORD));
    assertEquals("whinograph-calibration", json.get("format").asText());
    assertEquals(1, json.get("format_version").asInt());
    assertEquals(114.25, json.get("level_at_full_scale_db").asDouble());
    assertEquals(93.85, json.get("reference_level_db").asDouble());
    assertEquals(0.42, json.get("distortion_plus_noise_percent").asDouble(), 1e-12);
    assertEquals("2026-03-14T09:30:00Z", json.get("date").asText());
    assertTrue(json.get("input").isNull());
  }

  @Test
  void replacesOnlyWhenForced() throws RefusedException, IOException {
    Path file = folder.resolve("mic.json");
    Files.writeString(file, "precious");
    String message =
        assertThrows(RefusedException.class, () -> CalibrationFile.write(RECORD, file, false))
            .getMessage();
    assertTrue(message.contains("--force"), message);
    assertEquals("precious", Files.readString(file));
    CalibrationFile.write(RECORD, file, true);
    assertEquals(RECORD, CalibrationFile.read(file));
    try (var files = Files.list(folder)) {
      assertEquals(1, files.count(), "no part is left behind");
    }
  }

  @Test
  void namesWhatCantBeWrittenOrRead() throws IOException {
    Path nowhere = Files.writeString(folder.resolve("file"), "in the way").resolve("mic.json");
    assertTrue(
        assertThrows(RefusedException.class, () -> CalibrationFile.write(RECORD, nowhere, false))
            .getMessage()
            .contains("Could not make the folder"));
    assertTrue(
        assertThrows(
                RefusedException.class, () -> CalibrationFile.read(folder.resolve("none.json")))
            .getMessage()
            .contains("isn't there"));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      quoteCharacter = '^',
      value = {
        "{\"format|isn't JSON",
        "[1, 2]|\"format\"",
        "{\"format\": \"something-else\", \"format_version\": 1}|\"format\"",
        "{\"format\": \"whinograph-calibration\", \"format_version\": 2}|format_version is 2",
        "{\"format\": \"whinograph-calibration\", \"format_version\": 1}|it is missing"
      })
  void refusesForeignFiles(String text, String reason) throws IOException {
    Path file = folder.resolve("mic.json");
    Files.writeString(file, text);
    String message =
        assertThrows(RefusedException.class, () -> CalibrationFile.read(file)).getMessage();
    assertTrue(message.contains(reason), message);
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "114.25|1e9|level_at_full_scale_db",
        "114.25|\"loud\"|level_at_full_scale_db",
        "2026-03-14T09:30:00Z|last week|date",
        "24,|-3,|bit_depth"
      })
  void refusesNonsense(String was, String becomes, String field) throws IOException {
    Path file = folder.resolve("mic.json");
    Files.writeString(file, CalibrationFile.toJson(RECORD).replace(was, becomes));
    String message =
        assertThrows(RefusedException.class, () -> CalibrationFile.read(file)).getMessage();
    assertTrue(message.contains(field), message);
  }

  @Test
  void damagedFilesAreRefusedAndNothingWorse() throws IOException {
    byte[] whole = CalibrationFile.toJson(RECORD).getBytes(StandardCharsets.UTF_8);
    List<byte[]> words =
        List.of("null".getBytes(StandardCharsets.UTF_8), "1e999".getBytes(StandardCharsets.UTF_8));
    Mutator mutator = new Mutator(7, List.of(whole), words, 1 << 16);
    Path file = folder.resolve("mic.json");
    int refused = 0;
    for (int i = 0; i < 2000; i++) {
      Files.write(file, mutator.next());
      try {
        CalibrationRecord read = CalibrationFile.read(file);
        assertTrue(Double.isFinite(read.levelAtFullScaleDb()));
      } catch (RefusedException e) {
        refused++;
      }
    }
    assertTrue(refused > 1000, "refused " + refused);
  }
}
