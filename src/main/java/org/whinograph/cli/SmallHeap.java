package org.whinograph.cli;

import org.whinograph.measurement.ProgressListener;

/**
 * Keeps the memory of a long analysis small. The Java machine begins with a 64th of the computer's
 * memory and fills it before it looks for garbage, and lets its share grow as long as collections
 * take little time. A collection of all of it while little is there makes the heap small again: at
 * the start, after each five minutes of sound, and before the results are written.
 *
 * <p>For use by one thread.
 */
final class SmallHeap implements ProgressListener {
  private static final double EVERY_S = 300.0;

  private final ProgressListener listener;
  private double last;

  /**
   * Begins.
   *
   * @param listener who is told of the progress
   */
  SmallHeap(ProgressListener listener) {
    this.listener = listener;
    shrink();
  }

  @Override
  public void advanced(double seconds, double totalSeconds) {
    if (seconds - last >= EVERY_S) {
      last = seconds;
      shrink();
    }
    listener.advanced(seconds, totalSeconds);
  }

  /** Collects all garbage. */
  void shrink() {
    System.gc();
  }
}
