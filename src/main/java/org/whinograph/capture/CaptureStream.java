package org.whinograph.capture;

import java.util.ArrayDeque;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.TimeUnit;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/**
 * Brings what a line delivers from its own thread to whoever fetches it, and tells what was lost.
 *
 * <p>The capture thread reads 10 ms at a time, notes when, and puts them into a queue of ten
 * seconds; it never waits for the disk, the screen or the analysis. If the queue is full it goes on
 * reading and counts what it throws away: a loss of known place and length. Losses before our read
 * are found by {@link LossDetector}; samples in doubt are held back until it has decided, in the
 * worst case for four seconds.
 *
 * <p>{@link #start}, {@link #next} and {@link #close} belong to one thread; {@link #stop} and
 * {@link #positionAt} to any.
 */
final class CaptureStream implements AutoCloseable {
  private static final double READ_S = 0.010;
  private static final int CHUNKS = 1000;
  private static final int MOST_HELD = 400;
  private static final long PATIENCE_AT_START_NANOS = 5_000_000_000L;
  private static final long PATIENCE_NANOS = 2_000_000_000L;

  /** A line that is dead returns at once with nothing; a moment of that is forgiven. */
  private static final long EMPTY_READS_NANOS = 300_000_000L;

  private static final long EMPTY_PAUSE_NANOS = 5_000_000L;
  private static final long POLL_MILLIS = 50;
  private static final int EMPTY_POLLS = 10;

  private final CaptureLine line;
  private final CaptureClock clock;
  private final int frameBytes;
  private final BlockingQueue<CaptureChunk> free = new ArrayBlockingQueue<>(CHUNKS);
  private final BlockingQueue<CaptureChunk> filled = new ArrayBlockingQueue<>(CHUNKS);
  private final byte[] spill;
  private final Thread thread;

  private volatile boolean stopping;
  private volatile boolean finished;
  private volatile String failure;
  private long dropped;

  private final LossDetector detector;
  private final ArrayDeque<CaptureChunk> held = new ArrayDeque<>();
  private final Piece piece = new Piece();
  private CaptureChunk given;
  private int givenOffset;
  private int deliverable;
  private long position;
  private long lossAt = Long.MAX_VALUE;
  private long lossLength;
  private long lastArrivalNanos;
  private boolean anyArrived;
  private int emptyPolls;
  private boolean tailTold;

  /** What comes next: bytes, or a gap. Valid until the next call. */
  static final class Piece {
    private byte[] bytes;
    private int offset;
    private int length;
    private long gap;

    /** Bytes of whole frames, from {@link #offset}. */
    byte[] bytes() {
      return bytes;
    }

    int offset() {
      return offset;
    }

    /** How many bytes; 0 for a gap. */
    int length() {
      return length;
    }

    /** Frames that were lost here; 0 for bytes. */
    long gap() {
      return gap;
    }
  }

  CaptureStream(CaptureLine line, CaptureClock clock) {
    this.line = line;
    this.clock = clock;
    SampleFormat format = line.format();
    this.frameBytes = format.channels() * format.bitDepth() / 8;
    int chunkBytes = (int) Math.ceil(format.sampleRateHz() * READ_S) * frameBytes;
    for (int i = 0; i < CHUNKS; i++) {
      free.add(new CaptureChunk(chunkBytes));
    }
    this.spill = new byte[chunkBytes];
    this.detector = new LossDetector(format.sampleRateHz());
    this.thread = new Thread(this::capture, "capture");
    this.thread.setDaemon(true);
  }

  void start() throws RefusedException {
    line.start();
    lastArrivalNanos = clock.nanoTime();
    thread.start();
  }

  /** Ends capture; what was captured can still be fetched. */
  void stop() {
    stopping = true;
    line.close();
  }

  /** Why capture ended, if nobody stopped it: a sentence without the input's name, or null. */
  String failure() {
    return failure;
  }

  /** How many reads wait to be fetched. */
  int backlog() {
    return filled.size();
  }

  /** Where a moment lies in the recording [frames]. */
  synchronized long positionAt(long nanos) {
    return detector.positionAt(nanos);
  }

  /** How much faster the sound's clock runs [ppm], NaN if unknown. */
  synchronized double clockDeviationPpm() {
    return detector.clockDeviationPpm();
  }

  /** The next bytes or gap, or null at the end. */
  Piece next() {
    while (true) {
      if (deliver()) {
        return piece;
      }
      CaptureChunk chunk = poll();
      if (chunk != null) {
        take(chunk);
      } else if (finished && filled.isEmpty()) {
        deliverable = held.size();
        if (held.isEmpty() && given == null) {
          return tail();
        }
      } else {
        giveUpIfSilent();
      }
    }
  }

