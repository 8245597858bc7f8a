package org.whinograph.cli;

import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import org.whinograph.capture.Input;
import org.whinograph.capture.Inputs;
import org.whinograph.capture.JavaSoundSystem;
import org.whinograph.signal.RefusedException;
import picocli.CommandLine;

/** Lists audio inputs with what each really delivers. */
@CommandLine.Command(
    name = "inputs",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Lists the audio inputs with the formats that each really opens and delivers. They are"
            + " tried, which takes up to half a minute each.",
    footer = {
      "",
      "Give a name, or a part of it that fits no other, to --input of record, calibrate and"
          + " verify-input.",
      "",
      "Example:",
      "  whinograph inputs"
    })
final class InputsCommand extends Command {
  InputsCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    if (terminal().interactive() && !common().quiet()) {
      note("trying what each input delivers, up to half a minute each");
      terminal().err().flush();
    }
    for (Input input : new Inputs(new JavaSoundSystem(), new SystemClock()).list()) {
      terminal().out().println(input.name());
      if (!input.formats().isEmpty()) {
        line("rates", join(input.rates().stream().map(InputsCommand::hertz).toList()) + " Hz");
        line("bits", join(input.bitDepths()) + " (packed; the first is preferred)");
        line("channels", join(input.channels()));
      }
      line("resampling", input.resampling());
      line(
          "volume", "the system's input volume changes levels unseen: set it once, never touch it");
      if (input.problem() != null) {
        line("problem", input.problem());
      }
    }
    return CommandLine.ExitCode.OK;
  }

  private void line(String what, String text) {
    terminal().out().println(String.format(Locale.ROOT, "  %-11s %s", what, text));
  }

  private static String hertz(double rate) {
    return String.format(Locale.ROOT, "%.0f", rate);
  }

  private static String join(List<?> values) {
    return values.stream().map(String::valueOf).collect(Collectors.joining(", "));
  }
}
