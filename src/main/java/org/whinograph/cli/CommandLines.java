package org.whinograph.cli;

import java.io.PrintWriter;
import java.nio.file.NoSuchFileException;
import org.whinograph.signal.RefusedException;
import picocli.CommandLine;
import picocli.CommandLine.IExecutionExceptionHandler;
import picocli.CommandLine.IParameterExceptionHandler;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.ParseResult;
import picocli.CommandLine.UnmatchedArgumentException;

/**
 * Parses a command line and runs it. One place turns every failure into one line and an exit code:
 * 1 if the input or the measurement was refused, 2 if the command line was wrong.
 */
final class CommandLines {
  private CommandLines() {}

  /** Runs one command line. */
  static int run(Terminal terminal, String... args) {
    CommandLine commandLine = create(terminal);
    int code = commandLine.execute(args);
    terminal.out().flush();
    terminal.err().flush();
    return code;
  }

  /** All commands, with the house's way of saying what went wrong. */
  static CommandLine create(Terminal terminal) {
    CommandLine commandLine =
        new CommandLine(new WhinographCommand(), new CommandFactory(terminal))
            .setOut(terminal.out())
            .setErr(terminal.err())
            .setCaseInsensitiveEnumValuesAllowed(true)
            .setUsageHelpAutoWidth(true)
            .setParameterExceptionHandler(new WrongCommandLine())
            .setExecutionExceptionHandler(new OneLine());
    return commandLine;
  }

  private static final class OneLine implements IExecutionExceptionHandler {
    @Override
    public int handleExecutionException(
        Exception failure, CommandLine commandLine, ParseResult parsed) {
      PrintWriter err = commandLine.getErr();
      err.println("whinograph: " + sentence(failure));
      if (debug(commandLine)) {
        // Asked for by --debug, and the only place where a stack trace is ever shown.
        failure.printStackTrace(err);
      }
      return CommandLine.ExitCode.SOFTWARE;
    }

    private static String sentence(Exception failure) {
      if (failure instanceof RefusedException) {
        return failure.getMessage().replace('\n', ' ');
      }
      if (failure instanceof NoSuchFileException missing) {
        return missing.getFile() + " doesn't exist; check the path.";
      }
      return "this is a fault of the program ("
          + failure
          + "); run it again with --debug and report what it prints.";
    }

    private static boolean debug(CommandLine commandLine) {
      return commandLine.getCommand() instanceof Command command && command.common().debug();
    }
  }

  private static final class WrongCommandLine implements IParameterExceptionHandler {
    @Override
    public int handleParseException(ParameterException failure, String[] args) {
      CommandLine commandLine = failure.getCommandLine();
      CommandSpec spec = commandLine.getCommandSpec();
      PrintWriter err = commandLine.getErr();
      err.println("whinograph: " + sentence(failure));
      if (!UnmatchedArgumentException.printSuggestions(failure, err)) {
        err.println("See: whinograph " + relativeName(spec) + "--help");
      }
      return CommandLine.ExitCode.USAGE;
    }

    /** The parser's message in words that need no knowledge of programs. */
    private static String sentence(ParameterException failure) {
      if (failure instanceof UnmatchedArgumentException unmatched
          && !unmatched.getUnmatched().isEmpty()
          && failure.getCommandLine().getCommandSpec().parent() == null) {
        return "there is no command '" + unmatched.getUnmatched().get(0) + "'";
      }
      return failure
          .getMessage()
          .replace("is not an int", "is not a whole number")
          .replace("is not a long", "is not a whole number")
          .replace("is not a double", "is not a number")
          .replaceAll(
              "positional parameter at index \\S+ \\((\\w+)\\) requires at least (\\d+) values, but"
                  + " (?:only )?(\\w+) were specified.*",
              "at least $2 of $1 are needed, got $3");
    }

    private static String relativeName(CommandSpec spec) {
      return spec.parent() == null ? "" : spec.name() + " ";
    }
  }
}
