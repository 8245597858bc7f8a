package org.whinograph.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.PrintWriter;
import java.io.StringWriter;
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
