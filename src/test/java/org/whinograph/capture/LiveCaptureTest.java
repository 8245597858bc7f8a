package org.whinograph.capture;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.Iterator;
import java.util.List;
import java.util.Map;
import java.util.SplittableRandom;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.locks.LockSupport;
import java.util.stream.Stream;
import javax.sound.sampled.AudioInputStream;
import javax.sound.sampled.AudioSystem;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Tag;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.whinograph.audiofile.RunFile;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.audiofile.WavSource;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;

/**
 * Capture through a real line of the Java platform. Needs the sound server that {@code
 * .ci/sound-server} starts: what is played there comes back at the input "default". Played sound
 * takes the same way as a microphone's, so what went in is known to the bit.
 */
@Tag("live")
@Timeout(value = 300, unit = TimeUnit.SECONDS)
class LiveCaptureTest {
  private static final String INPUT = "default";
  private static final int RATE = 48000;
  private static final int COUNT_MASK = (1 << 23) - 1;

  /** How long the counting run lasts; a longer one is asked for by this property. */
  private static final int COUNTING_S = Integer.getInteger("whinograph.counting.seconds", 60);

  private final List<Process> processes = new ArrayList<>();
  private final CaptureClock clock =
      new CaptureClock() {
        @Override
        public long nanoTime() {
          return System.nanoTime();
        }

        @Override
        public Instant instant() {
          return Instant.now();
        }

        @Override
        public void pause(long nanos) {
          LockSupport.parkNanos(nanos);
        }
      };

  @TempDir Path folder;

  @AfterEach
  void endProcesses() {
    processes.forEach(Process::destroyForcibly);
  }

  private static final class Silent implements RecordingListener {
    @Override
    public void samples(SampleBlock block, RecordingStatus status) {}

    @Override
    public void warning(Warning warning) {}
  }

  // Playing

  @FunctionalInterface
  private interface Wave {
    double at(long frame);
  }

  /** Plays a wave on both channels, as 32 bits, until the test ends. */
  private void play(Wave wave, int seconds) throws Exception {
    Path file = folder.resolve("played.wav");
    double[] frames = new double[2 * RATE];
    try (WavWriter writer = WavWriter.whole(file, new SampleFormat(RATE, 2, 32, false), true)) {
      for (int second = 0; second < seconds; second++) {
        for (int i = 0; i < RATE; i++) {
          frames[2 * i] = wave.at((long) second * RATE + i);
          frames[2 * i + 1] = frames[2 * i];
        }
        writer.write(frames, 0, frames.length);
      }
      writer.finish();
    }
    start(new ProcessBuilder("paplay", file.toString()));
    // The player needs a moment to connect; then its sound is in the air.
    TimeUnit.SECONDS.sleep(1);
  }

  /** Sample n has the code n + 1 of 24 bits, modulo 2^23. */
  private void playCount(int seconds) throws Exception {
    play(frame -> ((frame + 1) & COUNT_MASK) * 0x1p-23, seconds);
  }

  private Process start(ProcessBuilder builder) throws IOException {
    Process process =
        builder
            .redirectErrorStream(true)
            .redirectOutput(folder.resolve("process-" + processes.size() + ".txt").toFile())
            .start();
    processes.add(process);
    return process;
  }

  // Recording

  private RunRecord record(Path wav, SampleFormat format, double seconds) throws RefusedException {
    CaptureLine line = new Inputs(new JavaSoundSystem(), clock).open(INPUT, format);
    return record(line, wav, seconds);
  }

  private RunRecord record(CaptureLine line, Path wav, double seconds) throws RefusedException {
    long frames = Math.round(seconds * line.format().sampleRateHz());
    return new Recorder(
            line, clock, new RecordingPlan(wav, true, frames, 1, Map.of(), ""), new Silent())
        .run();
  }

  private static double[] read(Path wav) throws RefusedException {
    try (WavSource source = WavSource.open(wav, 1)) {
      double[] samples = new double[(int) source.frames().getAsLong()];
      for (SampleBlock block = source.read(65536); block != null; block = source.read(65536)) {
        System.arraycopy(block.samples(), 0, samples, (int) block.position(), block.length());
      }
      return samples;
    }
  }

  private static double level(double[] samples, int from, int to) {
    double sum = 0;
    for (int i = from; i < to; i++) {
      sum += samples[i] * samples[i];
    }
    return LevelUnit.FULL_SCALE.levelOf(sum / (to - from));
  }

