package org.whinograph.cli;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.LinkedHashMap;
import java.util.Locale;
import java.util.Map;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.calibration.CalibrationFile;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.PressureStage;
import org.whinograph.capture.BrokenRecordings;
import org.whinograph.capture.CaptureClock;
import org.whinograph.capture.CaptureLine;
import org.whinograph.capture.Inputs;
import org.whinograph.capture.JavaSoundSystem;
import org.whinograph.capture.Monitor;
import org.whinograph.capture.Recorder;
import org.whinograph.capture.RecordingListener;
import org.whinograph.capture.RecordingPlan;
import org.whinograph.capture.RecordingStatus;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.report.Words;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Warning;
import picocli.CommandLine;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.Spec;

/** Records an input into a file, with live levels in the terminal. */
@CommandLine.Command(
    name = "record",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Records an input into a WAV file, all channels as they come, with a run record (JSON) of"
            + " the same name beside it. While it records: m and a text set a marker, q ends it,"
            + " each followed by Enter; Ctrl-C ends it as well. The file is whole at any moment.",
    footer = {
      "",
      "Keep fingers, hair and cables out of running blades, and mains devices closed.",
      "",
      "Example:",
      "  whinograph record --input usb --seconds 60 --calibration m-1.json --out idle.wav"
    })
final class RecordCommand extends Command {
  private static final int EXIT_WAIT_S = 10;
  private static final String NOTHING_BUT_ZEROS =
      "nothing but zeros comes: the input is muted, nothing is plugged in, or the system keeps the"
          + " microphone from programs (macOS and Windows: privacy settings)";

  @Spec private CommandSpec spec;

  @Option(
      names = "--input",
      paramLabel = "NAME",
      description = "The input, or a part of its name that fits no other; see inputs.")
  private String input;

  @Option(
      names = "--seconds",
      paramLabel = "N",
      description = "How long; without it until q or Ctrl-C.")
  private Double seconds;

  @Option(names = "--out", paramLabel = "FILE", description = "The WAV file to make.")
  private Path out;

  @Option(
      names = "--calibration",
      paramLabel = "FILE",
      description = "Calibration record, for live levels in dB re 20 uPa.")
  private Path calibration;

  @Option(
      names = "--despite-failed-input",
      description =
          "Show sound pressure levels even if the input failed verify-input; without it live levels"
              + " are then dB re full scale.")
  private boolean despiteFailedInput;

  @Mixin private CheckOptions checks;

  @Option(
      names = "--rate",
      paramLabel = "HZ",
      defaultValue = "48000",
      description = "Sample rate (default: ${DEFAULT-VALUE}).")
  private int rate;

  @Option(
      names = "--channels",
      paramLabel = "N",
      defaultValue = "1",
      description = "Channels to record (default: ${DEFAULT-VALUE}).")
  private int channels;

  @Option(
      names = "--channel",
      paramLabel = "N",
      defaultValue = "1",
      description = "Channel to watch, from 1 (default: ${DEFAULT-VALUE}).")
  private int channel;

  @Option(
      names = "--bits",
      paramLabel = "N",
      description = "16, 24 or 32; without it the best that opens, 24 first.")
  private Integer bits;

  @Option(
      names = "--condition",
      paramLabel = "NAME=VALUE",
      description = "What was set, such as load=idle; goes into the run record. May be repeated.")
  private Map<String, String> conditions = new LinkedHashMap<>();

  @Option(names = "--notes", paramLabel = "TEXT", defaultValue = "", description = "Free text.")
  private String notes;

  @Option(
      names = "--listen",
      description =
          "Play what the microphone hears. Use closed headphones: a loudspeaker near the microphone"
              + " howls and spoils the recording.")
  private boolean listen;

  @Mixin private ListenOptions listening;

  @Option(names = "--force", description = "Replace the file if it is there already.")
  private boolean force;

  @Option(
      names = "--repair",
      paramLabel = "FILE",
      description = "Complete a recording that was broken off, instead of recording.")
  private Path repair;

  RecordCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    if (repair != null) {
      RunRecord run = BrokenRecordings.repair(repair);
      say(
          String.format(
              Locale.ROOT,
              "%s: completed, %.3f s are whole.",
              repair,
              run.frames() / run.format().sampleRateHz()));
      return CommandLine.ExitCode.OK;
    }
    check();
    tellOfBrokenRecordings();
    CalibrationRecord record = calibration == null ? null : CalibrationFile.read(calibration);
    if (record != null) {
      conditions.put("calibration", calibration.toString());
    }
    CaptureClock clock = new SystemClock();
    Inputs inputs = new Inputs(new JavaSoundSystem(), clock);
    SampleFormat format =
        bits == null
            ? inputs.best(input, rate, channels)
            : new SampleFormat(rate, channels, bits, false);
    try (CaptureLine line = inputs.open(input, format)) {
      return record(line, clock, record);
    }
  }

  private int record(CaptureLine line, CaptureClock clock, CalibrationRecord record)
      throws RefusedException {
    SampleFormat format = line.format();
    InputVerdict verdict =
        checks
            .newest(line.name(), format.sampleRateHz(), this)
            .orElse(record == null ? null : record.inputCheck());
    InputVerdict failed = failed(verdict, record);
    if (failed != null) {
      note(
          failed.sentence()
              + (record == null
                  ? " The run record says so."
                  : despiteFailedInput
                      ? " Levels are given in dB re 20 uPa all the same; they aren't to be trusted."
                      : " So live levels are dB re full scale; --despite-failed-input insists."));
    }
    CalibrationRecord used = failed == null || despiteFailedInput ? record : null;
    long frames =
        seconds == null ? Long.MAX_VALUE : Math.max(1, Math.round(seconds * format.sampleRateHz()));
    try (Monitor monitor = listen ? listening.open(spec.commandLine(), rate) : null) {
      if (listen) {
        note(ListenOptions.CAUTION);
      }
      Watch watch = new Watch(format, used, failed != null && used != null, monitor);
      Recorder recorder =
          new Recorder(
              line,
              clock,
              new RecordingPlan(out, force, frames, channel, conditions, notes, verdict),
              watch);
      CountDownLatch done = new CountDownLatch(1);
      Thread onExit = new Thread(() -> finish(recorder, done), "whole file on exit");
      Runtime.getRuntime().addShutdownHook(onExit);
      if (terminal().interactive() && !common().quiet()) {
        note(
            "recording "
                + line.name()
                + ", "
                + Inputs.describe(format)
                + "; m and a text set a marker, q ends it, each followed by Enter");
      }
      startKeys(recorder);
      try {
        RunRecord run = recorder.run();
        watch.clear();
        print(run, watch);
      } finally {
        watch.clear();
        done.countDown();
        forget(onExit);
      }
    }
    return CommandLine.ExitCode.OK;
  }

  /** The verdict that forbids sound pressure levels, the input's or the calibration's; or null. */
  private static InputVerdict failed(InputVerdict verdict, CalibrationRecord record) {
    if (verdict != null && !verdict.trusted()) {
      return verdict;
    }
    InputVerdict calibrated = record == null ? null : record.inputCheck();
    return calibrated != null && !calibrated.trusted() ? calibrated : null;
  }

  /** Ctrl-C and a closed terminal: the recording ends as if by q before the program does. */
  private static void finish(Recorder recorder, CountDownLatch done) {
    recorder.stop();
    try {
      if (!done.await(EXIT_WAIT_S, TimeUnit.SECONDS)) {
        return;
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private static void forget(Thread onExit) {
    try {
      Runtime.getRuntime().removeShutdownHook(onExit);
    } catch (IllegalStateException e) {
      // The program is ending already and the hook has done its work.
      return;
    }
  }

  private void startKeys(Recorder recorder) {
    Thread keys = new Thread(() -> readKeys(recorder), "keys");
    keys.setDaemon(true);
    keys.start();
  }

  private void readKeys(Recorder recorder) {
    try {
      BufferedReader in = new BufferedReader(new InputStreamReader(System.in, Terminal.charset()));
      for (String line = in.readLine(); line != null; line = in.readLine()) {
        String text = line.strip();
        if (text.equals("q")) {
          recorder.stop();
          return;
        }
        if (text.equals("m") || text.startsWith("m ")) {
          double at = recorder.mark(text.substring(1).strip()) / (double) rate;
          note(String.format(Locale.ROOT, "marker at %.3f s", at));
        }
      }
    } catch (IOException e) {
      note("keys can't be read any more (" + e.getMessage() + "); Ctrl-C still ends the recording");
    }
  }

  private void check() {
    require(input != null, "--input: give the input's name; see whinograph inputs");
    require(out != null, "--out: give the file to make");
    require(seconds == null || seconds > 0, "--seconds: above 0, got " + seconds);
    require(rate >= 32_000 && rate <= 768_000, "--rate: 32000 to 768000, got " + rate);
    require(channels >= 1 && channels <= 32, "--channels: 1 to 32, got " + channels);
    require(
        channel >= 1 && channel <= channels, "--channel: 1 to " + channels + ", got " + channel);
    require(
        bits == null || bits == 16 || bits == 24 || bits == 32,
        "--bits: 16, 24 or 32, got " + bits);
  }

  private void require(boolean met, String message) {
    if (!met) {
      throw new CommandLine.ParameterException(spec.commandLine(), message);
    }
  }

  private void tellOfBrokenRecordings() throws RefusedException {
    Path folder = out.toAbsolutePath().getParent();
    if (!Files.isDirectory(folder)) {
      return;
    }
    for (BrokenRecordings.Broken broken : BrokenRecordings.find(folder)) {
      note(
          String.format(
              Locale.ROOT,
              "%s was broken off, %.3f s of it are whole; record --repair %s completes it",
              broken.wav().getFileName(),
              broken.seconds(),
              broken.wav()));
    }
  }

  private void print(RunRecord run, Watch watch) {
    double length = run.frames() / run.format().sampleRateHz();
    say(
        String.format(
            Locale.ROOT,
            "Recorded %.3f s to %s: %.0f Hz, %d bits, %d channel%s.",
            length,
            out,
            run.format().sampleRateHz(),
            run.format().bitDepth(),
            run.format().channels(),
            run.format().channels() == 1 ? "" : "s"));
    say(watch.levels());
    if (watch.silent() && !watch.silenceTold) {
      note(NOTHING_BUT_ZEROS);
    }
    say(
        String.format(
            Locale.ROOT,
            "Overload: %s. Lost: %s. Markers: %d.",
            run.overloadSamples() == 0 ? "none" : run.overloadSamples() + " samples",
            run.lostSamples() == 0
                ? "none"
                : String.format(
                    Locale.ROOT,
                    "%d samples (%.3f s) in %d places",
                    run.lostSamples(),
                    run.lostSamples() / run.format().sampleRateHz(),
                    run.gaps().size()),
            run.events().size()));
  }

  /** Shows how the recording stands: one line that is written over, if somebody watches. */
  private final class Watch implements RecordingListener {
    private static final double REFRESH_S = 0.25;

    /** A line that wraps can't be written over: one column less than terminals have at least. */
    private static final int COLUMNS = 79;

    /** A microphone is never silent for so long [s]. */
    private static final double SILENT_S = 3;

    private final LiveLevels levels;
    private final PressureStage pressure;
    private final Monitor monitor;
    private final boolean doubtful;
    private final double rateHz;
    private final StatusLine line;
    private double nextLine;
    private boolean silenceTold;

    Watch(SampleFormat format, CalibrationRecord record, boolean doubtful, Monitor monitor)
        throws RefusedException {
      this.doubtful = doubtful;
      this.rateHz = format.sampleRateHz();
      this.monitor = monitor;
      this.levels =
          new LiveLevels(rateHz, record == null ? LevelUnit.FULL_SCALE : LevelUnit.SOUND_PRESSURE);
      this.pressure = new PressureStage(rateHz, record, null, levels);
      this.line = new StatusLine(terminal(), common().quiet());
    }

    @Override
    public void samples(SampleBlock block, RecordingStatus status) {
      pressure.accept(block);
      if (monitor != null) {
        monitor.accept(block);
      }
      double now = (block.position() + block.length()) / rateHz;
      if (now >= nextLine) {
        nextLine = now + REFRESH_S;
        line.show(line(now, status));
      }
      if (now >= SILENT_S && silent() && !silenceTold) {
        silenceTold = true;
        clear();
        note(NOTHING_BUT_ZEROS);
      }
    }

    @Override
    public void warning(Warning warning) {
      clear();
      note(warning.message());
    }

    String levels() {
      return String.format(
          Locale.ROOT,
          "LAeq %s, LAFmax %s, in %s%s.",
          decibels(levels.average()),
          decibels(levels.maximum()),
          levels.label(),
          doubtful ? "; " + Words.FAILED_INPUT : "");
    }

    /** Whether no sample was anything but zero. */
    boolean silent() {
      return levels.average() == Double.NEGATIVE_INFINITY;
    }

    private String line(double now, RecordingStatus status) {
      long second = (long) now;
      String figures =
          String.format(
              Locale.ROOT,
              "%d:%02d:%02d  LAF %s  LAeq %s  max %s %s  over %d  lost %d%s",
              second / 3600,
              second / 60 % 60,
              second % 60,
              number(levels.now()),
              number(levels.average()),
              number(levels.maximum()),
              levels.unit() == LevelUnit.FULL_SCALE ? "dB re FS" : levels.unit().label(),
              status.overloadSamples(),
              status.lostSamples(),
              doubtful ? "  INPUT FAILED" : "");
      String room = room(status.freeSeconds());
      return figures.length() + room.length() > COLUMNS ? figures : figures + room;
    }

    /** For how long the disk has room: what there is of it, less than a minute is warned of. */
    private String room(double seconds) {
      if (seconds < 0) {
        return "";
      }
      double hours = seconds / 3600;
      return hours >= 1
          ? String.format(Locale.ROOT, "  disk %.0f h", Math.min(999, Math.floor(hours)))
          : String.format(Locale.ROOT, "  disk %.0f min", Math.floor(seconds / 60));
    }

    private String number(double level) {
      return Double.isFinite(level) ? String.format(Locale.ROOT, "%.1f", level) : "--";
    }

    private String decibels(double level) {
      return Double.isFinite(level) ? String.format(Locale.ROOT, "%.1f dB", level) : "-- dB";
    }

    void clear() {
      line.clear();
    }
  }
}
