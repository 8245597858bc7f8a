package org.whinograph.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Iterator;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.Stream;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/** The commands as a newcomer runs them, from a calibrator's recording to tables and JSON. */
class MainJobTest {
  private static final double RATE = 48_000;

  /** Of the shared recordings: amplitude of a tone at 94 dB, so that full scale is 120 dB. */
  private static final double AMPLITUDE_94 = Math.pow(10, -26 / 20.0);

  @TempDir static Path shared;
  private static Path calibrator;
  private static Path device;
  private static Path calibration;

  @TempDir private Path folder;

  @BeforeAll
  static void record() throws RefusedException {
    calibrator = shared.resolve("calibrator.wav");
    device = shared.resolve("device.wav");
    calibration = shared.resolve("microphone.json");
    write(calibrator, 5, 1000, AMPLITUDE_94, 0);
    // A tone of 50 dB in noise of 20 dB/Hz: 20 − 120 + 43.8 dB re full scale over 24 kHz.
    double density = Math.pow(10, (20 - 120) / 10.0) / 2;
    write(device, 20, 1000, Math.pow(10, (50 - 120) / 20.0), Math.sqrt(density * RATE / 2));
    CommandRun run =
        CommandRun.of(
            "calibrate",
            "--from",
            calibrator,
            "--level",
            "94",
            "--microphone",
            "M-1",
            "--out",
            calibration);
    assertEquals(0, run.exitCode(), run.err());
    assertTrue(run.out().contains("120.00"), run.out());
  }

  @Test
  void levelsAndTonesComeOutAsPutIn() throws IOException {
    Path json = folder.resolve("analysis.json");
    Path out = folder.resolve("results");
    CommandRun run =
        CommandRun.of(
            "analyse", device, "--calibration", calibration, "--json", json, "--out", out);
    assertEquals(0, run.exitCode(), run.err());
    assertEquals("", run.err());
    assertTrue(run.out().contains("1000.00"), run.out());

    JsonNode root = new ObjectMapper().readTree(json.toFile());
    assertEquals("whinograph-analysis", root.get("format").asText());
    assertEquals("dB re 20 uPa", root.get("level_unit").asText());
    assertEquals(20.0, root.at("/recording/duration_s").asDouble());
    JsonNode tones = root.get("tones");
    assertEquals(1, tones.size());
    // ECMA-418-1, worked by formula: 50 dB in 20 dB/Hz at 1 kHz has a ratio of 7.90 dB.
    assertEquals(1000.0, tones.at("/0/frequency_hz").asDouble(), 0.002);
    assertEquals(50.0, tones.at("/0/level_db").asDouble(), 0.1);
    assertEquals(7.899, tones.at("/0/tone_to_noise_db").asDouble(), 0.5);
    assertEquals(8.0, tones.at("/0/tone_to_noise_limit_db").asDouble());
    assertNoNaN(root, "");

    for (String table :
        List.of(
            "third-octaves.csv", "octaves.csv", "tones.csv", "timeline.csv", "measurement.xlsx")) {
      assertTrue(Files.size(out.resolve(table)) > 0, table);
    }
    assertEquals(21, Files.readAllLines(out.resolve("timeline.csv")).size());
  }

  @Test
  void withoutCalibrationEveryOutputSaysSo() throws IOException {
    CommandRun run = CommandRun.of("analyse", device, "--json", "-");
    assertEquals(0, run.exitCode());
    JsonNode root = new ObjectMapper().readTree(run.out());
    assertTrue(root.get("calibration").isNull());
    assertEquals("dB re full scale", root.get("level_unit").asText());
    assertEquals(50.0 - 120.0, root.at("/tones/0/level_db").asDouble(), 0.1);
    assertTrue(root.at("/tones/0/audible").isNull());
    assertTrue(CommandRun.of("analyse", device).out().contains("full scale"));
  }

  @Test
  void anExcerptIsMeasuredAsIfItWereTheRecording() throws IOException {
    CommandRun run = CommandRun.of("analyse", device, "--from", "5", "--to", "15", "--json", "-");
    JsonNode root = new ObjectMapper().readTree(run.out());
    assertEquals(10.0, root.at("/recording/duration_s").asDouble());
    assertEquals(5.0, root.at("/recording/start_s").asDouble());
  }

