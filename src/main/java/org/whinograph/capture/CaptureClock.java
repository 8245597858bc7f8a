package org.whinograph.capture;

import java.time.Instant;

/** Time, handed in so that tests run at full speed. */
public interface CaptureClock {
  /**
   * A steady clock.
   *
   * @return time since some fixed moment [ns]
   */
  long nanoTime();

  /**
   * The wall clock.
   *
   * @return now
   */
  Instant instant();

  /**
   * Waits.
   *
   * @param nanos how long [ns]
   */
  void pause(long nanos);
}
