package org.whinograph.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.calibration.ArraySource;
import org.whinograph.calibration.InputBench;
import org.whinograph.calibration.InputCheckResult;
import org.whinograph.calibration.ToneBench;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;
import picocli.CommandLine;

class VerifyInputCommandTest {
  @TempDir private Path folder;

  private Path write(InputBench bench, int channels) throws RefusedException {
    Path file = folder.resolve("guided.wav");
    double[] interleaved = new double[bench.samples.length * channels];
    for (int i = 0; i < interleaved.length; i++) {
      interleaved[i] = bench.samples[i / channels];
    }
    SampleFormat format = new SampleFormat(InputBench.RATE, channels, 24, false);
    try (WavWriter writer = WavWriter.whole(file, format, true)) {
      writer.write(interleaved, 0, interleaved.length);
      writer.finish();
    }
    return file;
  }

  @Test
  void aCleanInputIsTrusted() throws RefusedException {
    CommandRun run = CommandRun.of("verify-input", "--from", write(InputBench.clean(11), 2));
    assertEquals(0, run.exitCode(), run.err());
    assertEquals("", run.err());
    assertTrue(run.out().contains("guided.wav: trusted."), run.out());
    assertTrue(run.out().contains("duplicate-channels"), run.out());
  }

  @Test
  void anAlteredInputIsntTrusted() throws RefusedException {
    Path file = write(InputBench.clean(12).automaticGain(6, 0.3, 3), 1);
    CommandRun run = CommandRun.of("verify-input", "--from", file);
    assertEquals(1, run.exitCode());
    assertTrue(run.out().contains("automatic-gain"), run.out());
    assertTrue(
        run.out().contains("Windows")
            && run.out().contains("macOS")
            && run.out().contains("Linux"));
    assertTrue(run.err().contains("not to be trusted"), run.err());
  }

  /** The fields that scripts match, against what the alteration is known to be. */
  @Test
  void theResultIsJsonToo() throws Exception {
    Path file = write(InputBench.clean(12).automaticGain(6, 0.3, 3), 1);
    CommandRun run = CommandRun.of("verify-input", "--from", file, "--json", "-");
    assertEquals(1, run.exitCode());
    JsonNode json = new ObjectMapper().readTree(run.out());
    assertEquals("whinograph-input-check", json.path("format").asText());
    assertEquals(1, json.path("format_version").asInt());
    assertEquals("not-to-be-trusted", json.path("verdict").asText());
    assertEquals(file.toString(), json.path("file").asText());
    assertTrue(json.path("input").isNull());
    assertEquals(48_000, json.path("sample_rate_hz").asDouble());
    assertEquals("dB re full scale", json.path("level_unit").asText());
    JsonNode gain = json.path("findings").get(0);
    assertEquals("automatic-gain", gain.path("id").asText());
    assertTrue(gain.path("alters_sound").asBoolean());
    // Of 6 dB with a time constant of 0.3 s, 6 dB/e^0.5 are left in the second tenth of a second.
    assertEquals(6 * Math.exp(-0.5), gain.path("effect_db").asDouble(), 1);
    assertTrue(gain.path("evidence").asText().contains("dB"));
    for (String system : List.of("windows", "macos", "linux")) {
      assertTrue(gain.path("switch_off").path(system).asText().length() > 10);
    }
    JsonNode stages = json.path("stages");
    assertEquals("on", stages.get(1).path("calibrator").asText());
    assertEquals(
        4, stages.get(1).path("to_s").asDouble() - stages.get(1).path("from_s").asDouble(), 1);
    JsonNode moved = figure(json, "tone-movement");
    assertTrue(moved.path("value_db").asDouble() > moved.path("limit_db").asDouble());
  }

  private static JsonNode figure(JsonNode json, String id) {
    for (JsonNode figure : json.path("figures")) {
      if (figure.path("id").asText().equals(id)) {
        return figure;
      }
    }
    throw new AssertionError("no figure " + id + " in " + json.path("figures"));
  }

  /** The figures of a clean input lie below their limits, and say by how much. */
  @Test
  void figuresAreGivenWhereNothingWasFound() throws Exception {
    Path file = write(InputBench.clean(11), 1);
    Path out = folder.resolve("check.json");
    CommandRun run = CommandRun.of("verify-input", "--from", file, "--json", out);
    assertEquals(0, run.exitCode(), run.err());
    assertTrue(run.out().contains("trusted."), run.out());
    JsonNode json = new ObjectMapper().readTree(out.toFile());
    assertEquals("trusted", json.path("verdict").asText());
    assertTrue(json.path("figures").size() >= 6, json.path("figures").toString());
    for (JsonNode figure : json.path("figures")) {
      assertTrue(
          figure.path("value_db").asDouble() <= figure.path("limit_db").asDouble(),
          figure.toString());
    }
    String before = Files.readString(out);
    CommandRun again = CommandRun.of("verify-input", "--from", file, "--json", out);
    assertEquals(1, again.exitCode());
    assertTrue(again.err().contains("--force"), again.err());
    assertEquals(before, Files.readString(out));
  }