  @Test
  void levelsAndTonesAreTheSameWithoutTheSpeed() throws IOException {
    JsonNode with = analyse("--calibration", calibration);
    JsonNode without = analyse("--calibration", calibration, "--no-speed");
    assertTrue(without.get("speed").isNull());
    assertEquals(with.get("levels"), without.get("levels"));
    assertEquals(with.get("third_octaves"), without.get("third_octaves"));
    assertEquals(with.at("/tones/0/tone_to_noise_db"), without.at("/tones/0/tone_to_noise_db"));
  }

  @Test
  void severalFilesGiveAnArrayAndAFolderEach() throws IOException {
    Path json = folder.resolve("two.json");
    Path out = folder.resolve("out");
    CommandRun run =
        CommandRun.of("analyze", device, calibrator, "--json", json, "--out", out, "--quiet");
    assertEquals(0, run.exitCode(), run.err());
    assertEquals("", run.out());
    assertEquals(2, new ObjectMapper().readTree(json.toFile()).size());
    assertTrue(Files.exists(out.resolve("device/tones.csv")));
    assertTrue(Files.exists(out.resolve("calibrator/tones.csv")));
  }

  @Test
  void oneBadFileAmongSeveralLeavesNoResultBehind() throws IOException {
    Path bad = Files.writeString(folder.resolve("bad.wav"), "ID3 this is no WAV");
    Path json = folder.resolve("result.json");
    Path out = folder.resolve("results");
    CommandRun run = CommandRun.of("analyse", device, bad, "--json", json, "--out", out);
    assertEquals(1, run.exitCode());
    assertEquals(1, run.err().lines().count(), run.err());
    assertTrue(run.err().contains("bad.wav"), run.err());
    assertEquals("", run.out());
    assertFalse(Files.exists(json));
    assertFalse(Files.exists(out));
  }

  @Test
  void existingFilesAreReplacedOnlyWithForce() throws IOException {
    Path json = Files.writeString(folder.resolve("kept.json"), "mine");
    CommandRun refused = CommandRun.of("analyse", device, "--json", json);
    assertEquals(1, refused.exitCode());
    assertTrue(refused.err().contains("--force"), refused.err());
    assertEquals("mine", Files.readString(json));
    assertEquals(0, CommandRun.of("analyse", device, "--json", json, "--force").exitCode());
    assertTrue(Files.readString(json).startsWith("{"));

    CommandRun again =
        CommandRun.of("calibrate", "--from", calibrator, "--level", "94", "--out", calibration);
    assertEquals(1, again.exitCode());
    assertTrue(again.err().contains("--force"), again.err());
  }

  @Test
  void aCalibrationThatCannotBeTrustedIsRefusedAndNotWritten() throws Exception {
    Path wrong = folder.resolve("wrong.wav");
    write(wrong, 5, 1050, AMPLITUDE_94, 0);
    Path out = folder.resolve("wrong.json");
    CommandRun run = CommandRun.of("calibrate", "--from", wrong, "--level", "94", "--out", out);
    assertEquals(1, run.exitCode());
    assertTrue(run.err().contains("1050"), run.err());
    assertFalse(Files.exists(out));
  }

  @Test
  void theResponseOfTheMicrophoneIsNamedByTheRecordAndTakenOut() throws IOException {
    Path response = folder.resolve("m-1.txt");
    // 3 dB too sensitive above 3 kHz, flat around the calibrator's tone.
    Files.writeString(response, "20 0\n2000 0\n3000 3\n20000 3\n");
    Path record = folder.resolve("with-response.json");
    CommandRun calibrated =
        CommandRun.of(
            "calibrate",
            "--from",
            calibrator,
            "--level",
            "94",
            "--response",
            response,
            "--out",
            record);
    assertEquals(0, calibrated.exitCode(), calibrated.err());
    JsonNode with = analyse("--calibration", record);
    JsonNode without = analyse("--calibration", calibration);
    assertEquals("m-1.txt", with.get("response_file").asText());
    assertEquals(-3.0, bandAt(with, 8000) - bandAt(without, 8000), 0.02);
    assertEquals(0.0, bandAt(with, 500) - bandAt(without, 500), 0.02);
  }

