package org.whinograph.capture;

import java.util.List;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.TimeUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;

/** Carries blocks to a listener on its own thread, by copy, without ever waiting for it. */
final class LiveFigures implements AutoCloseable {
  private static final int BLOCKS = 1000;
  private static final int LONGEST = 4096;
  private static final long POLL_MILLIS = 20;

  private static final class Parcel {
    private double[] samples = new double[0];
    private SampleBlock block;
    private RecordingStatus status;
    private Warning warning;
  }

  private final RecordingListener listener;
  private final BlockingQueue<Parcel> free = new ArrayBlockingQueue<>(BLOCKS);
  private final BlockingQueue<Parcel> filled = new ArrayBlockingQueue<>(BLOCKS);
  private final Thread thread;
  private volatile boolean finished;
  private volatile RuntimeException failure;
  private volatile SampleBlock newest;
  private volatile RecordingStatus newestStatus;
  private long position;

  LiveFigures(RecordingListener listener) {
    this.listener = listener;
    for (int i = 0; i < BLOCKS; i++) {
      free.add(new Parcel());
    }
    this.thread = new Thread(this::run, "live figures");
    this.thread.setDaemon(true);
    this.thread.start();
  }

  void samples(SampleBlock block, RecordingStatus status) {
    newest = block;
    newestStatus = status;
    Parcel parcel = free.poll();
    if (parcel == null) {
      return;
    }
    if (parcel.samples.length < block.length()) {
      parcel.samples = new double[block.length()];
    }
    System.arraycopy(block.samples(), 0, parcel.samples, 0, block.length());
    parcel.block = block.withSamples(parcel.samples);
    parcel.status = status;
    parcel.warning = null;
    filled.add(parcel);
  }

  void warning(Warning warning) {
    Parcel parcel = free.poll();
    if (parcel != null) {
      parcel.block = null;
      parcel.warning = warning;
      filled.add(parcel);
    }
  }

  /** How many blocks wait. */
  int backlog() {
    return filled.size();
  }

  /** Waits until the listener has seen all. */
  @Override
  public void close() {
    finished = true;
    try {
      thread.join(TimeUnit.SECONDS.toMillis(20));
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  /** What the listener threw, or null; the recording went on. */
  RuntimeException failure() {
    return failure;
  }

  private void run() {
    try {
      while (!finished || !filled.isEmpty()) {
        Parcel parcel = filled.poll(POLL_MILLIS, TimeUnit.MILLISECONDS);
        if (parcel != null) {
          pass(parcel);
          parcel.block = null;
          free.add(parcel);
        }
      }
      SampleBlock last = newest;
      if (last != null) {
        passMissed(last.position() + last.length(), last.sampleRateHz(), newestStatus);
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    } catch (RuntimeException e) {
      failure = e;
    }
  }

  private void pass(Parcel parcel) {
    if (parcel.warning != null) {
      listener.warning(parcel.warning);
      return;
    }
    SampleBlock block = parcel.block;
    passMissed(block.position(), block.sampleRateHz(), parcel.status);
    listener.samples(block, parcel.status);
    position += block.length();
  }

  private void passMissed(long until, double sampleRateHz, RecordingStatus status) {
    while (position < until) {
      int missed = (int) Math.min(LONGEST, until - position);
      listener.samples(
          new SampleBlock(
              new double[missed],
              missed,
              sampleRateHz,
              position,
              List.of(),
              List.of(new Span(position, missed))),
          status);
      position += missed;
    }
  }
}
