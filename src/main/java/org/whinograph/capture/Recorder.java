package org.whinograph.capture;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import org.whinograph.audiofile.FrameWriter;
import org.whinograph.audiofile.RunFile;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;

/**
 * Records a line into a WAV file and keeps the run record beside it.
 *
 * <p>Three threads: capture, which waits for nothing; the caller's, which writes the file; and the
 * listener's. Whatever ends a recording, the file is whole up to that moment, and its record says
 * why it ended. All channels are recorded as they came, bit by bit; lost samples are zeros.
 *
 * <p>{@link #run} belongs to one thread and runs once; {@link #stop} and {@link #mark} to any.
 */
public final class Recorder {
  private static final long LOW_ROOM_S = 60;
  private static final long START_KNOWN_S = 3;

  /** A clock that is off by more loses or invents samples in bits too small to find. */
  private static final double WORST_CLOCK_PPM = 300;

  private final CaptureLine line;
  private final CaptureClock clock;
  private final RecordingPlan plan;
  private final RecordingListener listener;
  private final CaptureStream stream;
  private final SampleFormat format;
  private final BlockDecoder decoder;
  private final int frameBytes;
  private final Path recordFile;
  private final Store store;
  private final List<RunRecord.Event> events = new ArrayList<>();
  private final SpanLog gaps = new SpanLog();
  private final SpanLog overloads = new SpanLog();

  private Instant started;
  private volatile LiveFigures figures;
  private RecordingStatus status = new RecordingStatus(0, 0, 0, -1, -1);
  private long frames;
  private long nextCheck;
  private boolean roomTold;
  private volatile boolean changed;
  private volatile boolean stopAsked;

  /**
   * Prepares a recording; nothing is opened or written yet.
   *
   * @param line the input, closed at the end
   * @param clock time
   * @param plan what to record
   * @param listener gets samples, figures and warnings while it runs
   * @throws RefusedException if the input lacks the channel
   */
  public Recorder(
      CaptureLine line, CaptureClock clock, RecordingPlan plan, RecordingListener listener)
      throws RefusedException {
    this(line, clock, plan, listener, WavWriter::growing);
  }

  /** What makes the file that samples go to. */
  @FunctionalInterface
  interface Store {
    FrameWriter open(Path target, SampleFormat format, boolean replace) throws RefusedException;
  }

  /** With a store of one's own, so that hours pass without a disk. */
  Recorder(
      CaptureLine line,
      CaptureClock clock,
      RecordingPlan plan,
      RecordingListener listener,
      Store store)
      throws RefusedException {
    this.store = store;
    LiveSource.checkChannel(line, plan.channel());
    this.line = line;
    this.clock = clock;
    this.plan = plan;
    this.listener = listener;
    this.format = line.format();
    this.frameBytes = format.channels() * format.bitDepth() / 8;
    this.stream = new CaptureStream(line, clock);
    this.decoder = new BlockDecoder(format, plan.channel());
    this.recordFile = RunFile.beside(plan.wav());
  }

  /** Asks for an end: what was captured until now is still written. */
  public void stop() {
    stopAsked = true;
    stream.stop();
  }

  /**
   * Sets a marker at this moment.
   *
   * @param text what it says, may be empty
   * @return its position [frames]
   */
  public long mark(String text) {
    long at = stream.positionAt(clock.nanoTime());
    synchronized (events) {
      events.add(new RunRecord.Event(at, text));
    }
    changed = true;
    return at;
  }

  /**
   * How many reads wait to be written: 0 to some when all is well, hundreds while the disk stalls.
   *
   * @return reads of 10 ms
   */
  public int backlog() {
    return stream.backlog();
  }

  /**
   * How many blocks wait for the listener; it loses none while there are fewer than a thousand.
   *
   * @return blocks
   */
  public int listenerBacklog() {
    LiveFigures running = figures;
    return running == null ? 0 : running.backlog();
  }

  /**
   * Records until the plan's end, {@link #stop}, or a failure.
   *
   * @return the run record as it lies on the disk
   * @throws RefusedException if nothing could be started, or if the recording was cut short by the
   *     input or the disk; what was recorded is whole, and the message says how much
   */
  public RunRecord run() throws RefusedException {
    if (!plan.replace() && Files.exists(recordFile)) {
      throw new RefusedException(
          recordFile + ": exists already; give another name, or --force to replace it");
    }
    try (CaptureStream open = stream) {
      open.start();
      try (FrameWriter writer = store.open(plan.wav(), format, plan.replace())) {
        started = clock.instant();
        save(RunRecord.State.RECORDING, null);
        figures = new LiveFigures(listener);
        return record(writer);
      } finally {
        if (figures != null) {
          figures.close();
        }
      }
    }
  }

  private RunRecord record(FrameWriter writer) throws RefusedException {
    String reason = null;
    RefusedException cut = null;
    try {
      reason = copy(writer);
      if (stream.failure() != null) {
        reason = "input " + line.name() + " " + stream.failure();
        cut = new RefusedException(reason + "; check it. " + whole());
      }
    } catch (RefusedException e) {
      reason = "writing failed";
      cut = e;
    }
    stream.close();
    try {
      writer.finish();
    } catch (RefusedException e) {
      cut = cut == null ? e : cut;
    }
    frames = Math.min(frames, writer.frames());
    RunRecord run = record(RunRecord.State.COMPLETE, reason);
    try {
      RunFile.writeLast(recordFile, run);
    } catch (RefusedException e) {
      cut = cut == null ? e : cut;
    }
    if (cut != null) {
      throw cut;
    }
    tellClock();
    return run;
  }

