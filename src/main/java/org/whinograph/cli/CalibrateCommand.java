package org.whinograph.cli;

import java.nio.file.Path;
import java.time.Clock;
import java.util.Locale;
import org.whinograph.audiofile.WavSource;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.CalibrationRequest;
import org.whinograph.calibration.CalibrationResult;
import org.whinograph.calibration.Calibrator;
import org.whinograph.calibration.MicrophoneResponse;
import org.whinograph.calibration.UncertaintyComponent;
import org.whinograph.signal.RefusedException;
import picocli.CommandLine;
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
        "Measures the tone of a sound calibrator in a recording and writes a calibration record,"
            + " or refuses with the reason.",
    footer = {
      "",
      "Take the level from the calibrator's certificate, not from its label. Never hold a running",
      "calibrator against the ear: it is loud enough to harm.",
      "",
      "Example:",
      "  whinograph calibrate --from calibrator.wav --level 93.92 --microphone M-1 --out m-1.json"
    })
final class CalibrateCommand extends Command {
  @Spec private CommandSpec spec;

  @Option(
      names = "--from",
      required = true,
      paramLabel = "FILE",
      description = "Recording of the calibrator: at least 3 s of its tone.")
  private Path from;

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
    CalibrationResult result;
    try (WavSource source = WavSource.open(from, channel)) {
      result =
          new Calibrator(Clock.systemUTC()).calibrate(source, request.withSha256(source.sha256()));
    }
    CalibrationFile.write(result.calibration(), out, force);
    print(result);
    if (microphoneResponse != null) {
      print(microphoneResponse);
    }
    return CommandLine.ExitCode.OK;
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
    result.warnings().forEach(warning -> note(warning.message()));
    say("Written: " + out);
  }
}
