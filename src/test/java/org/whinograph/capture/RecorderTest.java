package org.whinograph.capture;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.lang.management.ManagementFactory;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CountDownLatch;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.audiofile.FrameWriter;
import org.whinograph.audiofile.RunFile;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.audiofile.WavSource;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;

@Timeout(120)
class RecorderTest {
  private static final SampleFormat MONO_24 = new SampleFormat(48000, 1, 24, false);
  private static final SampleFormat STEREO_16 = new SampleFormat(48000, 2, 16, false);

  @TempDir Path folder;

  /** Counts what it gets; may act at a frame. */
  private static class Watcher implements RecordingListener {
    final List<Warning> warnings = new ArrayList<>();
    long frames;
    long gapFrames;
    RecordingStatus last;

    @Override
    public void samples(SampleBlock block, RecordingStatus status) {
      assertEquals(frames, block.position());
      frames += block.length();
      gapFrames += block.gaps().stream().mapToLong(Span::length).sum();
      last = status;
      reached();
    }

    void reached() {}

    @Override
    public void warning(Warning warning) {
      warnings.add(warning);
    }
  }

  private RecordingPlan plan(long frames) {
    return new RecordingPlan(
        folder.resolve("run.wav"), false, frames, 1, Map.of("load", "idle"), "a note");
  }

  private static Recorder recorder(
      SimulatedInput input, RecordingPlan plan, RecordingListener listener)
      throws RefusedException {
    Recorder recorder = new Recorder(input, input, plan, listener);
    input.backlog = () -> Math.max(recorder.backlog(), recorder.listenerBacklog());
    return recorder;
  }

  @Test
  void recordsEveryBitOfEveryChannelAndStopsInTime() throws Exception {
    SimulatedInput input = new SimulatedInput(STEREO_16);
    Watcher watcher = new Watcher();
    RunRecord run = recorder(input, plan(480_123), watcher).run();
    assertEquals(480_123, run.frames());
    assertEquals(RunRecord.State.COMPLETE, run.state());
    assertEquals("time", run.stopReason());
    assertEquals(480_123, watcher.frames);
    assertEquals(List.of(), watcher.warnings);
    byte[] file = Files.readAllBytes(folder.resolve("run.wav"));
    assertEquals(80 + 480_123 * 4, file.length);
    for (int frame = 0; frame < 480_123; frame++) {
      int at = 80 + 4 * frame;
      int code = (file[at] & 0xFF) | ((file[at + 1] & 0xFF) << 8);
      assertEquals(frame & 0x3FFF, code);
      assertEquals(code, (file[at + 2] & 0xFF) | ((file[at + 3] & 0xFF) << 8));
    }
    assertEquals(run, RunFile.read(folder.resolve("run.json")));
    assertEquals(Map.of("load", "idle"), run.conditions());
    // The first sample was taken at the simulated start; bursts of 60 ms blur that.
    Instant start = Instant.parse("2026-03-01T10:00:00Z");
    assertTrue(Math.abs(run.started().toEpochMilli() - start.toEpochMilli()) < 100);
  }

  @Test
  void lossesAndOverloadsAreInTheRecordAndInTheSource() throws Exception {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.stallAtFrame = 48_000 * 30;
    input.stallS = 1.5;
    input.code = frame -> frame >= 96_000 && frame < 96_005 ? 0x7FFFFF : 1000;
    Watcher watcher = new Watcher();
    RunRecord run = recorder(input, plan(48_000 * 60), watcher).run();
    assertEquals(List.of(new Span(96_000, 5)), run.overloads());
    assertEquals(5, run.overloadSamples());
    assertEquals(5, watcher.last.overloadSamples());
    assertEquals(1, run.gaps().size());
    Span gap = run.gaps().get(0);
    assertTrue(Math.abs(gap.length() - input.lost()) < 1500, gap + ", lost " + input.lost());
    assertEquals(gap.length(), watcher.gapFrames);
    assertEquals(List.of("lost-samples"), watcher.warnings.stream().map(Warning::code).toList());
    try (WavSource source = WavSource.open(folder.resolve("run.wav"), 1)) {
      assertTrue(source.warnings().stream().anyMatch(w -> w.code().equals("lost-samples")));
      long flagged = 0;
      for (SampleBlock block = source.read(7777); block != null; block = source.read(7777)) {
        for (Span span : block.gaps()) {
          flagged += span.length();
          for (long i = span.position(); i < span.end(); i++) {
            assertEquals(0.0, block.samples()[(int) (i - block.position())]);
          }
        }
      }
      assertEquals(gap.length(), flagged);
    }
  }

