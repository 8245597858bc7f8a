package org.whinograph.cli;

import java.time.Clock;
import java.time.Instant;
import java.util.concurrent.locks.LockSupport;
import org.whinograph.capture.CaptureClock;

/** The computer's clocks. */
final class SystemClock implements CaptureClock {
  private final Clock wall = Clock.systemUTC();

  @Override
  public long nanoTime() {
    return System.nanoTime();
  }

  @Override
  public Instant instant() {
    return wall.instant();
  }

  @Override
  public void pause(long nanos) {
    LockSupport.parkNanos(nanos);
  }
}