  @Test
  void undecidedIsNoVerdict() throws Exception {
    InputBench bench = InputBench.clean(5);
    bench.samples = java.util.Arrays.copyOf(bench.samples, (int) (6 * InputBench.RATE));
    CommandRun run = CommandRun.of("verify-input", "--from", write(bench, 1), "--json", "-");
    assertEquals(1, run.exitCode());
    JsonNode json = new ObjectMapper().readTree(run.out());
    assertEquals("not-decided", json.path("verdict").asText());
    assertTrue(json.path("reason").asText().contains("on, off, on"));
  }

  @Test
  void theCommandLineIsChecked() {
    assertEquals(2, CommandRun.of("verify-input").exitCode());
    assertEquals(2, CommandRun.of("verify-input", "--from", "a.wav", "--input", "b").exitCode());
    assertEquals(
        2, CommandRun.of("verify-input", "--from", "a.wav", "--frequency", "9000").exitCode());
    assertEquals(1, CommandRun.of("verify-input", "--from", folder.resolve("none.wav")).exitCode());
  }

  @Test
  void aLiveInputIsGuided() throws RefusedException {
    StringWriter err = new StringWriter();
    Terminal terminal =
        new Terminal(new PrintWriter(new StringWriter()), new PrintWriter(err), false, true);
    VerifyInputCommand command = new VerifyInputCommand(terminal);
    new CommandLine(command).parseArgs("--input", "simulated");
    ToneBench bench =
        new ToneBench(48_000, 40)
            .noise(1e-4, 3)
            .tone(1000, 0.05, t -> (t > 1 && t < 7) || (t > 13 && t < 20) ? 1 : 0);
    InputCheckResult result = command.guide(bench.source());
    assertEquals(InputCheckResult.Verdict.TRUSTED, result.verdict(), result.reason());
    List<String> asked = err.toString().strip().lines().toList();
    assertEquals(5, asked.size(), err.toString());
    assertTrue(asked.get(0).contains("switch it on") && asked.get(3).contains("keep quiet"));
    assertTrue(result.stages().get(result.stages().size() - 1).toS() < 26, "ends by itself");
  }

  @Test
  void aLiveToneIsTaken() throws RefusedException {
    StringWriter err = new StringWriter();
    Terminal terminal =
        new Terminal(new PrintWriter(new StringWriter()), new PrintWriter(err), true, true);
    LiveCalibrationRun run = new LiveCalibrationRun(terminal, false);
    ToneBench good = new ToneBench(48_000, 12).noise(1e-5, 3).tone(1000, 0.1, 1, 12);
    assertEquals(-20, run.run(good.source(), 1000, 60).levelDb(), 0.01);
    assertTrue(err.toString().contains("level -20.00 dB re full scale"), err.toString());
    ArraySource none = new ToneBench(48_000, 12).noise(1e-5, 3).source();
    assertTrue(
        assertThrows(RefusedException.class, () -> run.run(none, 1000, 5))
            .getMessage()
            .contains("no tone came"));
  }

  @Test
  void theClosingCheckAndTheHistoryAreShown() throws RefusedException {
    Path opening = folder.resolve("opening.json");
    Path history = folder.resolve("history");
    CommandRun first = calibrate(0.1, "--out", opening, "--history", history);
    assertEquals(0, first.exitCode(), first.err());
    assertTrue(first.out().contains("The first calibration"), first.out());
    CommandRun near = calibrate(0.104, "--out", folder.resolve("near.json"), "--after", opening);
    assertEquals(0, near.exitCode(), near.err());
    assertTrue(near.out().contains("Closing check: -0.34 dB"), near.out());
    CommandRun far = calibrate(0.12, "--out", folder.resolve("far.json"), "--after", opening);
    assertEquals(1, far.exitCode());
    assertTrue(far.err().contains("aren't to be trusted"), far.err());
  }

  private CommandRun calibrate(double amplitude, Object... more) throws RefusedException {
    ToneBench bench = new ToneBench(48_000, 5).tone(1000, amplitude);
    Path file = folder.resolve("tone.wav");
    SampleFormat format = new SampleFormat(48_000, 1, 24, false);
    try (WavWriter writer = WavWriter.whole(file, format, true)) {
      writer.write(bench.samples, 0, bench.samples.length);
      writer.finish();
    }
    Object[] words = new Object[5 + more.length];
    System.arraycopy(new Object[] {"calibrate", "--from", file, "--level", "94"}, 0, words, 0, 5);
    System.arraycopy(more, 0, words, 5, more.length);
    return CommandRun.of(words);
  }
}