  @Test
  void markersHaveSamplePositions() throws Exception {
    SimulatedInput input = new SimulatedInput(MONO_24);
    Recorder[] recorder = new Recorder[1];
    CountDownLatch ready = new CountDownLatch(1);
    Watcher watcher =
        new Watcher() {
          private boolean marked;

          @Override
          void reached() {
            if (!marked && frames > 96_000) {
              marked = true;
              await(ready);
              recorder[0].mark("fan up");
            }
          }
        };
    recorder[0] = recorder(input, plan(48_000 * 10), watcher);
    ready.countDown();
    RunRecord run = recorder[0].run();
    assertEquals(1, run.events().size());
    assertEquals("fan up", run.events().get(0).text());
    // The simulated input runs ahead of the listener by the reads that wait, here some seconds.
    assertTrue(run.events().get(0).position() > 96_000 - 4800);
  }

  private static void await(CountDownLatch latch) {
    try {
      latch.await();
    } catch (InterruptedException e) {
      throw new AssertionError(e);
    }
  }

  @Test
  void stopsOnRequestWithAWholeFile() throws Exception {
    SimulatedInput input = new SimulatedInput(MONO_24);
    Recorder[] recorder = new Recorder[1];
    Watcher watcher =
        new Watcher() {
          @Override
          void reached() {
            if (frames > 100_000) {
              recorder[0].stop();
            }
          }
        };
    recorder[0] = recorder(input, plan(Long.MAX_VALUE), watcher);
    RunRecord run = recorder[0].run();
    assertEquals("request", run.stopReason());
    assertTrue(run.frames() > 100_000);
    assertWhole(run.frames());
  }

  @Test
  void anInputThatGoesIsToldAndWhatWasRecordedIsWhole() throws Exception {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.endFrame = 123_456;
    RefusedException refusal =
        assertThrows(
            RefusedException.class,
            () -> recorder(input, plan(Long.MAX_VALUE), new Watcher()).run());
    assertTrue(refusal.getMessage().contains("is gone"), refusal.getMessage());
    assertTrue(refusal.getMessage().contains("2.572 s before are whole"), refusal.getMessage());
    assertWhole(123_456);
    RunRecord run = RunFile.read(folder.resolve("run.json"));
    assertEquals(RunRecord.State.COMPLETE, run.state());
    assertTrue(run.stopReason().contains("is gone"));
  }

  private void assertWhole(long frames, String... warnings) throws RefusedException {
    try (WavSource source = WavSource.open(folder.resolve("run.wav"), 1)) {
      assertEquals(frames, source.frames().getAsLong());
      assertEquals(List.of(warnings), source.warnings().stream().map(Warning::code).toList());
    }
  }

  @Test
  void aFolderThatIsDeletedIsToldAndTheSamplesAreSaved() throws Exception {
    Path inner = Files.createDirectory(folder.resolve("inner"));
    SimulatedInput input = new SimulatedInput(MONO_24);
    Watcher watcher =
        new Watcher() {
          private boolean deleted;

          @Override
          void reached() {
            if (!deleted && frames > 240_000) {
              deleted = true;
              delete(inner);
            }
          }
        };
    RecordingPlan plan =
        new RecordingPlan(inner.resolve("run.wav"), false, 48_000 * 60, 1, Map.of(), "");
    RefusedException refusal =
        assertThrows(RefusedException.class, () -> recorder(input, plan, watcher).run());
    assertTrue(refusal.getMessage().contains("deleted while recording"), refusal.getMessage());
    try (WavSource source = WavSource.open(inner.resolve("run.wav"), 1)) {
      assertTrue(source.frames().getAsLong() >= 240_000);
      double[] samples = Arrays.copyOf(source.read(1000).samples(), 1000);
      assertEquals(999, Math.round(samples[999] * 0x1p23));
    }
  }

