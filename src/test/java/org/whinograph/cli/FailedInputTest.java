package org.whinograph.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.Collections;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;
import java.util.zip.ZipEntry;
import java.util.zip.ZipFile;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.RunFile;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.InputBench;
import org.whinograph.calibration.ToneBench;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/**
 * An input that alters the sound gives no sound pressure levels unless somebody insists, and then
 * every output says so. Calibrator and device are tones of known level: the device's is 40 dB below
 * 94 dB.
 */
class FailedInputTest {
  private static final double DEVICE_DB = 54;
  private static final double CALIBRATOR = 0.1;
  private static final String CAUTION = "aren't to be trusted";

  @TempDir static Path shared;
  private static Path device;
  private static Path other;
  private static Path altered;
  private static Path clean;

  @TempDir private Path folder;

  @BeforeAll
  static void record() throws RefusedException {
    write("calibrator.wav", new ToneBench(48_000, 5).tone(1000, CALIBRATOR).samples);
    device = write("device.wav", new ToneBench(48_000, 3).tone(1000, CALIBRATOR / 100).samples);
    other = write("other.wav", new ToneBench(48_000, 3).tone(1000, CALIBRATOR / 50).samples);
    altered =
        write("altered.wav", InputBench.clean(12).automaticGain(6, 0.3, 3).quantise(24).samples);
    clean = write("clean.wav", InputBench.clean(12).quantise(24).samples);
  }

  private static Path write(String name, double[] samples) throws RefusedException {
    Path file = shared.resolve(name);
    try (WavWriter writer = WavWriter.whole(file, new SampleFormat(48_000, 1, 24, false), true)) {
      writer.write(samples, 0, samples.length);
      writer.finish();
    }
    return file;
  }

  private Path calibrate(Object... more) {
    Path out = folder.resolve("calibration.json");
    Object[] words =
        Stream.concat(
                Stream.of(
                    "calibrate",
                    "--from",
                    shared.resolve("calibrator.wav"),
                    "--level",
                    "94",
                    "--out",
                    out,
                    "--force"),
                Stream.of(more))
            .toArray();
    CommandRun run = CommandRun.of(words);
    assertEquals(0, run.exitCode(), run.err());
    return out;
  }

  private static JsonNode analyse(Path calibration, Object... more) throws IOException {
    Object[] words =
        Stream.concat(
                Stream.of(
                    "analyse", device, "--no-speed", "--json", "-", "--calibration", calibration),
                Stream.of(more))
            .toArray();
    CommandRun run = CommandRun.of(words);
    assertEquals(0, run.exitCode(), run.err());
    return new ObjectMapper().readTree(run.out());
  }

  private static List<String> warnings(JsonNode json, String code) {
    return json.path("warnings").findParents("code").stream()
        .filter(warning -> warning.path("code").asText().equals(code))
        .map(warning -> warning.path("message").asText())
        .toList();
  }

  private static void assertSoundPressure(JsonNode json) {
    assertEquals("dB re 20 uPa", json.path("level_unit").asText());
    assertEquals(DEVICE_DB, json.path("levels").path("lzeq_db").asDouble(), 0.02);
  }

  private static void assertFullScale(JsonNode json) {
    assertEquals("dB re full scale", json.path("level_unit").asText());
    assertEquals(-60, json.path("levels").path("lzeq_db").asDouble(), 0.02);
    assertTrue(json.path("calibration").isNull());
    assertEquals(1, warnings(json, "not-calibrated").size());
    List<String> failed = warnings(json, "failed-input");
    assertEquals(1, failed.size(), json.path("warnings").toString());
    assertTrue(failed.get(0).contains("--despite-failed-input"), failed.get(0));
    assertTrue(failed.get(0).contains("the tone"), failed.get(0));
  }

  /** verify-input writes into the record, analyse heeds it; passing again gives levels back. */
  @Test
  void theVerdictGoesIntoTheRecordAndDecides() throws Exception {
    Path calibration = calibrate();
    CalibrationRecord before = CalibrationFile.read(calibration);
    assertNull(before.inputCheck());
    JsonNode unchecked = analyse(calibration);
    assertSoundPressure(unchecked);
    assertEquals(List.of(), warnings(unchecked, "failed-input"));

    CommandRun failed =
        CommandRun.of("verify-input", "--from", altered, "--calibration", calibration);
    assertEquals(1, failed.exitCode());
    CalibrationRecord marked = CalibrationFile.read(calibration);
    assertFalse(marked.inputCheck().trusted());
    assertEquals("automatic-gain", marked.inputCheck().findings().get(0).id());
    assertEquals(before, marked.withInputCheck(null));
    assertFullScale(analyse(calibration));
    JsonNode insisted = analyse(calibration, "--despite-failed-input");
    assertSoundPressure(insisted);
    assertTrue(warnings(insisted, "failed-input").get(0).contains(CAUTION));

    CommandRun passed =
        CommandRun.of("verify-input", "--from", clean, "--calibration", calibration);
    assertEquals(0, passed.exitCode(), passed.err());
    JsonNode trusted = analyse(calibration);
    assertSoundPressure(trusted);
    assertEquals(List.of(), warnings(trusted, "failed-input"));
    assertTrue(trusted.path("calibration").path("caution").isNull());
  }

  /** What decides nothing leaves the record as it is. */
  @Test
  void anUndecidedCheckChangesNothing() throws Exception {
    Path calibration = calibrate();
    String before = Files.readString(calibration);
    CommandRun run = CommandRun.of("verify-input", "--from", other, "--calibration", calibration);
    assertEquals(1, run.exitCode());
    assertEquals(before, Files.readString(calibration));
  }

