package org.whinograph.cli;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.whinograph.audiofile.WavSource;
import org.whinograph.calibration.InputCheck;
import org.whinograph.calibration.InputCheckResult;
import org.whinograph.calibration.InputFinding;
import org.whinograph.calibration.InputStage;
import org.whinograph.capture.CaptureLine;
import org.whinograph.capture.Inputs;
import org.whinograph.capture.JavaSoundSystem;
import org.whinograph.capture.LiveSource;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;
import picocli.CommandLine;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** Tests whether the computer alters the sound on its way from the microphone. */
@CommandLine.Command(
    name = "verify-input",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Tests whether the computer alters the sound: automatic gain, noise suppression, cut bands,"
            + " poor changes of rate and more.",
    footer = {
      "",
      "It wants a calibrator on, off, on again without being moved, and off, 5 s each; a live input"
          + " is guided through it, a recording is searched for it. Exit code 0 if the input can be"
          + " trusted, 1 if it can't or if that can't be told.",
      "",
      "Examples:",
      "  whinograph verify-input --input usb",
      "  whinograph verify-input --from on-off-on-off.wav"
    })
final class VerifyInputCommand extends Command {
  private static final int BLOCK = 2048;

  /** A live check that isn't through its stages after this has been left alone [s]. */
  private static final double LONGEST_S = 300;

  /** Channels beyond these aren't compared. */
  private static final int MOST_CHANNELS = 8;

  @Spec private CommandSpec spec;

  @ArgGroup(multiplicity = "1")
  private Where where;

  /** A file or a live input. */
  private static final class Where {
    @Option(
        names = "--from",
        required = true,
        paramLabel = "FILE",
        description = "Recording of a calibrator on, off, on and off.")
    private Path from;

    @Option(
        names = "--input",
        required = true,
        paramLabel = "NAME",
        description = "Live input, or a part of its name that fits no other; see inputs.")
    private String input;
  }

  @Option(
      names = "--frequency",
      paramLabel = "HZ",
      defaultValue = "1000",
      description = "Nominal frequency of the calibrator (default: ${DEFAULT-VALUE}).")
  private double frequency;

  @Option(
      names = "--channel",
      paramLabel = "N",
      defaultValue = "1",
      description = "Channel with the microphone, from 1 (default: ${DEFAULT-VALUE}).")
  private int channel;

  @Option(
      names = "--rate",
      paramLabel = "HZ",
      defaultValue = "48000",
      description = "Sample rate of a live input (default: ${DEFAULT-VALUE}).")
  private int rate;

  VerifyInputCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    require(channel >= 1, "--channel: at least 1, got " + channel);
    require(rate >= 32_000 && rate <= 768_000, "--rate: 32000 to 768000, got " + rate);
    require(frequency >= 160 && frequency <= 1250, "--frequency: 160 to 1250, got " + frequency);
    InputCheckResult result = where.from != null ? fromFile() : fromInput();
    print(result);
    return switch (result.verdict()) {
      case TRUSTED -> CommandLine.ExitCode.OK;
      case NOT_TO_BE_TRUSTED, NOT_DECIDED -> CommandLine.ExitCode.SOFTWARE;
    };
  }

  private InputCheckResult fromFile() throws RefusedException {
    List<WavSource> sources = new ArrayList<>();
    try {
      sources.add(WavSource.open(where.from, channel));
      int channels = Math.min(MOST_CHANNELS, sources.get(0).format().channels());
      for (int other = 1; other <= channels; other++) {
        if (other != channel) {
          sources.add(WavSource.open(where.from, other));
        }
      }
      return InputCheck.check(List.<SampleSource>copyOf(sources), frequency);
    } finally {
      for (WavSource source : sources) {
        source.close();
      }
    }
  }

  private InputCheckResult fromInput() throws RefusedException {
    SystemClock clock = new SystemClock();
    Inputs inputs = new Inputs(new JavaSoundSystem(), clock);
    SampleFormat format = inputs.best(where.input, rate, channel);
    try (CaptureLine line = inputs.open(where.input, format);
        LiveSource source = new LiveSource(line, clock, channel)) {
      source.start();
      return guide(source);
    }
  }

  /** Asks for each stage until it has lasted, then judges; the guide itself needs no terminal. */
  InputCheckResult guide(SampleSource source) throws RefusedException {
    InputCheck check = new InputCheck(source.format(), frequency, source.name());
    double rateHz = source.format().sampleRateHz();
    InputCheck.Step asked = null;
    for (SampleBlock block = source.read(BLOCK); block != null; block = source.read(BLOCK)) {
      check.accept(block);
      if (check.step() != asked) {
        asked = check.step();
        terminal().err().println("whinograph: " + asked.request());
        terminal().err().flush();
      }
      if (asked == InputCheck.Step.DONE
          || (block.position() + block.length()) / rateHz > LONGEST_S) {
        break;
      }
    }
    return check.finish();
  }

  private void print(InputCheckResult result) {
    say(result.name() + ": " + result.verdict().label() + ".");
    say("  " + result.reason());
    for (InputStage stage : result.stages()) {
      say(
          String.format(
              Locale.ROOT,
              "  calibrator %-3s  %6.1f s to %6.1f s  %s",
              stage.on() ? "on" : "off",
              stage.fromS(),
              stage.toS(),
              stage.level().known()
                  ? String.format(Locale.ROOT, "%.2f dB re full scale", stage.level().value())
                  : stage.level().reason()));
    }
    for (InputFinding finding : result.findings()) {
      say(
          "  "
              + (finding.kind().alters() ? "alters the sound: " : "limits what can be measured: ")
              + finding.kind().code());
      say("    evidence  " + finding.evidence());
      if (finding.effect().known()) {
        say(String.format(Locale.ROOT, "    effect    %.1f dB", finding.effect().value()));
      }
      say("    Windows   " + finding.kind().advice().windows());
      say("    macOS     " + finding.kind().advice().macos());
      say("    Linux     " + finding.kind().advice().linux());
    }
    if (result.verdict() != InputCheckResult.Verdict.TRUSTED) {
      note(result.name() + ": " + result.verdict().label() + ". " + result.reason());
    }
  }

  private void require(boolean met, String message) {
    if (!met) {
      throw new ParameterException(spec.commandLine(), message);
    }
  }
}
