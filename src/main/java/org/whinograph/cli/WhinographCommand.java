package org.whinograph.cli;

import java.util.concurrent.Callable;
import picocli.CommandLine;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Spec;

/** The program without a command: shows what there is. */
@CommandLine.Command(
    name = "whinograph",
    versionProvider = VersionProvider.class,
    description =
        "Measures the whine of small fans from recordings: levels, one-third octaves, discrete"
            + " tones and how prominent they are.",
    footer = {
      "",
      "A first run, from the calibrator to the numbers:",
      "  whinograph calibrate --from calibrator.wav --level 94 --out microphone.json",
      "  whinograph analyse device.wav --calibration microphone.json --out results",
      "",
      "Exit code: 0 done; 1 the input or the measurement was refused; 2 the command",
      "line was wrong."
    },
    subcommands = {
      CalibrateCommand.class,
      VerifyInputCommand.class,
      AnalyseCommand.class,
      CompareCommand.class,
      RehearseCommand.class,
      InputsCommand.class,
      RecordCommand.class,
      PlayCommand.class,
      CompletionCommand.class
    })
final class WhinographCommand implements Callable<Integer> {
  @Spec private CommandSpec spec;

  @Mixin private CommonOptions common;

  @Override
  public Integer call() {
    spec.commandLine().usage(spec.commandLine().getOut());
    return CommandLine.ExitCode.OK;
  }

  CommonOptions common() {
    return common;
  }
}
