package org.whinograph.capture;

import java.time.Instant;
import java.util.ArrayDeque;
import java.util.SplittableRandom;
import java.util.concurrent.locks.LockSupport;
import java.util.function.IntSupplier;
import org.whinograph.signal.SampleFormat;

/**
 * An input with a clock of its own that nobody has to wait for: it delivers in bursts, its reader
 * is late at random, its buffer overflows if the reader stalls, and its crystal may be off. Samples
 * count: the one that was taken at frame n of true time has the code n modulo 2^(bits − 2), so a
 * recording shows what is missing.
 */
final class SimulatedInput implements CaptureLine, CaptureClock {
  private static final Instant START = Instant.parse("2026-03-01T10:00:00Z");

  private record Stretch(long first, long count) {}

  private final SampleFormat format;
  private final int frameBytes;
  private final SplittableRandom random = new SplittableRandom(11);
  private final ArrayDeque<Stretch> buffer = new ArrayDeque<>();
  private long buffered;
  private long produced;
  private long now;
  private long lost;
  private volatile boolean closed;

  // How it behaves; set before it starts.
  long burstFrames;
  long bufferFrames;
  double clockPpm;
  double jitterS = 0.002;
  long endFrame = Long.MAX_VALUE;

  /** The reader stalls for this long when it has reached this frame. */
  long stallAtFrame = Long.MAX_VALUE;

  double stallS;

  /** Frames that vanish before they reach the buffer, from this one on. */
  long vanishAtFrame = Long.MAX_VALUE;

  long vanishFrames;

  /** A code for every sample instead of the count. */
  java.util.function.LongUnaryOperator code;

  /** Waits, in real time, while the consumer lags behind by more reads than this allows. */
  IntSupplier backlog = () -> 0;

  SimulatedInput(SampleFormat format) {
    this.format = format;
    this.frameBytes = format.channels() * format.bitDepth() / 8;
    this.burstFrames = Math.round(format.sampleRateHz() * 0.06);
    this.bufferFrames = Math.round(format.sampleRateHz() * 0.2);
    long mask = (1L << (format.bitDepth() - 2)) - 1;
    this.code = frame -> frame & mask;
  }

  /** Frames that it lost so far. */
  synchronized long lost() {
    return lost;
  }

  @Override
  public String name() {
    return "simulated input";
  }

  @Override
  public SampleFormat format() {
    return format;
  }

  @Override
  public void start() {}

  @Override
  public synchronized long nanoTime() {
    return now;
  }

  @Override
  public synchronized Instant instant() {
    return START.plusNanos(now);
  }

  @Override
  public synchronized void pause(long nanos) {
    now += nanos;
  }

  @Override
  public int read(byte[] target, int length) {
    while (backlog.getAsInt() > 300 && !closed) {
      LockSupport.parkNanos(50_000);
    }
    synchronized (this) {
      long wanted = length / frameBytes;
      if (produced >= stallAtFrame) {
        stallAtFrame = Long.MAX_VALUE;
        now += Math.round(stallS * 1e9);
      }
      produce();
      while (buffered < wanted && !closed && produced < endFrame) {
        now += 1_000_000;
        produce();
      }
      long count = closed ? 0 : Math.min(wanted, buffered);
      take(target, count);
      now += Math.round(random.nextDouble() * jitterS * 1e9);
      return (int) count * frameBytes;
    }
  }

  private void produce() {
    double frames = now / 1e9 * format.sampleRateHz() * (1 + clockPpm * 1e-6);
    long until = Math.min(endFrame, ((long) (frames / burstFrames)) * burstFrames);
    if (vanishFrames > 0 && until > vanishAtFrame) {
      add(vanishAtFrame);
      produced = vanishAtFrame + vanishFrames;
      lost += vanishFrames;
      vanishFrames = 0;
    }
    add(until);
  }

  /** A buffer that is full keeps what it has. */
  private void add(long until) {
    long count = until - produced;
    if (count <= 0) {
      return;
    }
    long kept = Math.min(count, bufferFrames + burstFrames - buffered);
    if (kept > 0) {
      buffer.add(new Stretch(produced, kept));
    }
    buffered += kept;
    lost += count - kept;
    produced = until;
  }

  private void take(byte[] target, long count) {
    int bytesEach = format.bitDepth() / 8;
    int p = 0;
    long left = count;
    while (left > 0) {
      Stretch stretch = buffer.poll();
      long now = Math.min(left, stretch.count());
      for (long frame = stretch.first(); frame < stretch.first() + now; frame++) {
        long value = code.applyAsLong(frame);
        for (int channel = 0; channel < format.channels(); channel++) {
          for (int b = 0; b < bytesEach; b++) {
            target[p++] = (byte) (value >> (8 * b));
          }
        }
      }
      if (now < stretch.count()) {
        buffer.addFirst(new Stretch(stretch.first() + now, stretch.count() - now));
      }
      left -= now;
    }
    buffered -= count;
  }

  @Override
  public void close() {
    closed = true;
  }
}