  /** In one step for whoever looks on, as the recorder saves what it has at once. */
  private static void delete(Path inner) {
    Path gone = inner.resolveSibling("gone");
    try {
      Files.move(inner, gone, StandardCopyOption.ATOMIC_MOVE);
      try (var files = Files.list(gone)) {
        for (Path file : files.toList()) {
          Files.delete(file);
        }
      }
      Files.delete(gone);
    } catch (IOException e) {
      throw new AssertionError(e);
    }
  }

  /**
   * The disk stalls for as long as the queue holds: nothing is lost. A listener may stall for ever.
   */
  @Test
  void aListenerThatStallsCostsNoSample() throws Exception {
    SimulatedInput input = new SimulatedInput(MONO_24);
    CountDownLatch release = new CountDownLatch(1);
    Watcher watcher =
        new Watcher() {
          @Override
          void reached() {
            await(release);
          }
        };
    Recorder recorder = recorder(input, plan(48_000 * 30), watcher);
    input.backlog = recorder::backlog;
    Thread releaser =
        new Thread(
            () -> {
              // Once the file is complete the listener may go on.
              while (!completed()) {
                Thread.onSpinWait();
              }
              release.countDown();
            });
    releaser.start();
    RunRecord run = recorder.run();
    releaser.join();
    assertEquals(48_000 * 30, run.frames());
    assertEquals(List.of(), run.gaps());
    assertEquals(48_000 * 30, watcher.frames);
    assertTrue(watcher.gapFrames > 48_000 * 15);
    assertWhole(48_000 * 30);
  }

  private boolean completed() {
    try {
      return RunFile.find(folder.resolve("run.wav"))
          .filter(run -> run.state() == RunRecord.State.COMPLETE)
          .isPresent();
    } catch (RefusedException e) {
      return false;
    }
  }

  @Test
  void existingFilesAreNotReplaced() throws Exception {
    Path wav = Files.writeString(folder.resolve("run.wav"), "mine");
    SimulatedInput input = new SimulatedInput(MONO_24);
    assertThrows(RefusedException.class, () -> recorder(input, plan(100), new Watcher()).run());
    assertEquals("mine", Files.readString(wav));
    Files.delete(wav);
    Files.writeString(folder.resolve("run.json"), "mine");
    SimulatedInput again = new SimulatedInput(MONO_24);
    assertThrows(RefusedException.class, () -> recorder(again, plan(100), new Watcher()).run());
    assertFalse(Files.exists(wav));
  }

  private static Warning lastWarning(Path wav) throws RefusedException {
    try (WavSource source = WavSource.open(wav, 1)) {
      List<Warning> warnings = source.warnings();
      return warnings.get(warnings.size() - 1);
    }
  }

  /** A file as a kill leaves it: found, told, completed; one in progress or complete is not. */
  @Test
  void brokenOffRecordingsAreFoundAndRepaired() throws Exception {
    Path wav = folder.resolve("run.wav");
    recorder(new SimulatedInput(MONO_24), plan(48_000), new Watcher()).run();
    assertEquals(List.of(), BrokenRecordings.find(folder));
    RunRecord run = RunFile.read(folder.resolve("run.json"));
    RunFile.write(folder.resolve("run.json"), recording(run));
    byte[] whole = Files.readAllBytes(wav);
    byte[] broken = Arrays.copyOf(whole, whole.length - 1000);
    Arrays.fill(broken, 4, 8, (byte) 0);
    Arrays.fill(broken, 76, 80, (byte) 0);
    Files.write(wav, broken);
    List<BrokenRecordings.Broken> found = BrokenRecordings.find(folder);
    assertEquals(1, found.size());
    assertEquals(wav, found.get(0).wav());
    // 1000 bytes are 333 frames and a byte of the next.
    assertEquals((48_000 - 334) / 48_000.0, found.get(0).seconds());
    assertEquals("broken-off", lastWarning(wav).code());
    assertTrue(lastWarning(wav).message().contains("--repair"));
    RunRecord repaired = BrokenRecordings.repair(wav);
    assertEquals(RunRecord.State.REPAIRED, repaired.state());
    assertEquals(48_000 - 334, repaired.frames());
    assertWhole(48_000 - 334, "broken-off");
    assertTrue(lastWarning(wav).message().contains("whole up to where it ends"));
    byte[] after = Files.readAllBytes(wav);
    assertArrayEquals(
        Arrays.copyOfRange(whole, 80, 80 + 3 * 47_666),
        Arrays.copyOfRange(after, 80, 80 + 3 * 47_666));
    assertEquals(List.of(), BrokenRecordings.find(folder));
    assertThrows(RefusedException.class, () -> BrokenRecordings.repair(wav));
  }

