package org.whinograph.cli;

import java.nio.file.Path;
import java.util.Locale;
import org.whinograph.audiofile.WavSource;
import org.whinograph.capture.Monitor;
import org.whinograph.signal.RefusedException;
import picocli.CommandLine;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Plays a recording to the ear. */
@CommandLine.Command(
    name = "play",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Plays a recording, or one band of it around a tone, at a chosen gain. For the ear only;"
            + " nothing is measured.",
    footer = {"", "Example:", "  whinograph play device.wav --tone 4180 --gain 10"})
final class PlayCommand extends Command {
  @Spec private CommandSpec spec;

  @Parameters(paramLabel = "FILE", description = "The recording.")
  private Path file;

  @Option(
      names = "--channel",
      paramLabel = "N",
      defaultValue = "1",
      description = "Channel of the recording, from 1 (default: ${DEFAULT-VALUE}).")
  private int channel;

  @Mixin private ListenOptions listening;

  PlayCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    if (channel < 1) {
      throw new CommandLine.ParameterException(
          spec.commandLine(), "--channel: at least 1, got " + channel);
    }
    try (WavSource source = WavSource.open(file, channel);
        Monitor monitor = listening.open(spec.commandLine(), source.format().sampleRateHz())) {
      source.warnings().forEach(warning -> note(warning.message()));
      note(ListenOptions.CAUTION);
      if (source.frames().isPresent()) {
        note(
            String.format(
                Locale.ROOT,
                "playing %.1f s of %s; Ctrl-C ends it",
                source.frames().getAsLong() / source.format().sampleRateHz(),
                file));
      }
      terminal().err().flush();
      monitor.play(source);
    }
    return CommandLine.ExitCode.OK;
  }
}
