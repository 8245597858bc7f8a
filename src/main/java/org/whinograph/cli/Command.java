package org.whinograph.cli;

import java.util.concurrent.Callable;
import org.whinograph.report.chart.ChartFile;
import org.whinograph.signal.RefusedException;
import picocli.CommandLine.Mixin;

/** What all commands share: the common options and the terminal they write to. */
abstract class Command implements Callable<Integer> {
  @Mixin private CommonOptions common;

  private final Terminal terminal;

  Command(Terminal terminal) {
    this.terminal = terminal;
  }

  final CommonOptions common() {
    return common;
  }

  final Terminal terminal() {
    return terminal;
  }

  /** Prints a line of the result, unless {@code --quiet}. */
  final void say(String text) {
    if (!common.quiet()) {
      terminal.out().println(text);
    }
  }

  /**
   * Whether charts can be drawn here; says so if not. A bare server has no font, and tables are
   * worth having without charts.
   */
  final boolean chartsCanBeDrawn() {
    try {
      ChartFile.requireFonts();
      return true;
    } catch (RefusedException e) {
      note(e.getMessage() + " Tables are written all the same.");
      return false;
    }
  }

  /** Prints a message that even {@code --quiet} must not hide. */
  final void note(String text) {
    terminal.err().println("whinograph: " + text);
  }
}
