package org.whinograph.cli;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.audiofile.RunFile;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/**
 * Calibrating and checking a live input as a person does it: the program runs as a process of its
 * own, and whoever tests does what its messages ask for. What is played into the sound server that
 * {@code .ci/sound-server} starts stands for the calibrator, so its level and frequency are known.
 * Nothing here depends on how long the machine takes.
 */
@Tag("live")
@Timeout(value = 240, unit = TimeUnit.SECONDS)
class LiveCalibrationCommandsTest {
  private static final int RATE = 48_000;

  /** An amplitude of 0.1 is 20 dB below a full-scale sine. */
  private static final double AMPLITUDE = 0.1;

  private final List<Process> processes = new ArrayList<>();

  @TempDir Path folder;

  @FunctionalInterface
  private interface Wave {
    double at(double seconds);
  }

  /** A microphone is never silent: noise of its own in each channel, 80 dB below full scale. */
  @BeforeEach
  void beAMicrophone() throws Exception {
    Random left = new Random(1);
    Random right = new Random(2);
    play(
        sound("noise.wav", 180, t -> 1e-4 * left.nextGaussian(), t -> 1e-4 * right.nextGaussian()));
  }

  @AfterEach
  void endProcesses() throws Exception {
    processes.forEach(Process::destroyForcibly);
    while (playing() > 0) {
      TimeUnit.MILLISECONDS.sleep(50);
    }
  }

  private Path sound(String name, int seconds, Wave left, Wave right) throws RefusedException {
    Path file = folder.resolve(name);
    double[] frames = new double[2 * RATE];
    try (WavWriter writer = WavWriter.whole(file, new SampleFormat(RATE, 2, 32, false), true)) {
      for (int second = 0; second < seconds; second++) {
        for (int i = 0; i < RATE; i++) {
          double t = second + i / (double) RATE;
          frames[2 * i] = left.at(t);
          frames[2 * i + 1] = right.at(t);
        }
        writer.write(frames, 0, frames.length);
      }
      writer.finish();
    }
    return file;
  }

  private Path tone(double hertz, Wave gain) throws RefusedException {
    Wave wave = t -> AMPLITUDE * gain.at(t) * Math.sin(2 * Math.PI * hertz * t);
    return sound("tone-" + processes.size() + ".wav", 90, wave, wave);
  }

  /** Plays a file and waits until the server has its sound, however long that takes. */
  private Process play(Path file) throws Exception {
    long before = playing();
    Process process =
        new ProcessBuilder("paplay", file.toString())
            .redirectErrorStream(true)
            .redirectOutput(ProcessBuilder.Redirect.DISCARD)
            .start();
    processes.add(process);
    while (playing() <= before) {
      assertTrue(process.isAlive(), "the player ended before it played");
      TimeUnit.MILLISECONDS.sleep(50);
    }
    // Connected it is; the first samples follow at once.
    TimeUnit.MILLISECONDS.sleep(500);
    return process;
  }

  private static void stop(Process player) throws Exception {
    long before = playing();
    player.destroyForcibly().waitFor();
    while (playing() >= before) {
      TimeUnit.MILLISECONDS.sleep(50);
    }
  }

