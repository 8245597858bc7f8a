package org.whinograph.cli;

/** One line on standard error that is written over, if a person watches. */
final class StatusLine {
  private final Terminal terminal;
  private final boolean drawn;
  private String shown = "";

  StatusLine(Terminal terminal, boolean quiet) {
    this.terminal = terminal;
    this.drawn = terminal.interactive() && !quiet;
  }

  /** Shows a text in place of the one before. */
  void show(String text) {
    if (drawn && !text.equals(shown)) {
      terminal.err().print("\r" + text + " ".repeat(Math.max(0, shown.length() - text.length())));
      terminal.err().flush();
      shown = text;
    }
  }

  /** Leaves the line empty, for a message. */
  void clear() {
    if (!shown.isEmpty()) {
      show("");
      terminal.err().print("\r");
      terminal.err().flush();
    }
  }
}
