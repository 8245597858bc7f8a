package org.whinograph.cli;

import java.nio.file.Path;
import java.time.Clock;
import java.util.Locale;
import java.util.OptionalDouble;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.WavSource;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationHistory;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.CalibrationRequest;
import org.whinograph.calibration.CalibrationResult;
import org.whinograph.calibration.Calibrator;
import org.whinograph.calibration.ClosingCheck;
import org.whinograph.calibration.InputVerdicts;
import org.whinograph.calibration.MicrophoneResponse;
import org.whinograph.calibration.ReferenceTone;
import org.whinograph.calibration.UncertaintyComponent;
import org.whinograph.capture.CaptureLine;
import org.whinograph.capture.Inputs;
import org.whinograph.capture.JavaSoundSystem;
import org.whinograph.capture.LiveSource;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;
import picocli.CommandLine;
import picocli.CommandLine.ArgGroup;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** Measures a calibrator's tone and writes the calibration record. */
@CommandLine.Command(
    name = "calibrate",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Measures the tone of a sound calibrator, in a recording or live, and writes a calibration"
            + " record, or refuses with the reason.",
    footer = {
      "",
      "Take the level from the calibrator's certificate, not from its label. Never hold",
      "a running calibrator against the ear: it is loud enough to harm.",
      "",
      "Examples:",
      "  whinograph calibrate --from calibrator.wav --level 93.92 --out m-1.json",
      "  whinograph calibrate --input usb --level 93.92 --history past --out m-1.json"
    })
final class CalibrateCommand extends Command {
  @Spec private CommandSpec spec;

  @ArgGroup(multiplicity = "1")
  private Where where;

  /** A file or a live input. */
  private static final class Where {
    @Option(
        names = "--from",
        required = true,
        paramLabel = "FILE",
        description = "Recording of the calibrator: at least 3 s of its tone.")
    private Path from;

    @Option(
        names = "--input",
        required = true,
        paramLabel = "NAME",
        description =
            "Live input, or a part of its name that fits no other: the tone is taken by itself once"
                + " it has been steady for 5 s.")
    private String input;
  }

  @Option(
      names = "--seconds",
      paramLabel = "N",
      defaultValue = "120",
      description = "How long to wait for the tone of a live input (default: ${DEFAULT-VALUE}).")
  private double seconds;

  @Option(
      names = "--rate",
      paramLabel = "HZ",
      defaultValue = "48000",
      description = "Sample rate of a live input (default: ${DEFAULT-VALUE}).")
  private int rate;

  @Option(
      names = "--level",
      required = true,
      paramLabel = "DB",
      description = "Level of the calibrator from its certificate, such as 94 or 93.92 [dB].")
  private double level;

  @Option(
      names = "--frequency",
      paramLabel = "HZ",
      defaultValue = "1000",
      description = "Its nominal frequency (default: ${DEFAULT-VALUE}).")
  private double frequency;

  @Option(
      names = "--response",
      paramLabel = "FILE",
      description =
          "Response file of the microphone; the record names it, so that analyse takes it out.")
  private Path response;

  @Option(
      names = "--microphone",
      paramLabel = "TEXT",
      description = "The microphone, as you name it; stands in every result.")
  private String microphone;

  @Option(
      names = "--channel",
      paramLabel = "N",
      defaultValue = "1",
      description = "Channel of the recording, from 1 (default: ${DEFAULT-VALUE}).")
  private int channel;

  @Option(
      names = "--after",
      paramLabel = "FILE",
      description =
          "Calibration record from before the series: this is the closing check, and over 0.5 dB"
              + " apart the series isn't to be trusted (exit code 1).")
  private Path after;

  @Option(
      names = "--history",
      paramLabel = "FOLDER",
      description =
          "Keep the record in this folder too, and show the drift against the last one of the same"
              + " microphone and input.")
  private Path history;

  @Option(
      names = "--input-check",
      paramLabel = "FILE",
      description =
          "What verify-input --json wrote of the input: its verdict goes into the record. By default"
              + " the newest verdict on the live input, or the one in the recording's run record.")
  private Path inputCheck;

  @Mixin private CheckOptions checks;

  @Option(
      names = "--out",
      required = true,
      paramLabel = "FILE",
      description = "Where to write the calibration record (JSON).")
  private Path out;

  @Option(names = "--force", description = "Replace the record if it is there already.")
  private boolean force;

  CalibrateCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    CalibrationRequest request = request();
    MicrophoneResponse microphoneResponse = null;
    if (response != null) {
      microphoneResponse = MicrophoneResponse.read(response);
      request = request.withResponseFile(fromRecordTo(response));
    }
    InputVerdict given = inputCheck == null ? null : InputVerdicts.readFile(inputCheck);
    CalibrationRecord opening = after == null ? null : CalibrationFile.read(after);
    CalibrationResult result =
        where.from != null ? fromFile(request) : fromInput(request.withInput(where.input));
    if (given != null) {
      result = result.withInputCheck(given);
    }
    ClosingCheck closing = opening == null ? null : ClosingCheck.of(opening, result.calibration());
    CalibrationFile.write(result.calibration(), out, force);
    print(result);
    if (microphoneResponse != null) {
      print(microphoneResponse);
    }
    if (history != null) {
      keep(result.calibration());
    }
    return closing == null ? CommandLine.ExitCode.OK : verdict(closing);
  }

  private CalibrationResult fromFile(CalibrationRequest request) throws RefusedException {
    try (WavSource source = WavSource.open(where.from, channel)) {
      return new Calibrator(Clock.systemUTC())
          .calibrate(source, request.withSha256(source.sha256()))
          .withInputCheck(source.inputCheck().orElse(null));
    }
  }

  private CalibrationResult fromInput(CalibrationRequest request) throws RefusedException {
    SystemClock clock = new SystemClock();
    Inputs inputs = new Inputs(new JavaSoundSystem(), clock);
    SampleFormat format = inputs.best(where.input, rate, channel);
    try (CaptureLine line = inputs.open(where.input, format);
        LiveSource source = new LiveSource(line, clock, channel)) {
      source.start();
      ReferenceTone tone =
          new LiveCalibrationRun(terminal(), common().quiet())
              .run(source, request.referenceFrequencyHz(), seconds);
      return new Calibrator(Clock.systemUTC())
          .record(tone, format, source.name(), request.withInput(source.name()))
          .withInputCheck(checks.newest(source.name(), format.sampleRateHz(), this).orElse(null));
    }
  }

  private void keep(CalibrationRecord record) throws RefusedException {
    CalibrationHistory kept = CalibrationHistory.read(history);
    kept.warnings().forEach(warning -> note(warning.message()));
    OptionalDouble drift = kept.driftDb(record);
    kept.add(record);
    say(
        drift.isEmpty()
            ? "The first calibration of this microphone and input in " + history + "."
            : String.format(
                Locale.ROOT,
                "Drift since the last calibration of this microphone and input: %+.2f dB.",
                drift.getAsDouble()));
  }

  private int verdict(ClosingCheck closing) {
    say(
        String.format(
            Locale.ROOT,
            "Closing check: %+.2f dB from the opening calibration (limit %.1f dB).",
            closing.differenceDb(),
            ClosingCheck.LIMIT_DB));
    closing.warning().ifPresent(warning -> note(warning.message()));
    return closing.trusted() ? CommandLine.ExitCode.OK : CommandLine.ExitCode.SOFTWARE;
  }

  /** The response's path as seen from the record, so that both can be moved together. */
  private String fromRecordTo(Path file) {
    Path folder = out.toAbsolutePath().normalize().getParent();
    return folder.relativize(file.toAbsolutePath().normalize()).toString().replace('\\', '/');
  }

  private void print(MicrophoneResponse microphoneResponse) {
    say(
        String.format(
            Locale.ROOT,
            "Response %s: %d rows from %.4g Hz to %.4g Hz; outside them nothing is corrected.",
            microphoneResponse.name(),
            microphoneResponse.rows(),
            microphoneResponse.lowestHz(),
            microphoneResponse.highestHz()));
    microphoneResponse
        .sensitivity()
        .ifPresent(
            stated ->
                say(
                    "  It states a sensitivity ("
                        + stated.text()
                        + "); makers mean different things by it, so only the measured one above"
                        + " is used."));
  }

  private CalibrationRequest request() {
    if (!(seconds >= 8)) {
      throw new ParameterException(spec.commandLine(), "--seconds: at least 8, got " + seconds);
    }
    if (rate < 32_000 || rate > 768_000) {
      throw new ParameterException(spec.commandLine(), "--rate: 32000 to 768000, got " + rate);
    }
    if (channel < 1) {
      throw new ParameterException(spec.commandLine(), "--channel: at least 1, got " + channel);
    }
    try {
      return CalibrationRequest.of(level, frequency).withMicrophone(microphone);
    } catch (IllegalArgumentException e) {
      throw new ParameterException(
          spec.commandLine(),
          "--level takes 60 to 140 dB and --frequency 160 to 1250 Hz: " + e.getMessage(),
          e);
    }
  }

  private void print(CalibrationResult result) {
    CalibrationRecord record = result.calibration();
    String plusMinus = terminal().unicode() ? "±" : "+/-";
    say(
        String.format(
            Locale.ROOT,
            "Full scale stands for %.2f %s %.2f dB re 20 uPa (95 %% interval, k = 2).",
            record.levelAtFullScaleDb(),
            plusMinus,
            2 * record.standardUncertaintyDb()));
    say(
        String.format(
            Locale.ROOT,
            "  tone        %.2f dB at %.3f Hz, %.1f s used",
            record.referenceLevelDb(),
            record.frequencyHz(),
            record.toneS()));
    say(
        String.format(
            Locale.ROOT,
            "  steadiness  %s %.3f dB over the whole tone",
            plusMinus,
            record.fluctuationDb()));
    say(
        String.format(
            Locale.ROOT,
            "  distortion and noise  %.2f %% of the tone",
            100 * record.distortionPlusNoise()));
    for (UncertaintyComponent component : result.uncertainty()) {
      say(
          String.format(
              Locale.ROOT,
              "  uncertainty %s: %.3f dB",
              component.name(),
              component.standardUncertaintyDb()));
    }
    if (record.inputCheck() == null) {
      say("  input       not checked; verify-input tells whether it alters the sound");
    } else {
      say("  input       " + record.inputCheck().sentence());
    }
    result.warnings().forEach(warning -> note(warning.message()));
    say("Written: " + out);
  }
}