  /** Frequency from the phases of the two halves against a tone nearby. */
  private static double frequency(double[] samples, double nearHz, double rate) {
    // A second tells which turn of the phase, the whole tells the rest.
    double coarse = frequency(samples, (int) rate / 2, nearHz, rate);
    return frequency(samples, samples.length / 2, coarse, rate);
  }

  private static double frequency(double[] samples, int half, double nearHz, double rate) {
    double first = phase(samples, 0, half, nearHz, rate);
    double second = phase(samples, half, 2 * half, nearHz, rate);
    double turn = Math.IEEEremainder(second - first, 2 * Math.PI);
    return nearHz + turn / (2 * Math.PI) * rate / half;
  }

  private static double phase(double[] samples, int from, int to, double hz, double rate) {
    double re = 0;
    double im = 0;
    for (int i = from; i < to; i++) {
      double window = 1 - Math.cos(2 * Math.PI * (i - from + 0.5) / (to - from));
      re += window * samples[i] * Math.cos(2 * Math.PI * hz * i / rate);
      im -= window * samples[i] * Math.sin(2 * Math.PI * hz * i / rate);
    }
    return Math.atan2(im, re);
  }

  // Tests

  @Test
  void theInputIsListedWithWhatItDelivers() throws Exception {
    play(frame -> 0.1 * Math.sin(2 * Math.PI * 1000 * frame / RATE), 60);
    List<Input> inputs = new Inputs(new JavaSoundSystem(), clock).list();
    Input input = inputs.get(0);
    assertTrue(input.name().contains(INPUT));
    assertEquals(List.of(44100.0, 48000.0, 88200.0, 96000.0, 176400.0, 192000.0), input.rates());
    assertEquals(List.of(24, 32, 16), input.bitDepths());
    assertEquals(List.of(1, 2), input.channels());
    assertTrue(input.resampling().contains("converts"));
    assertEquals(null, input.problem());
  }

  static Stream<Arguments> formats() {
    List<Arguments> all = new ArrayList<>();
    for (int rate : new int[] {44100, 48000, 96000}) {
      for (int bits : new int[] {16, 24, 32}) {
        for (int channels : new int[] {1, 2}) {
          all.add(Arguments.of(rate, bits, channels));
        }
      }
    }
    return all.stream();
  }

  /** The level within 0.02 dB in every format, resampled or not. */
  @ParameterizedTest
  @MethodSource("formats")
  void levelsAreRightInEveryFormat(int rate, int bits, int channels) throws Exception {
    play(frame -> 0.1 * Math.sin(2 * Math.PI * 1000 * frame / RATE), 6);
    Path wav = folder.resolve("tone.wav");
    RunRecord run = record(wav, new SampleFormat(rate, channels, bits, false), 1.5);
    assertEquals(List.of(), run.gaps());
    double[] samples = read(wav);
    assertEquals(Math.round(1.5 * rate), samples.length);
    // Whole periods of 1 kHz, without the start of the resampler.
    assertEquals(-20.0, level(samples, rate / 2, rate / 2 + rate), 0.02);
  }

  @Test
  void frequencyIsRightWithinAMillihertz() throws Exception {
    double hz = 4180.25;
    play(frame -> 0.1 * Math.sin(2 * Math.PI * hz * frame / RATE), 30);
    Path wav = folder.resolve("tone.wav");
    record(wav, new SampleFormat(RATE, 1, 24, false), 12);
    double[] samples = read(wav);
    double[] settled = java.util.Arrays.copyOfRange(samples, RATE, samples.length);
    assertEquals(hz, frequency(settled, 4180, RATE), 0.001);
    assertEquals(-20.0, level(settled, 0, 10 * RATE), 0.02);
  }

  /** At the server's own rate noise comes back with every bit that 24 can hold. */
  @Test
  void noiseIsBitExactWhereTheRouteAllows() throws Exception {
    SplittableRandom random = new SplittableRandom(4);
    long[] codes = random.longs(20L * RATE, -0x400000, 0x400000).toArray();
    play(frame -> codes[(int) frame] * 0x1p-23, 20);
    Path wav = folder.resolve("noise.wav");
    record(wav, new SampleFormat(RATE, 1, 24, false), 8);
    double[] samples = read(wav);
    int start = RATE;
    int offset = find(codes, samples, start);
    long[] expected = java.util.Arrays.copyOfRange(codes, offset, offset + 6 * RATE);
    long[] actual = new long[6 * RATE];
    for (int i = 0; i < actual.length; i++) {
      actual[i] = Math.round(samples[start + i] * 0x1p23);
    }
    assertArrayEquals(expected, actual);
  }

