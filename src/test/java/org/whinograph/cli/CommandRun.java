package org.whinograph.cli;

import java.io.PrintWriter;
import java.io.StringWriter;

/** One command as a person would type it, and what it printed. */
record CommandRun(int exitCode, String out, String err) {
  static CommandRun of(Object... args) {
    StringWriter out = new StringWriter();
    StringWriter err = new StringWriter();
    String[] words = new String[args.length];
    for (int i = 0; i < args.length; i++) {
      words[i] = args[i].toString();
    }
    int code =
        CommandLines.run(
            new Terminal(new PrintWriter(out), new PrintWriter(err), false, true), words);
    return new CommandRun(code, out.toString(), err.toString());
  }
}
