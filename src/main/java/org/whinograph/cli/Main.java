package org.whinograph.cli;

import java.io.PrintWriter;

/** Starts the program. */
public final class Main {
  private Main() {}

  /**
   * Runs one command and ends the process with its exit code: 0 done, 1 refused, 2 wrong command
   * line.
   *
   * @param args the command line
   */
  public static void main(String[] args) {
    // Charts are drawn in memory; a DISPLAY that doesn't answer must not stop them.
    System.setProperty("java.awt.headless", "true");
    Terminal terminal =
        Terminal.ofProcess(
            new PrintWriter(System.out, true, Terminal.charset()),
            new PrintWriter(System.err, true, Terminal.charset()));
    System.exit(CommandLines.run(terminal, args));
  }
}