  /** The JSON of verify-input goes into the next calibration, which says so and is made. */
  @Test
  void calibrateTakesTheVerdictFromAFile() throws Exception {
    Path check = folder.resolve("check.json");
    assertEquals(1, CommandRun.of("verify-input", "--from", altered, "--json", check).exitCode());
    Path out = folder.resolve("record.json");
    CommandRun run =
        CommandRun.of(
            "calibrate",
            "--from",
            shared.resolve("calibrator.wav"),
            "--level",
            "94",
            "--input-check",
            check,
            "--out",
            out);
    assertEquals(0, run.exitCode());
    assertTrue(run.err().contains("failed its check"), run.err());
    assertFullScale(analyse(out));
    assertEquals(
        1,
        CommandRun.of(
                "calibrate",
                "--from",
                shared.resolve("calibrator.wav"),
                "--level",
                "94",
                "--input-check",
                out,
                "--out",
                folder.resolve("no.json"))
            .exitCode());
  }

  /** A run that was recorded while its input failed stays without sound pressure levels. */
  @Test
  void theRunRecordDecidesAsWell() throws Exception {
    Path calibration = calibrate();
    Path record = RunFile.beside(device);
    SampleFormat format = new SampleFormat(48_000, 1, 24, false);
    InputVerdict verdict =
        new InputVerdict(
            false,
            "The input alters the sound: the tone moves.",
            List.of(
                new InputVerdict.Finding("automatic-gain", true, "the tone moves", Reading.of(3))),
            Instant.parse("2026-03-01T09:00:00Z"),
            "desk",
            null,
            format);
    try {
      RunFile.write(record, run(format, verdict));
      assertFullScale(analyse(calibration));
      assertSoundPressure(analyse(calibration, "--despite-failed-input"));
      RunFile.write(record, run(format, null));
      assertSoundPressure(analyse(calibration));
    } finally {
      Files.deleteIfExists(record);
    }
  }

  private static RunRecord run(SampleFormat format, InputVerdict verdict) {
    return new RunRecord(
        "device.wav",
        "desk",
        Instant.parse("2026-03-01T10:00:00Z"),
        format,
        144_000,
        RunRecord.State.COMPLETE,
        "time",
        Map.of(),
        List.of(),
        "",
        List.of(),
        List.of(),
        0,
        null,
        verdict);
  }

  /** Terminal, JSON, every CSV, workbook and chart carry the caution; none does without need. */
  @Test
  void everyOutputCarriesTheCaution() throws Exception {
    Path calibration = calibrate();
    assertEquals(0, outputsWithout(calibration, CAUTION));
    CommandRun.of("verify-input", "--from", altered, "--calibration", calibration);
    Path out = folder.resolve("insisted");
    CommandRun run =
        CommandRun.of(
            "analyse",
            device,
            "--no-speed",
            "--calibration",
            calibration,
            "--despite-failed-input",
            "--json",
            out.resolve("a.json"),
            "--out",
            out);
    assertEquals(0, run.exitCode(), run.err());
    assertTrue(run.out().lines().limit(5).anyMatch(line -> line.contains(CAUTION)), run.out());
    assertCarried(out);
    Path side = folder.resolve("side-by-side");
    CommandRun compared =
        CommandRun.of(
            "compare",
            device,
            other,
            "--no-speed",
            "--calibration",
            calibration,
            "--despite-failed-input",
            "--json",
            side.resolve("c.json"),
            "--out",
            side);
    assertEquals(0, compared.exitCode(), compared.err());
    assertTrue(compared.out().lines().limit(5).anyMatch(line -> line.contains(CAUTION)));
    assertCarried(side);
  }

  private long outputsWithout(Path calibration, String words) throws IOException {
    Path out = folder.resolve("plain");
    CommandRun run =
        CommandRun.of(
            "analyse",
            device,
            "--no-speed",
            "--calibration",
            calibration,
            "--json",
            out.resolve("a.json"),
            "--out",
            out);
    assertEquals(0, run.exitCode(), run.err());
    assertFalse(run.out().contains(words));
    long carrying = 0;
    for (Path file : files(out)) {
      carrying += text(file).contains(words) ? 1 : 0;
    }
    return carrying;
  }

  private static void assertCarried(Path out) throws IOException {
    List<Path> files = files(out);
    assertTrue(files.size() >= 6, files.toString());
    for (Path file : files) {
      String text = text(file);
      if (text.lines().count() == 1 && file.toString().endsWith(".csv")) {
        // No row, no level; the column is there all the same.
        assertTrue(text.strip().endsWith("caution"), file + ": " + text);
      } else if (!file.toString().endsWith(".png")) {
        assertTrue(text.contains(CAUTION), file.toString());
      }
    }
  }

  private static List<Path> files(Path out) throws IOException {
    try (Stream<Path> files = Files.walk(out)) {
      return files.filter(Files::isRegularFile).sorted().toList();
    }
  }

  private static String text(Path file) throws IOException {
    if (!file.toString().endsWith(".xlsx")) {
      return new String(Files.readAllBytes(file), StandardCharsets.UTF_8).replace("&apos;", "'");
    }
    ByteArrayOutputStream all = new ByteArrayOutputStream();
    try (ZipFile zip = new ZipFile(file.toFile())) {
      for (ZipEntry entry : Collections.list(zip.entries())) {
        all.writeBytes(zip.getInputStream(entry).readAllBytes());
      }
    }
    return all.toString(StandardCharsets.UTF_8).replace("&apos;", "'").replace("&#39;", "'");
  }
}