  private static int find(long[] codes, double[] samples, int start) {
    for (int offset = 0; offset + 4 < codes.length; offset++) {
      int same = 0;
      while (same < 4 && Math.round(samples[start + same] * 0x1p23) == codes[offset + same]) {
        same++;
      }
      if (same == 4) {
        return offset;
      }
    }
    throw new AssertionError("what was played isn't in the recording");
  }

  /** A wave that counts its samples proves that none was lost and none made up. */
  @Test
  @Timeout(value = 900, unit = TimeUnit.SECONDS)
  void nothingIsLost() throws Exception {
    playCount(COUNTING_S + 20);
    Path wav = folder.resolve("count.wav");
    RunRecord run = record(wav, new SampleFormat(RATE, 1, 24, false), COUNTING_S);
    assertEquals(List.of(), run.gaps());
    double[] samples = read(wav);
    assertEquals(0, breaks(samples, RATE).size());
    assertEquals((long) COUNTING_S * RATE, samples.length);
  }

  /** Where the count does not go on by one: position and how many were left out. */
  private static List<long[]> breaks(double[] samples, int from) {
    List<long[]> breaks = new ArrayList<>();
    long before = Math.round(samples[from] * 0x1p23);
    for (int i = from + 1; i < samples.length; i++) {
      long count = Math.round(samples[i] * 0x1p23);
      if (count != ((before + 1) & COUNT_MASK)) {
        breaks.add(new long[] {i, (count - before - 1) & COUNT_MASK});
      }
      before = count;
    }
    return breaks;
  }

  /**
   * 32 channels of 32 bits fill the server's buffer within a second, so a reader that stalls for
   * two loses samples: the gap has their number and stands where they are missing. A server may
   * throw them away in several pieces with a few samples between; that is one loss. A machine under
   * load may lose more elsewhere; whatever is missing must belong to a gap.
   */
  @Test
  void aProvokedLossIsFoundWithPlaceAndLength() throws Exception {
    playCount(60);
    SampleFormat format = new SampleFormat(RATE, 32, 32, false);
    CaptureLine line = new Inputs(new JavaSoundSystem(), clock).open(INPUT, format);
    Path wav = folder.resolve("loss.wav");
    RunRecord run = record(new Stalling(line, 15.0, 2.0), wav, 30);
    // The gaps' zeros taken out, what is left shows by its count where samples are missing.
    List<long[]> breaks = breaks(withoutGaps(read(wav), run.gaps()), RATE);
    long provoked = 0;
    long before = 0;
    for (Span gap : run.gaps()) {
      long position = gap.position() - before;
      before += gap.length();
      long lost = 0;
      for (Iterator<long[]> rest = breaks.iterator(); rest.hasNext(); ) {
        long[] piece = rest.next();
        if (Math.abs(piece[0] - position) < 0.100 * RATE) {
          lost += piece[1];
          rest.remove();
        }
      }
      // The least lateness moves by up to 25 ms with bursts and waits.
      assertTrue(Math.abs(gap.length() - lost) < 0.030 * RATE, gap + ", lost " + lost);
      if (Math.abs(gap.position() - 15.0 * RATE) < 1.5 * RATE) {
        provoked += lost;
      }
    }
    assertTrue(provoked > RATE / 2, "only " + provoked + " were lost where reading stalled");
    assertEquals(
        List.of(), breaks.stream().map(Arrays::toString).toList(), "lost outside of any gap");
  }

  private static double[] withoutGaps(double[] samples, List<Span> gaps) {
    double[] left = new double[samples.length];
    int count = 0;
    int from = 0;
    for (Span gap : gaps) {
      int length = (int) gap.position() - from;
      System.arraycopy(samples, from, left, count, length);
      count += length;
      from = (int) gap.end();
    }
    System.arraycopy(samples, from, left, count, samples.length - from);
    return Arrays.copyOf(left, count + samples.length - from);
  }

  /** Stops reading for a while, once. */
  private static final class Stalling implements CaptureLine {
    private final CaptureLine line;
    private final long atFrame;
    private final double seconds;
    private long frames;
    private boolean stalled;

    Stalling(CaptureLine line, double at, double seconds) {
      this.line = line;
      this.atFrame = Math.round(at * line.format().sampleRateHz());
      this.seconds = seconds;
    }

    @Override
    public String name() {
      return line.name();
    }

    @Override
    public SampleFormat format() {
      return line.format();
    }

    @Override
    public void start() throws RefusedException {
      line.start();
    }