  @Override
  public void close() {
    stop();
    try {
      thread.join(TimeUnit.SECONDS.toMillis(2));
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private CaptureChunk poll() {
    try {
      return filled.poll(POLL_MILLIS, TimeUnit.MILLISECONDS);
    } catch (InterruptedException e) {
      // Whoever interrupts wants an end: the samples so far are still fetched.
      stop();
      return null;
    }
  }

  private void take(CaptureChunk chunk) {
    anyArrived = true;
    emptyPolls = 0;
    lastArrivalNanos = chunk.endNanos;
    held.add(chunk);
    long frames = framesOf(chunk.length) + chunk.dropped;
    synchronized (this) {
      if (detector.onTime(frames, chunk.startNanos, chunk.endNanos)) {
        deliverable = held.size();
        return;
      }
      long lost = detector.lost();
      if (lost > 0) {
        lossAt = Math.max(position, Math.min(detector.lossPosition(lost), heldEnd()));
        lossLength = lost;
        detector.accept(lost);
        deliverable = held.size();
      } else if (held.size() > MOST_HELD) {
        deliverable = held.size() - MOST_HELD;
      }
    }
  }

  private long framesOf(int bytes) {
    return bytes / frameBytes;
  }

  private long heldEnd() {
    long end = position;
    for (CaptureChunk chunk : held) {
      end += framesOf(chunk.length) + chunk.dropped;
    }
    return end;
  }

  /** Sets the piece to what may go out next. */
  private boolean deliver() {
    if (lossLength > 0 && position >= lossAt) {
      return gap(takeLoss());
    }
    if (given == null) {
      if (deliverable == 0) {
        return false;
      }
      given = held.poll();
      deliverable--;
      givenOffset = 0;
    }
    if (given.dropped > 0) {
      long lost = given.dropped;
      given.dropped = 0;
      return gap(lost);
    }
    if (givenOffset == given.length) {
      free.add(given);
      given = null;
      givenOffset = 0;
      return deliver();
    }
    long frames = framesOf(given.length - givenOffset);
    if (lossLength > 0) {
      frames = Math.min(frames, lossAt - position);
    }
    piece.bytes = given.bytes;
    piece.offset = givenOffset;
    piece.length = (int) frames * frameBytes;
    piece.gap = 0;
    givenOffset += piece.length;
    position += frames;
    return true;
  }

  private long takeLoss() {
    long lost = lossLength;
    lossLength = 0;
    lossAt = Long.MAX_VALUE;
    return lost;
  }

  private boolean gap(long frames) {
    piece.bytes = spill;
    piece.offset = 0;
    piece.length = 0;
    piece.gap = frames;
    position += frames;
    return true;
  }

  /** What was thrown away behind the last chunk. */
  private Piece tail() {
    if (tailTold || dropped == 0) {
      return null;
    }
    tailTold = true;
    gap(dropped);
    return piece;
  }

  /**
   * A program that was stopped for a while, or a thread that got no turn, finds the clock far ahead
   * with samples on their way: so silence counts only once it was met several times in a row, with
   * nothing in the queue by the time that was looked at.
   */
  private void giveUpIfSilent() {
    long now = clock.nanoTime();
    if (!filled.isEmpty()) {
      return;
    }
    emptyPolls++;
    long patience = anyArrived ? PATIENCE_NANOS : PATIENCE_AT_START_NANOS;
    if (!finished && emptyPolls >= EMPTY_POLLS && now - lastArrivalNanos > patience) {
      failure =
          anyArrived
              ? "stopped delivering samples"
              : "delivers no samples though it opens; check that it isn't in use or blocked by the"
                  + " system's privacy settings";
      stop();
      finished = true;
    }
  }

  private void capture() {
    long emptySince = 0;
    boolean empty = false;
    try {
      while (!stopping) {
        CaptureChunk chunk = free.poll();
        byte[] target = chunk == null ? spill : chunk.bytes;
        long startNanos = clock.nanoTime();
        int length = line.read(target, target.length);
        long endNanos = clock.nanoTime();
        if (length <= 0) {
          if (chunk != null) {
            free.add(chunk);
          }
          if (!empty) {
            empty = true;
            emptySince = startNanos;
          } else if (endNanos - emptySince > EMPTY_READS_NANOS && !stopping) {
            failure = "is gone: unplugged, or the sound server has stopped";
            break;
          }
          clock.pause(EMPTY_PAUSE_NANOS);
          continue;
        }
        empty = false;
        if (chunk == null) {
          dropped += length / frameBytes;
          continue;
        }
        chunk.length = length;
        chunk.startNanos = startNanos;
        chunk.endNanos = endNanos;
        chunk.dropped = dropped;
        dropped = 0;
        filled.add(chunk);
      }
    } catch (RuntimeException e) {
      failure = "failed (" + e + ")";
    } finally {
      finished = true;
    }
  }
}
