package org.whinograph.cli;

import picocli.AutoComplete;
import picocli.CommandLine;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Spec;

/** Prints a completion script for bash and zsh. */
@CommandLine.Command(
    name = "completion",
    versionProvider = VersionProvider.class,
    description = "Prints a completion script for bash and zsh.",
    footer = {
      "",
      "  alias whinograph='java -jar target/whinograph.jar'",
      "  source <(whinograph completion)"
    })
final class CompletionCommand extends Command {
  @Spec private CommandSpec spec;

  CompletionCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() {
    terminal().out().print(AutoComplete.bash("whinograph", spec.root().commandLine()));
    return CommandLine.ExitCode.OK;
  }
}