  /** Moves pieces from the line to the file; returns why it ended. */
  private String copy(FrameWriter writer) throws RefusedException {
    while (frames < plan.frames()) {
      CaptureStream.Piece piece = stream.next();
      if (piece == null) {
        emit(decoder.flush());
        return stopAsked ? "request" : "input ended";
      }
      long left = plan.frames() - frames;
      if (piece.gap() > 0) {
        lose(writer, Math.min(piece.gap(), left));
      } else {
        int length = (int) Math.min(piece.length(), left * frameBytes);
        writer.write(piece.bytes(), piece.offset(), length);
        frames += length / frameBytes;
        emit(decoder.decode(piece.bytes(), piece.offset(), length));
      }
      if (frames >= nextCheck) {
        nextCheck = frames + Math.round(format.sampleRateHz());
        check(writer);
      }
    }
    emit(decoder.flush());
    return "time";
  }

  private void lose(FrameWriter writer, long lost) throws RefusedException {
    emit(decoder.flush());
    writer.writeSilence(lost);
    gaps.add(new Span(frames, lost));
    figures.warning(
        new Warning(
            "lost-samples",
            String.format(
                Locale.ROOT,
                "%d samples (%.3f s) were lost at %.3f s",
                lost,
                lost / format.sampleRateHz(),
                frames / format.sampleRateHz())));
    frames += lost;
    changed = true;
    for (long left = lost; left > 0; ) {
      SampleBlock silence = decoder.silence(left);
      figures.samples(silence, status);
      left -= silence.length();
    }
  }

  private void emit(SampleBlock block) {
    if (block == null) {
      return;
    }
    if (!block.overloads().isEmpty()) {
      block.overloads().forEach(overloads::add);
      changed = true;
    }
    status =
        new RecordingStatus(
            frames, overloads.samples(), gaps.samples(), status.freeBytes(), status.freeSeconds());
    figures.samples(block, status);
  }

  /** Once a second of samples: the folder, the room, the record. */
  private void check(FrameWriter writer) throws RefusedException {
    if (Files.notExists(plan.wav())) {
      throw rescue(writer);
    }
    long free = room();
    double seconds = free < 0 ? -1 : free / (format.sampleRateHz() * frameBytes);
    status = new RecordingStatus(frames, overloads.samples(), gaps.samples(), free, seconds);
    if (free >= 0 && seconds < LOW_ROOM_S && !roomTold) {
      roomTold = true;
      figures.warning(
          new Warning(
              "disk-nearly-full",
              String.format(Locale.ROOT, "the disk has room for %.0f s more", seconds)));
    }
    if (frames < START_KNOWN_S * format.sampleRateHz()) {
      started = start();
      changed = true;
    }
    if (changed) {
      changed = false;
      try {
        save(RunRecord.State.RECORDING, null);
      } catch (RefusedException e) {
        // The folder may have gone since it was looked for.
        throw Files.notExists(plan.wav()) ? rescue(writer) : e;
      }
    }
  }

  /** The wall clock at the first sample; it gets better while the bursts of the start settle. */
  private Instant start() {
    long since = stream.positionAt(clock.nanoTime());
    return clock.instant().minusNanos(Math.round(since / format.sampleRateHz() * 1e9));
  }

  private long room() {
    try {
      return Files.getFileStore(plan.wav()).getUsableSpace();
    } catch (IOException e) {
      // Some network disks don't tell; a full disk is still noticed when a write fails.
      return -1;
    }
  }

  /** The open file outlives its folder; its bytes are copied to where they can be found. */
  private RefusedException rescue(FrameWriter writer) throws RefusedException {
    Path place = plan.wav();
    try {
      Files.createDirectories(place.toAbsolutePath().getParent());
      writer.rescueTo(place);
    } catch (IOException | RefusedException e) {
      // Whoever deletes folders may not be done yet.
      place = Path.of(System.getProperty("user.home"), plan.wav().getFileName().toString());
      writer.rescueTo(place);
    }
    return new RefusedException(
        String.format(
            Locale.ROOT,
            "%s: the file or its folder was deleted while recording; the %.3f s so far were saved"
                + " to %s, start again",
            plan.wav(),
            writer.frames() / format.sampleRateHz(),
            place));
  }

  private void tellClock() {
    double ppm = stream.clockDeviationPpm();
    if (Math.abs(ppm) > WORST_CLOCK_PPM) {
      listener.warning(
          new Warning(
              "clocks-differ",
              String.format(
                  Locale.ROOT,
                  "the sound's clock and the computer's differ by %.0f ppm, more than any crystal:"
                      + " samples may have been lost or doubled in bits too small to find",
                  ppm)));
    }
  }

  private String whole() {
    return String.format(
        Locale.ROOT,
        "The %.3f s before are whole in %s",
        frames / format.sampleRateHz(),
        plan.wav());
  }

  private void save(RunRecord.State state, String reason) throws RefusedException {
    RunFile.write(recordFile, record(state, reason));
  }

  private RunRecord record(RunRecord.State state, String reason) {
    List<RunRecord.Event> sorted;
    synchronized (events) {
      sorted = new ArrayList<>(events);
    }
    sorted.sort(Comparator.comparingLong(RunRecord.Event::position));
    double ppm = stream.clockDeviationPpm();
    return new RunRecord(
        plan.wav().getFileName().toString(),
        line.name(),
        started,
        format,
        frames,
        state,
        reason,
        plan.conditions(),
        sorted,
        plan.notes(),
        gaps.spans(),
        overloads.spans(),
        overloads.samples(),
        Double.isNaN(ppm) ? null : Double.valueOf(ppm),
        plan.inputCheck());
  }
}