    @Override
    public int read(byte[] target, int length) {
      if (!stalled && frames > atFrame) {
        stalled = true;
        long until = System.nanoTime() + Math.round(seconds * 1e9);
        while (System.nanoTime() < until) {
          LockSupport.parkNanos(until - System.nanoTime());
        }
      }
      int count = line.read(target, length);
      frames += count / (line.format().channels() * line.format().bitDepth() / 8);
      return count;
    }

    @Override
    public void close() {
      line.close();
    }
  }

  // The program, as a process of its own

  private Process program(Map<String, String> environment, String... args) throws IOException {
    return start(command(environment, args));
  }

  private static ProcessBuilder command(Map<String, String> environment, String... args) {
    // A build that a shell runs in the background ignores Ctrl-C, and what it starts would too.
    List<String> command =
        new ArrayList<>(
            List.of(
                "env",
                "--default-signal=INT",
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                "-cp",
                System.getProperty("java.class.path"),
                "org.whinograph.cli.Main"));
    command.addAll(List.of(args));
    ProcessBuilder builder = new ProcessBuilder(command);
    builder.environment().putAll(environment);
    return builder;
  }

  private Process recorder(Path wav, String... more) throws IOException {
    return program(Map.of(), recordArguments(wav, more));
  }

  private static String[] recordArguments(Path wav, String... more) {
    List<String> args =
        new ArrayList<>(List.of("record", "--input", INPUT, "--out", wav.toString()));
    args.addAll(List.of(more));
    return args.toArray(String[]::new);
  }

  private static void awaitSize(Path wav, long bytes) throws Exception {
    Instant deadline = Instant.now().plusSeconds(60);
    while (!Files.exists(wav) || Files.size(wav) < bytes) {
      assertTrue(Instant.now().isBefore(deadline), "no recording has begun");
      TimeUnit.MILLISECONDS.sleep(10);
    }
  }

  /** kill -9 at twenty random moments, four programs at a time. */
  @Test
  void aKillLosesAtMostTheLastSecond() throws Exception {
    playCount(200);
    SplittableRandom random = new SplittableRandom(20);
    for (int round = 0; round < 5; round++) {
      List<Path> files = new ArrayList<>();
      List<Process> programs = new ArrayList<>();
      for (int i = 0; i < 4; i++) {
        files.add(folder.resolve("kill-" + round + "-" + i + ".wav"));
        programs.add(recorder(files.get(i)));
      }
      long[] begun = new long[4];
      for (int i = 0; i < 4; i++) {
        awaitSize(files.get(i), 81);
        begun[i] = System.nanoTime();
      }
      for (int i = 0; i < 4; i++) {
        TimeUnit.MILLISECONDS.sleep(random.nextInt(200, 1200));
        double recorded = (System.nanoTime() - begun[i]) / 1e9;
        programs.get(i).destroyForcibly();
        assertNotEquals(0, programs.get(i).waitFor());
        double[] samples = read(files.get(i));
        assertTrue(
            samples.length > (recorded - 1) * RATE,
            samples.length + " frames of " + recorded + " s");
        int start = (int) (0.2 * RATE);
        if (samples.length > start + 1) {
          assertEquals(0, breaks(samples, start).size());
        }
        if (recorded > 2) {
          // A reader that believes the header alone finds all but the last second as well.
          try (AudioInputStream in = AudioSystem.getAudioInputStream(files.get(i).toFile())) {
            assertTrue(in.getFrameLength() > (recorded - 1.6) * RATE, "" + in.getFrameLength());
          }
        }
      }
      assertEquals(4 * (round + 1), BrokenRecordings.find(folder).size());
    }
    RunRecord repaired = BrokenRecordings.repair(folder.resolve("kill-0-0.wav"));
    assertEquals(repaired.frames(), read(folder.resolve("kill-0-0.wav")).length);
  }

  /** The signal of Ctrl-C ends it with a whole file and a complete record. */
  @Test
  void ctrlCLeavesAWholeFile() throws Exception {
    Path wav = folder.resolve("ctrl-c.wav");
    Process program = recorder(wav);
    awaitSize(wav, 80 + 3 * RATE);
    new ProcessBuilder("kill", "-INT", String.valueOf(program.pid())).start().waitFor();
    assertTrue(program.waitFor(20, TimeUnit.SECONDS));
    RunRecord run = RunFile.find(wav).orElseThrow();
    assertEquals(RunRecord.State.COMPLETE, run.state());
    assertEquals("request", run.stopReason());
    try (WavSource source = WavSource.open(wav, 1)) {
      assertEquals(run.frames(), source.frames().getAsLong());
      assertEquals(List.of(), source.warnings());
    }
  }