  @ParameterizedTest
  @CsvSource({
    "nonsense",
    "analyse",
    "analyse x.wav --from -1",
    "analyse x.wav --from 5 --to 4",
    "analyse x.wav --channel 0",
    "analyse x.wav --channel two",
    "calibrate --from x.wav --out y.json",
    "calibrate --from x.wav --level 10 --out y.json",
    "analyse x.wav --unheard-of",
    "analyse x.wav --no-speed --blades 7",
  })
  void aWrongCommandLineIsToldInALineWithExitCode2(String line) {
    CommandRun run = CommandRun.of((Object[]) line.split(" "));
    assertEquals(2, run.exitCode(), run.err());
    assertTrue(run.err().startsWith("whinograph: "), run.err());
    assertEquals("", run.out());
  }

  @Test
  void aMissingFileIsToldInALineWithExitCode1() {
    CommandRun run = CommandRun.of("analyse", folder.resolve("none.wav"));
    assertEquals(1, run.exitCode());
    assertEquals(1, run.err().lines().count(), run.err());
    assertTrue(run.err().contains("none.wav"), run.err());
  }

  @Test
  void everyCommandHasHelpVersionAndCompletion() {
    List<String> commands = new ArrayList<>(List.of(""));
    commands.addAll(
        CommandLines.create(
                new Terminal(
                    new java.io.PrintWriter(java.io.Writer.nullWriter()),
                    new java.io.PrintWriter(java.io.Writer.nullWriter()),
                    false,
                    true))
            .getSubcommands()
            .keySet());
    for (String command : commands) {
      Object[] help =
          Stream.of(command, "--help").filter(word -> !word.isEmpty()).toArray(Object[]::new);
      CommandRun run = CommandRun.of(help);
      assertEquals(0, run.exitCode(), command);
      assertTrue(run.out().contains("Usage: whinograph"), command);
      assertTrue(run.out().contains("--quiet"), command);
    }
    assertTrue(CommandRun.of("--version").out().startsWith("whinograph "));
    assertTrue(CommandRun.of("completion").out().contains("analyse"));
    assertTrue(CommandRun.of().out().contains("calibrate"));
  }

  private static JsonNode analyse(Object... options) throws IOException {
    List<Object> words = new ArrayList<>(List.of("analyse", device, "--json", "-"));
    words.addAll(List.of(options));
    CommandRun run = CommandRun.of(words.toArray());
    assertEquals(0, run.exitCode(), run.err());
    return new ObjectMapper().readTree(run.out());
  }

  private static double bandAt(JsonNode root, double nominalHz) {
    for (JsonNode band : root.get("third_octaves")) {
      if (band.get("nominal_hz").asDouble() == nominalHz) {
        return band.get("level_db").asDouble();
      }
    }
    throw new AssertionError("no band at " + nominalHz);
  }

  private static void assertNoNaN(JsonNode node, String path) {
    assertFalse(node.isTextual() && node.asText().equals("NaN"), path);
    for (Iterator<String> names = node.fieldNames(); names.hasNext(); ) {
      String name = names.next();
      assertNoNaN(node.get(name), path + "/" + name);
    }
    if (node.isArray()) {
      node.forEach(element -> assertNoNaN(element, path + "[]"));
    }
  }

  private static void write(
      Path file, double seconds, double frequency, double amplitude, double noiseRms)
      throws RefusedException {
    int frames = (int) (seconds * RATE);
    SplittableRandom random = new SplittableRandom(7);
    double[] samples = new double[frames];
    for (int i = 0; i < frames; i++) {
      samples[i] =
          amplitude * Math.sin(2 * Math.PI * frequency * i / RATE)
              + noiseRms * random.nextGaussian();
    }
    try (WavWriter writer = WavWriter.whole(file, new SampleFormat(RATE, 1, 24, false), false)) {
      writer.write(samples, 0, frames);
      writer.finish();
    }
  }
}
