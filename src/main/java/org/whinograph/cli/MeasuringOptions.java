package org.whinograph.cli;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.whinograph.audiofile.WavSource;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.MicrophoneResponse;
import org.whinograph.floor.NoiseRecording;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.MeasurementPlan;
import org.whinograph.measurement.Measurer;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.Warning;
import org.whinograph.speed.SpeedHints;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Spec;

/** How recordings are measured: the options that {@code analyse} and {@code compare} share. */
final class MeasuringOptions {
  @Spec(Spec.Target.MIXEE)
  private CommandSpec command;

  /** A recording from this length on is worth the moment that a small heap costs [s]. */
  private static final double LONG_S = 600;

  @Option(
      names = "--calibration",
      paramLabel = "FILE",
      description =
          "Calibration record that calibrate wrote; without it levels are dB re full scale.")
  private Path calibration;

  @Option(
      names = "--despite-failed-input",
      description =
          "Give sound pressure levels even if the calibration or a recording was made through an"
              + " input that failed verify-input; without it levels are then dB re full scale. Every"
              + " output says so.")
  private boolean despiteFailedInput;

  @Option(
      names = "--response",
      paramLabel = "FILE",
      description =
          "Response of the microphone (rows of frequency and dB), taken out of the sound before"
              + " anything is measured; by default the one the calibration names.")
  private Path response;

  @Option(
      names = "--background",
      paramLabel = "FILE",
      description =
          "Recording at the same place without the device, 60 s or more: levels are corrected for"
              + " it (ISO 3744, K1) or become upper bounds.")
  private Path background;

  @Option(
      names = "--floor",
      paramLabel = "FILE",
      description = "Recording in the quietest place: the microphone's own noise.")
  private Path floor;

  @Option(
      names = "--channel",
      paramLabel = "N",
      defaultValue = "1",
      description = "Channel to measure, from 1 (default: ${DEFAULT-VALUE}); never mixed.")
  private int channel;

  @Option(
      names = "--from",
      paramLabel = "S",
      defaultValue = "0",
      description = "Start at this many seconds into the recording.")
  private double from;

  @Option(names = "--to", paramLabel = "S", description = "End at this many seconds.")
  private Double to;

  @Option(
      names = "--no-speed",
      description =
          "Leave out the shaft's speed and what follows from it: levels, bands and tones alone take"
              + " less than half the time on long recordings.")
  private boolean withoutSpeed;

  @Option(
      names = "--blades",
      paramLabel = "N",
      description = "Number of the fan's blades, if you have counted them.")
  private Integer blades;

  @Option(
      names = "--rpm-near",
      paramLabel = "R",
      description = "Speed in whose neighbourhood the fan runs for most of the recording.")
  private Double rpmNear;

  @Option(
      names = "--line-order",
      paramLabel = "HZ=K",
      description =
          "States that the line at this frequency turns K times as fast as the shaft (K-th order).")
  private String lineOrder;

  /** Measures each file, in order. */
  List<Measurement> measure(List<Path> files, Terminal terminal, boolean quiet)
      throws RefusedException {
    MeasurementPlan plan = plan();
    // Background and floor count as a whole, whatever stretch of the device is measured.
    Measurer noises =
        new Measurer(
            new MeasurementPlan(
                plan.calibration(),
                plan.calibrationFile(),
                plan.response(),
                null,
                0.0,
                Double.POSITIVE_INFINITY,
                despiteFailedInput));
    List<Warning> cautions = new ArrayList<>();
    NoiseRecording selfNoise = noise(floor, noises, cautions, terminal, quiet);
    NoiseRecording beneath = noise(background, noises, cautions, terminal, quiet);
    Measurer measurer = new Measurer(plan);
    List<Measurement> measurements = new ArrayList<>();
    for (Path file : files) {
      Measurement measurement = measure(file, measurer, terminal, quiet);
      measurements.add(
          selfNoise == null && beneath == null
              ? measurement
              : measurement.above(selfNoise, beneath).with(cautions));
    }
    return measurements;
  }

  /** Measures a noise; that its input failed concerns whatever is held against it as well. */
  private NoiseRecording noise(
      Path file, Measurer measurer, List<Warning> cautions, Terminal terminal, boolean quiet)
      throws RefusedException {
    if (file == null) {
      return null;
    }
    Measurement noise = measure(file, measurer, terminal, quiet);
    noise.warnings().stream()
        .filter(warning -> warning.code().equals(Measurement.FAILED_INPUT))
        .forEach(cautions::add);
    return noise.asNoise();
  }

  private Measurement measure(Path file, Measurer measurer, Terminal terminal, boolean quiet)
      throws RefusedException {
    try (WavSource source = WavSource.open(file, channel);
        Progress progress = new Progress(terminal, quiet, String.valueOf(file.getFileName()))) {
      if (source.frames().orElse(0) <= LONG_S * source.format().sampleRateHz()) {
        return measurer.measure(source, progress);
      }
      SmallHeap heap = new SmallHeap(progress);
      Measurement measurement = measurer.measure(source, heap);
      heap.shrink();
      return measurement;
    }
  }

  private MeasurementPlan plan() throws RefusedException {
    double end = to == null ? Double.POSITIVE_INFINITY : to;
    if (!(from >= 0)) {
      throw wrong("--from: seconds, at least 0, got " + from);
    }
    if (!(end > from)) {
      throw wrong("--to: seconds, above --from, got " + end);
    }
    if (channel < 1) {
      throw wrong("--channel: at least 1, got " + channel);
    }
    CalibrationRecord record = calibration == null ? null : CalibrationFile.read(calibration);
    String name = calibration == null ? null : calibration.toString();
    return new MeasurementPlan(
        record, name, responseFor(record), hints(), from, end, despiteFailedInput);
  }

  /** The response that was named, or the one that the calibration was made for. */
  private MicrophoneResponse responseFor(CalibrationRecord record) throws RefusedException {
    if (response != null) {
      return MicrophoneResponse.read(response);
    }
    if (record == null || record.responseFile() == null) {
      return null;
    }
    return MicrophoneResponse.read(calibration.resolveSibling(record.responseFile()));
  }

  /** What is known of the fan; null if its speed isn't wanted. */
  private SpeedHints hints() {
    if (withoutSpeed) {
      if (blades != null || rpmNear != null || lineOrder != null) {
        throw new ParameterException(
            command.commandLine(),
            "--no-speed leaves out what --blades, --rpm-near and --line-order are about");
      }
      return null;
    }
    Double lineHz = null;
    Integer order = null;
    if (lineOrder != null) {
      try {
        String[] parts = lineOrder.split("=", 2);
        lineHz = Double.valueOf(parts[0]);
        order = Integer.valueOf(parts[1]);
      } catch (NumberFormatException | ArrayIndexOutOfBoundsException e) {
        throw new ParameterException(
            command.commandLine(), "--line-order: HZ=K such as 1736=7, got " + lineOrder, e);
      }
    }
    try {
      return new SpeedHints(blades, rpmNear, lineHz, order);
    } catch (IllegalArgumentException e) {
      String option =
          e.getMessage().startsWith("blades")
              ? "--blades"
              : e.getMessage().startsWith("rpmNear") ? "--rpm-near" : "--line-order";
      String limits = e.getMessage().replaceFirst("^[^:]*: ", "");
      throw new ParameterException(command.commandLine(), option + ": " + limits, e);
    }
  }

  private ParameterException wrong(String message) {
    return new ParameterException(command.commandLine(), message);
  }
}
