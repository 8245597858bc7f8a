package org.whinograph.cli;

import java.util.concurrent.TimeUnit;
import me.tongfei.progressbar.ConsoleProgressBarConsumer;
import me.tongfei.progressbar.ProgressBar;
import me.tongfei.progressbar.ProgressBarBuilder;
import me.tongfei.progressbar.ProgressBarStyle;
import org.whinograph.measurement.ProgressListener;

/**
 * A progress bar on standard error, for work that lasts over a second and a person who watches. It
 * counts the seconds of sound that are read; what needs two passes is counted twice.
 */
final class Progress implements ProgressListener, AutoCloseable {
  private static final long PATIENCE_NANOS = TimeUnit.SECONDS.toNanos(1);

  private final String task;
  private final boolean drawn;
  private final Terminal terminal;
  private final long startNanos = System.nanoTime();
  private ProgressBar bar;

  Progress(Terminal terminal, boolean quiet, String task) {
    this.terminal = terminal;
    this.drawn = terminal.interactive() && !quiet;
    this.task = task;
  }

  @Override
  public void advanced(double seconds, double totalSeconds) {
    if (!drawn) {
      return;
    }
    if (bar == null && System.nanoTime() - startNanos > PATIENCE_NANOS) {
      bar =
          new ProgressBarBuilder()
              .setTaskName(task)
              .setInitialMax(Double.isFinite(totalSeconds) ? Math.round(totalSeconds) : -1)
              .setUnit(" s read", 1)
              .setStyle(
                  terminal.unicode() ? ProgressBarStyle.UNICODE_BLOCK : ProgressBarStyle.ASCII)
              .setConsumer(new ConsoleProgressBarConsumer(System.err))
              .clearDisplayOnFinish()
              .build();
    }
    if (bar != null) {
      bar.stepTo(Math.round(seconds));
    }
  }

  @Override
  public void close() {
    if (bar != null) {
      bar.close();
    }
  }
}
