package org.whinograph.measurement;

import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;

/**
 * Feeds the same samples to several sinks on two threads, while the caller already reads the next
 * block.
 *
 * <p>Each sink sees every block in order and is never entered twice at once, so results are those
 * of one thread to the last bit. Two buffers are all the memory it needs: one that the sinks read
 * and one that the caller fills.
 */
final class FanOut implements SampleSink, AutoCloseable {
  /**
   * Samples that are read at a time. Long enough that a hand-over costs nothing beside the work,
   * short enough to stay in the cache.
   */
  static final int BLOCK = 1 << 15;

  private static final int THREADS = 2;

  private final List<SampleSink> sinks;
  private final double[][] buffers = new double[2][BLOCK];
  private final List<Future<?>> running = new ArrayList<>();
  private final ExecutorService pool;
  private int next;

  /**
   * Starts the threads.
   *
   * @param sinks the sinks, the most costly first: the threads take them in this order
   */
  FanOut(List<? extends SampleSink> sinks) {
    this.sinks = List.copyOf(sinks);
    this.pool =
        Executors.newFixedThreadPool(
            THREADS,
            task -> {
              Thread thread = new Thread(task, "measure");
              thread.setDaemon(true);
              return thread;
            });
  }

  /**
   * Hands a block over. Returns as soon as the sinks are done with the one before; the block's
   * array may be used again at once.
   *
   * @param block the next samples
   */
  @Override
  public void accept(SampleBlock block) {
    if (buffers[next].length < block.length()) {
      buffers[next] = new double[block.length()];
    }
    double[] buffer = buffers[next];
    next = 1 - next;
    System.arraycopy(block.samples(), 0, buffer, 0, block.length());
    SampleBlock copy = block.withSamples(buffer);
    await();
    for (SampleSink sink : sinks) {
      running.add(pool.submit(() -> sink.accept(copy)));
    }
  }

  /** Waits until every sink has taken every block; only then are results read. */
  void await() {
    for (Future<?> task : running) {
      try {
        task.get();
      } catch (ExecutionException e) {
        throw new IllegalStateException("a stage of the measurement failed", e.getCause());
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw new IllegalStateException("the measurement was interrupted", e);
      }
    }
    running.clear();
  }

  @Override
  public void close() {
    pool.shutdownNow();
  }
}
