package org.whinograph.cli;

import java.io.Console;
import java.io.PrintWriter;
import java.nio.charset.Charset;
import java.nio.charset.StandardCharsets;

/**
 * Where a command writes: results to {@code out}, messages and progress to {@code err}. Commands
 * get it handed in, so that tests read what a person would see.
 *
 * @param out standard output
 * @param err standard error
 * @param interactive whether a person watches: no progress bar is drawn into a pipe
 * @param unicode whether the terminal can show ±, ≤ and block characters
 */
record Terminal(PrintWriter out, PrintWriter err, boolean interactive, boolean unicode) {

  /** The terminal of this process. */
  static Terminal ofProcess(PrintWriter out, PrintWriter err) {
    return new Terminal(out, err, watched(), StandardCharsets.UTF_8.equals(charset()));
  }

  /** From Java 22 on there is a console even for a pipe, and a method that tells them apart. */
  @SuppressWarnings("SystemConsoleNull")
  private static boolean watched() {
    Console console = System.console();
    if (console == null) {
      return false;
    }
    try {
      return (Boolean) Console.class.getMethod("isTerminal").invoke(console);
    } catch (ReflectiveOperationException beforeJava22) {
      return true;
    }
  }

  /**
   * The encoding the terminal asks for. Java 17 knows it only by the locale's variables; under the
   * plain C locale everything but ASCII would turn into question marks.
   */
  static Charset charset() {
    for (String variable : new String[] {"LC_ALL", "LC_CTYPE", "LANG"}) {
      String value = System.getenv(variable);
      if (value != null && !value.isEmpty()) {
        String upper = value.toUpperCase(java.util.Locale.ROOT);
        return upper.contains("UTF-8") || upper.contains("UTF8")
            ? StandardCharsets.UTF_8
            : Charset.defaultCharset();
      }
    }
    return Charset.defaultCharset();
  }
}
