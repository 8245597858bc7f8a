package org.whinograph.cli;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.RunFile;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.audiofile.WavSource;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.InputCheck;
import org.whinograph.calibration.InputCheckReport;
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
import org.whinograph.storage.AtomicFile;
import picocli.CommandLine;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Mixin;
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
      "The verdict on a live input is kept: calibrate and record take it into what they write, and"
          + " analyse gives no sound pressure levels through an input that failed, unless you"
          + " insist. --calibration writes it into a calibration record that is there already.",
      "",
      "A running calibrator is loud enough to harm: never hold it against the ear.",
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

  @Option(
      names = "--calibration",
      paramLabel = "FILE",
      description =
          "Calibration record made through this input: the verdict is written into it, and analyse"
              + " and compare heed it. Nothing else in it changes.")
  private Path calibration;

  @Option(
      names = "--json",
      paramLabel = "FILE",
      description = "Write the result as JSON; - writes to standard output.")
  private Path json;

  @Option(names = "--force", description = "Replace the JSON file if it is there already.")
  private boolean force;

  @Mixin private CheckOptions checks;

  VerifyInputCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    require(channel >= 1, "--channel: at least 1, got " + channel);
    require(rate >= 32_000 && rate <= 768_000, "--rate: 32000 to 768000, got " + rate);
    require(frequency >= 160 && frequency <= 1250, "--frequency: 160 to 1250, got " + frequency);
    boolean jsonOut = json != null && json.toString().equals("-");
    if (json != null && !jsonOut) {
      AtomicFile.check(json, force);
    }
    CalibrationRecord record = calibration == null ? null : CalibrationFile.read(calibration);
    InputCheckReport report = where.from != null ? fromFile() : fromInput();
    if (jsonOut) {
      terminal().out().print(report.toJson());
    } else {
      if (json != null) {
        byte[] text = report.toJson().getBytes(StandardCharsets.UTF_8);
        AtomicFile.write(json, force, out -> out.write(text));
      }
      print(report.result());
    }
    keep(report, record);
    return switch (report.result().verdict()) {
      case TRUSTED -> CommandLine.ExitCode.OK;
      case NOT_TO_BE_TRUSTED, NOT_DECIDED -> CommandLine.ExitCode.SOFTWARE;
    };
  }

  /** Puts the verdict where whoever calibrates, records and measures next finds it. */
  private void keep(InputCheckReport report, CalibrationRecord record) throws RefusedException {
    InputVerdict verdict = report.verdict().orElse(null);
    if (verdict == null) {
      return;
    }
    if (where.input != null) {
      checks.keep(verdict);
      tell("The verdict on " + verdict.input() + " is kept in " + checks.folder() + ".");
    }
    if (record != null) {
      requireSameInput(record, verdict);
      CalibrationFile.write(record.withInputCheck(verdict), calibration, true);
      tell("The verdict is written into " + calibration + ".");
    }
  }

  private void requireSameInput(CalibrationRecord record, InputVerdict verdict)
      throws RefusedException {
    if (record.input() != null
        && verdict.input() != null
        && !record.input().equals(verdict.input())) {
      throw new RefusedException(
          calibration
              + " was made through the input "
              + record.input()
              + " and the check through "
              + verdict.input()
              + ", so that it was left as it is; check the input it belongs to.");
    }
    if (verdict.trusted() && record.sampleRateHz() != verdict.format().sampleRateHz()) {
      throw new RefusedException(
          String.format(
              Locale.ROOT,
              "%s was made at %.0f Hz and the check at %.0f Hz, where passing it says nothing of"
                  + " the other, so that it was left as it is; check the input at that rate.",
              calibration,
              record.sampleRateHz(),
              verdict.format().sampleRateHz()));
    }
  }

  private void tell(String text) {
    if (json == null || !json.toString().equals("-")) {
      say(text);
    }
  }

  private InputCheckReport fromFile() throws RefusedException {
    List<WavSource> sources = new ArrayList<>();
    try {
      sources.add(WavSource.open(where.from, 1));
      int compared = Math.min(MOST_CHANNELS, sources.get(0).format().channels());
      for (int other = 2; other <= Math.max(channel, compared); other++) {
        sources.add(WavSource.open(where.from, other));
      }
      InputCheckResult result =
          InputCheck.check(List.<SampleSource>copyOf(sources), channel, frequency);
      // What was recorded with a run record has its input and its time there.
      Optional<RunRecord> run = RunFile.find(where.from);
      return new InputCheckReport(
          result,
          run.map(RunRecord::started).orElseGet(new SystemClock()::instant),
          run.map(RunRecord::input).orElse(null),
          result.name());
    } finally {
      for (WavSource source : sources) {
        source.close();
      }
    }
  }

  /** With two channels if it has them, so that copies are found. */
  private SampleFormat widest(Inputs inputs) throws RefusedException {
    try {
      return inputs.best(where.input, rate, Math.max(2, channel));
    } catch (RefusedException oneOnly) {
      return inputs.best(where.input, rate, channel);
    }
  }

  private InputCheckReport fromInput() throws RefusedException {
    SystemClock clock = new SystemClock();
    Inputs inputs = new Inputs(new JavaSoundSystem(), clock);
    SampleFormat format = widest(inputs);
    try (CaptureLine line = inputs.open(where.input, format);
        LiveSource source = new LiveSource(line, clock, channel)) {
      Instant begun = clock.instant();
      source.start();
      return new InputCheckReport(guide(source), begun, line.name(), null);
    }
  }

  /** Asks for each stage until it has lasted, then judges; the guide itself needs no terminal. */
  InputCheckResult guide(SampleSource source) throws RefusedException {
    InputCheck check = new InputCheck(source.format(), frequency, source.name());
    if (source instanceof LiveSource live) {
      live.listenToChannels((channels, count) -> check.compare(channels, channel, count));
    }
    double rateHz = source.format().sampleRateHz();
    InputCheck.Step asked = null;
    StatusLine status = new StatusLine(terminal(), common().quiet());
    for (SampleBlock block = source.read(BLOCK); block != null; block = source.read(BLOCK)) {
      check.accept(block);
      if (check.step() != asked) {
        asked = check.step();
        status.clear();
        terminal().err().println("whinograph: " + asked.request());
        terminal().err().flush();
      }
      status.show(
          String.format(
              Locale.ROOT,
              "  %s for %.0f s of %.0f s",
              asked.wantsTone() ? "tone" : "no tone",
              Math.floor(check.stepS()),
              InputCheck.STEP_S));
      if (asked == InputCheck.Step.DONE
          || (block.position() + block.length()) / rateHz > LONGEST_S) {
        break;
      }
    }
    status.clear();
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
      // The reason stands above already, unless nothing does.
      String reason = common().quiet() ? " " + result.reason() : "";
      note(result.name() + ": " + result.verdict().label() + "." + reason);
    }
  }

  private void require(boolean met, String message) {
    if (!met) {
      throw new ParameterException(spec.commandLine(), message);
    }
  }
}