  /** How many sounds the server plays. */
  private static long playing() throws Exception {
    Process list = new ProcessBuilder("pactl", "list", "short", "sink-inputs").start();
    String text = new String(list.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertEquals(0, list.waitFor(), "pactl");
    return text.lines().count();
  }

  /** A running program with its messages. */
  private final class Program {
    private final Process process;
    private final BufferedReader messages;
    private final StringBuilder said = new StringBuilder();
    private final Path output = folder.resolve("out-" + processes.size() + ".txt");

    Program(Object... args) throws IOException {
      List<String> command =
          new ArrayList<>(
              List.of(
                  Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                  "-cp",
                  System.getProperty("java.class.path"),
                  "org.whinograph.cli.Main"));
      Stream.of(args).map(String::valueOf).forEach(command::add);
      ProcessBuilder builder = new ProcessBuilder(command);
      builder.environment().put("XDG_STATE_HOME", folder.resolve("state").toString());
      builder.redirectOutput(output.toFile());
      process = builder.start();
      processes.add(process);
      messages =
          new BufferedReader(
              new InputStreamReader(process.getErrorStream(), StandardCharsets.UTF_8));
    }

    /** Waits for a message that holds these words. */
    void await(String words) throws IOException {
      for (String line = messages.readLine(); line != null; line = messages.readLine()) {
        said.append(line).append('\n');
        if (line.contains(words)) {
          return;
        }
      }
      throw new AssertionError("never said \"" + words + "\" but: " + said + out());
    }

    int exitCode() throws Exception {
      for (String line = messages.readLine(); line != null; line = messages.readLine()) {
        said.append(line).append('\n');
      }
      return process.waitFor();
    }

    String out() throws IOException {
      return Files.readString(output);
    }
  }

  private Program calibrate(Path out, Object... more) throws IOException {
    return new Program(
        Stream.concat(
                Stream.of(
                    "calibrate",
                    "--input",
                    "default",
                    "--level",
                    "94",
                    "--microphone",
                    "M-1",
                    "--out",
                    out),
                Stream.of(more))
            .toArray());
  }

  @Test
  void aToneIsTakenWithItsLevelAndFrequency() throws Exception {
    play(tone(1000, t -> 1));
    Path out = folder.resolve("record.json");
    Program program = calibrate(out);
    assertEquals(0, program.exitCode(), program.said::toString);
    CalibrationRecord record = CalibrationFile.read(out);
    assertEquals(94 + 20, record.levelAtFullScaleDb(), 0.02);
    assertEquals(1000, record.frequencyHz(), 0.001);
    assertEquals("default", record.input().substring(0, 7));
    assertTrue(record.toneS() >= 4.9, "tone " + record.toneS());
    // Negative control: the level would be off by what the tone is off.
    assertTrue(program.out().contains("Full scale stands for 114.0"), program.out());
  }

  /** 0.5 dB lower must read 0.5 dB differently, and a frequency 0.7 Hz higher so much higher. */
  @Test
  void aToneThatBeginsLateIsTaken() throws Exception {
    double lower = Math.pow(10, -0.5 / 20);
    Path tone = tone(1000.7, t -> lower);
    Path out = folder.resolve("record.json");
    Program program = calibrate(out);
    program.await("switch it on");
    TimeUnit.SECONDS.sleep(3);
    play(tone);
    assertEquals(0, program.exitCode(), program.said::toString);
    CalibrationRecord record = CalibrationFile.read(out);
    assertEquals(94 + 20.5, record.levelAtFullScaleDb(), 0.02);
    assertEquals(1000.7, record.frequencyHz(), 0.001);
  }

  @Test
  void aToneThatIsntSteadyIsRefused() throws Exception {
    play(tone(1000, t -> 1 + 0.06 * Math.sin(2 * Math.PI * 0.4 * t)));
    Path out = folder.resolve("record.json");
    Program program = calibrate(out, "--seconds", "14");
    assertEquals(1, program.exitCode());
    assertTrue(program.said.toString().contains("dB"), program.said::toString);
    assertFalse(Files.exists(out));
  }

  @Test
  void aToneOfAnotherFrequencyIsRefused() throws Exception {
    play(tone(500, t -> 1));
    Path out = folder.resolve("record.json");
    Program program = calibrate(out, "--seconds", "14");
    assertEquals(1, program.exitCode());
    assertTrue(program.said.toString().contains("500.0"), program.said::toString);
    assertFalse(Files.exists(out));
  }

  /** Does what verify-input asks for. */
  private void obey(Program program, Path tone) throws Exception {
    program.await("switch it on");
    Process calibrator = play(tone);
    program.await("switch the calibrator off");
    stop(calibrator);
    program.await("switch it on again");
    calibrator = play(tone);
    program.await("keep quiet");
    stop(calibrator);
  }

  @Test
  void aCleanInputPasses() throws Exception {
    Path tone = tone(1000, t -> 1);
    Path json = folder.resolve("check.json");
    Program program = new Program("verify-input", "--input", "default", "--json", json);
    obey(program, tone);
    assertEquals(0, program.exitCode(), () -> program.said + read(json));
    JsonNode check = new ObjectMapper().readTree(json.toFile());
    assertEquals("trusted", check.path("verdict").asText());
    assertEquals(2, check.path("channels").asInt());
    // The channels share the tone and not the noise: no copies.
    assertFalse(read(json).contains("duplicate-channels"), read(json));
    JsonNode on =
        check.path("stages").findParents("calibrator").stream()
            .filter(stage -> stage.path("calibrator").asText().equals("on"))
            .findFirst()
            .orElseThrow();
    assertEquals(-20, on.path("level_db").asDouble(), 0.05);
  }

  /**
   * A gain that sags by 3 dB within seconds is found, kept, and taken into what is calibrated and
   * recorded next.
   */
  @Test
  void aGainThatRidesIsFoundAndRemembered() throws Exception {
    Path tone = tone(1000, t -> Math.pow(10, -3 * (1 - Math.exp(-t / 0.7)) / 20));
    Program program = new Program("verify-input", "--input", "default");
    obey(program, tone);
    assertEquals(1, program.exitCode());
    assertTrue(program.said.toString().contains("not to be trusted"), program.said::toString);
    assertTrue(program.out().contains("automatic-gain"), program.out());

    play(tone(1000, t -> 1));
    Path record = folder.resolve("record.json");
    Program calibrating = calibrate(record);
    assertEquals(0, calibrating.exitCode(), calibrating.said::toString);
    assertTrue(calibrating.said.toString().contains("failed its check"));
    assertFalse(CalibrationFile.read(record).inputCheck().trusted());

    Path wav = folder.resolve("run.wav");
    Program recording =
        new Program(
            "record",
            "--input",
            "default",
            "--seconds",
            "2",
            "--out",
            wav,
            "--calibration",
            record);
    assertEquals(0, recording.exitCode(), recording.said::toString);
    assertTrue(recording.out().contains("dB re full scale"), recording.out());
    assertFalse(RunFile.find(wav).orElseThrow().inputCheck().trusted());
  }

  /** One and the same in both channels is told, and no reason to distrust. */
  @Test
  void copiedChannelsAreTold() throws Exception {
    endProcesses();
    Random one = new Random(3);
    double[] noise = one.doubles(180L * RATE, -2e-4, 2e-4).toArray();
    Wave same = t -> noise[(int) Math.round(t * RATE)];
    play(sound("same.wav", 180, same, same));
    Path json = folder.resolve("check.json");
    Program program = new Program("verify-input", "--input", "default", "--json", json);
    obey(program, tone(1000, t -> 1));
    assertEquals(0, program.exitCode(), () -> program.said + read(json));
    assertTrue(read(json).contains("channel 2 is a copy of channel 1"), read(json));
  }

  /** What is played comes out at the chosen gain, and nothing of it on standard output. */
  @Test
  void aRecordingIsPlayedAtItsGain() throws Exception {
    endProcesses();
    Path played = folder.resolve("played.wav");
    try (WavWriter writer = WavWriter.whole(played, new SampleFormat(RATE, 1, 24, false), true)) {
      double[] samples = new double[40 * RATE];
      for (int i = 0; i < samples.length; i++) {
        samples[i] = AMPLITUDE * Math.sin(2 * Math.PI * 1000 * i / RATE);
      }
      writer.write(samples, 0, samples.length);
      writer.finish();
    }
    Program playing = new Program("play", played, "--gain", "-6");
    playing.await("playing 40.0 s");
    while (playing() == 0) {
      TimeUnit.MILLISECONDS.sleep(50);
    }
    Path wav = folder.resolve("heard.wav");
    Program recording = new Program("record", "--input", "default", "--seconds", "3", "--out", wav);
    assertEquals(0, recording.exitCode(), recording.said::toString);
    // 20 dB and 6 dB below full scale; a player that can't keep up leaves gaps, which lower no
    // maximum.
    Matcher maximum = Pattern.compile("LAFmax (\\S+) dB").matcher(recording.out());
    assertTrue(maximum.find(), recording.out());
    assertEquals(-26, Double.parseDouble(maximum.group(1)), 0.3);
    assertEquals("", playing.out());
  }

  private static String read(Path file) {
    try {
      return Files.exists(file) ? Files.readString(file) : "";
    } catch (IOException e) {
      throw new AssertionError(e);
    }
  }
}