  @Test
  void aRecordingInProgressIsNotBroken() throws Exception {
    Path wav = folder.resolve("run.wav");
    recorder(new SimulatedInput(MONO_24), plan(48_000), new Watcher()).run();
    RunRecord run = RunFile.read(folder.resolve("run.json"));
    Files.delete(wav);
    RunFile.write(folder.resolve("run.json"), recording(run));
    try (WavWriter writer = WavWriter.growing(wav, MONO_24, false)) {
      assertTrue(writer.locked());
      writer.write(new double[48_000], 0, 48_000);
      assertEquals(List.of(), BrokenRecordings.find(folder));
      assertThrows(RefusedException.class, () -> BrokenRecordings.repair(wav));
    }
    assertEquals(1, BrokenRecordings.find(folder).size());
  }

  /** Counts what would lie on a disk. */
  private static final class Discarding implements FrameWriter {
    private final int frameBytes;
    private long frames;

    Discarding(SampleFormat format) {
      frameBytes = format.channels() * format.bitDepth() / 8;
    }

    @Override
    public void write(byte[] raw, int offset, int count) {
      frames += count / frameBytes;
    }

    @Override
    public void writeSilence(long silent) {
      frames += silent;
    }

    @Override
    public long frames() {
      return frames;
    }

    @Override
    public void finish() {}

    @Override
    public void rescueTo(Path rescue) {
      throw new AssertionError("nothing was deleted");
    }

    @Override
    public void close() {}
  }

  /**
   * Ten hours at full speed: every sample is written and shown, no gap is made up, and at the end
   * there is no more memory in use than after the first hour.
   */
  @Test
  @Timeout(600)
  void tenHoursNeedNoMoreMemoryThanOne() throws Exception {
    int rate = 48_000;
    long hour = 3600L * rate;
    SimulatedInput input = new SimulatedInput(new SampleFormat(rate, 1, 24, false));
    input.clockPpm = 30;
    long[] used = new long[2];
    Watcher watcher =
        new Watcher() {
          @Override
          void reached() {
            if (used[0] == 0 && frames >= hour) {
              used[0] = usedMemory();
            } else if (used[1] == 0 && frames >= 10 * hour - rate) {
              used[1] = usedMemory();
            }
          }
        };
    RecordingPlan plan = plan(10 * hour);
    Files.createFile(plan.wav());
    Recorder recorder =
        new Recorder(
            input, input, plan, watcher, (target, format, replace) -> new Discarding(format));
    input.backlog = () -> Math.max(recorder.backlog(), recorder.listenerBacklog());
    RunRecord run = recorder.run();
    assertEquals(10 * hour, run.frames());
    assertEquals(List.of(), run.gaps());
    assertEquals(0, input.lost());
    assertEquals(10 * hour, watcher.frames);
    assertEquals(0, watcher.gapFrames);
    assertTrue(used[0] > 0 && used[1] > 0);
    assertTrue(used[1] - used[0] < 4 << 20, "grew by " + (used[1] - used[0]) + " bytes");
  }

  private static long usedMemory() {
    System.gc();
    return ManagementFactory.getMemoryMXBean().getHeapMemoryUsage().getUsed();
  }

  private static RunRecord recording(RunRecord run) {
    return new RunRecord(
        run.audioFile(),
        run.input(),
        run.started(),
        run.format(),
        run.frames(),
        RunRecord.State.RECORDING,
        null,
        run.conditions(),
        run.events(),
        run.notes(),
        run.gaps(),
        run.overloads(),
        run.overloadSamples(),
        run.clockDeviationPpm(),
        run.inputCheck());
  }
}