  /** m and a text set a marker, q ends. */
  @Test
  void keysSetMarkersAndEnd() throws Exception {
    Path wav = folder.resolve("keys.wav");
    Process program = recorder(wav);
    awaitSize(wav, 80 + 3 * RATE);
    program.getOutputStream().write("m fan up\n".getBytes(StandardCharsets.US_ASCII));
    program.getOutputStream().flush();
    TimeUnit.SECONDS.sleep(1);
    program.getOutputStream().write("q\n".getBytes(StandardCharsets.US_ASCII));
    program.getOutputStream().flush();
    assertTrue(program.waitFor(20, TimeUnit.SECONDS));
    assertEquals(0, program.exitValue());
    RunRecord run = RunFile.find(wav).orElseThrow();
    assertEquals("fan up", run.events().get(0).text());
    long untilEnd = run.frames() - run.events().get(0).position();
    assertTrue(untilEnd > 0.7 * RATE && untilEnd < 3 * RATE, "marker " + untilEnd + " before end");
  }

  /**
   * A file that may not grow past a quota stands for a full disk: told at once, whole until there.
   */
  @Test
  void aQuotaThatIsReachedIsToldAndTheFileIsWhole() throws Exception {
    Path wav = folder.resolve("quota.wav");
    List<String> limited =
        new ArrayList<>(List.of("bash", "-c", "ulimit -f 600; exec \"$@\"", "limited"));
    limited.addAll(command(Map.of(), recordArguments(wav, "--seconds", "60")).command());
    Process program = start(new ProcessBuilder(limited));
    assertTrue(program.waitFor(60, TimeUnit.SECONDS));
    assertEquals(1, program.exitValue());
    String said = Files.readString(folder.resolve("process-0.txt"));
    assertTrue(said.contains("can't be written"), said);
    assertTrue(said.contains("before are whole"), said);
    try (WavSource source = WavSource.open(wav, 1)) {
      assertEquals((600 * 1024 - 80) / 3, source.frames().getAsLong());
      assertEquals(List.of(), source.warnings());
    }
  }

  /** The sound server dies in mid-recording: told within seconds, exit 1, whole file. */
  @Test
  void aServerThatStopsIsToldAndTheFileIsWhole() throws Exception {
    Path server = folder.resolve("server");
    Process starter = start(new ProcessBuilder(".ci/sound-server", "start", server.toString()));
    assertTrue(starter.waitFor(30, TimeUnit.SECONDS));
    Map<String, String> environment =
        Map.of(
            "PULSE_SERVER",
            "unix:" + server.resolve("run/native"),
            "ALSA_CONFIG_PATH",
            server.resolve("asound.conf").toString());
    Path wav = folder.resolve("server.wav");
    Process program = program(environment, recordArguments(wav, "--seconds", "60"));
    awaitSize(wav, 80 + 6 * RATE);
    String pid = Files.readString(server.resolve("run/pid")).strip();
    new ProcessBuilder("kill", "-9", pid).start().waitFor();
    assertTrue(program.waitFor(15, TimeUnit.SECONDS));
    assertEquals(1, program.exitValue());
    String said = Files.readString(folder.resolve("process-1.txt"));
    assertTrue(said.contains("sound server has stopped"), said);
    assertTrue(said.contains("before are whole"), said);
    assertTrue(read(wav).length >= 2 * RATE);
    assertEquals(RunRecord.State.COMPLETE, RunFile.find(wav).orElseThrow().state());
    assertFalse(said.contains("Exception"), said);
  }

  /**
   * Recording with live levels takes at most a tenth of one core, once the program has warmed up.
   */
  @Test
  void recordingTakesATenthOfACoreAtMost() throws Exception {
    play(frame -> 0.1 * Math.sin(2 * Math.PI * 1000 * frame / RATE), 60);
    Path wav = folder.resolve("cpu.wav");
    Process program = recorder(wav, "--seconds", "30");
    awaitSize(wav, 80L + 8 * 3 * RATE);
    Duration before = program.info().totalCpuDuration().orElseThrow();
    long begun = System.nanoTime();
    awaitSize(wav, 80L + 24 * 3 * RATE);
    Duration used = program.info().totalCpuDuration().orElseThrow().minus(before);
    double share = used.toNanos() / (double) (System.nanoTime() - begun);
    assertTrue(share <= 0.10, "share of a core " + share);
  }
}
