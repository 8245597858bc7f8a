package org.whinograph.cli;

import picocli.CommandLine.Option;

/** Options that every command takes. */
final class CommonOptions {
  @Option(names = "--quiet", description = "Print no summary and no progress; messages still come.")
  private boolean quiet;

  @Option(names = "--debug", description = "On a failure, print where in the program it happened.")
  private boolean debug;

  @Option(
      names = {"-h", "--help"},
      usageHelp = true,
      description = "Show this help.")
  private boolean help;

  @Option(
      names = {"-V", "--version"},
      versionHelp = true,
      description = "Show the version.")
  private boolean version;

  boolean quiet() {
    return quiet;
  }

  boolean debug() {
    return debug;
  }

  /** Whether help or the version was asked for, which picocli prints by itself. */
  boolean asksForInformation() {
    return help || version;
  }
}
