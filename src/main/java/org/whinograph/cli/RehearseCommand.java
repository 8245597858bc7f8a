package org.whinograph.cli;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Clock;
import java.util.Locale;
import org.whinograph.quantity.Reading;
import org.whinograph.rehearsal.Comparison;
import org.whinograph.rehearsal.Rehearsal;
import org.whinograph.rehearsal.RehearsalJson;
import org.whinograph.rehearsal.RehearsalResult;
import org.whinograph.rehearsal.SpeedErrors;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.AtomicFile;
import picocli.CommandLine;
import picocli.CommandLine.Option;

/**
 * Measures a device of known truth. An error outside its interval is a result and no refusal: one
 * in twenty has to be. So the exit code stays 0.
 */
@CommandLine.Command(
    name = "rehearse",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Makes a device of known truth, records it with a calibrator and its room into a folder,"
            + " measures the files like any others, and prints each error beside the stated"
            + " interval.",
    footer = {
      "",
      "Examples:",
      "  whinograph rehearse --seed 7 --out rehearsal",
      "  whinograph rehearse --seed 7 --ramp --out ramp --json ramp.json"
    })
final class RehearseCommand extends Command {
  @Option(
      names = "--seed",
      paramLabel = "N",
      description = "Draws the device; the same number draws the same one (default: the time).")
  private Long seed;

  @Option(
      names = "--out",
      required = true,
      paramLabel = "FOLDER",
      description = "Where recordings, truth and the table of errors go.")
  private Path folder;

  @Option(
      names = "--ramp",
      description =
          "Lets the fan speed up in mid-recording. Its tones have no one frequency then, and only"
              + " levels, steady tones and the speed are compared.")
  private boolean ramp;

  @Option(
      names = "--json",
      paramLabel = "FILE",
      description = "Write the errors as JSON; - writes to standard output.")
  private Path json;

  @Option(names = "--force", description = "Replace files that are there already.")
  private boolean force;

  RehearseCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    boolean jsonOnly = json != null && json.toString().equals("-");
    if (json != null && !jsonOnly) {
      AtomicFile.check(json, force);
    }
    Clock clock = Clock.systemUTC();
    long chosen = seed == null ? clock.millis() : seed;
    RehearsalResult result;
    try (Progress progress = new Progress(terminal(), common().quiet(), "rehearsing")) {
      result = new Rehearsal(clock).run(chosen, ramp, folder, force, progress);
    }
    String text = RehearsalJson.of(result);
    if (jsonOnly) {
      terminal().out().print(text);
      terminal().out().flush();
      return CommandLine.ExitCode.OK;
    }
    if (json != null) {
      AtomicFile.write(json, force, out -> out.write(text.getBytes(StandardCharsets.UTF_8)));
    }
    print(result, chosen);
    return CommandLine.ExitCode.OK;
  }

  private void print(RehearsalResult result, long chosen) {
    say(result.truth().description() + " Seed " + chosen + ".");
    say("Levels are dB re 20 uPa; intervals are 95 %.");
    say("");
    say(
        String.format(
            Locale.ROOT,
            "  %-42s %-4s %17s %10s %8s %8s",
            "quantity",
            "unit",
            "truth",
            "measured",
            "error",
            "interval"));
    for (Comparison row : result.comparisons()) {
      say(line(row));
    }
    say("");
    say(
        String.format(
            Locale.ROOT,
            "%d of %d inside their interval. At 95 %% one in twenty lies outside by chance.",
            result.inside(),
            result.comparisons().size()));
    say("");
    speed(result.speed());
    say("");
    say("Files are in " + folder + ".");
  }

  /** The speed frame by frame: one error wouldn't tell how often it is right. */
  private void speed(SpeedErrors speed) {
    say("Shaft speed, frame by frame, in the " + speed.frames() + " frames in which the fan runs:");
    if (!speed.stated()) {
      say("  not stated: " + speed.medianRpm().reason());
      if (speed.multiple() > 0) {
        say("  judged is what was followed, " + speed.multiple() + " times the shaft's speed:");
      }
    }
    say("  known" + share(speed.knownPercent(), "of the frames"));
    if (speed.wrongPercent().known()) {
      say("  on a wrong order" + share(speed.wrongPercent(), "of the known frames"));
    }
    if (speed.rmsPercent().known()) {
      say(String.format(Locale.ROOT, "  rms error %.4f %%", speed.rmsPercent().value()));
      say(
          "  inside the stated 95 % interval"
              + share(speed.insidePercent(), "of the known frames"));
    }
    say("  blades " + blades(speed));
  }

  private static String blades(SpeedErrors speed) {
    if (speed.blades() == null) {
      return "not stated, " + speed.trueBlades() + " true";
    }
    boolean right = speed.blades() == speed.trueBlades();
    return speed.blades() + ", " + (right ? "right" : "wrong: " + speed.trueBlades() + " true");
  }

  private static String share(Reading percent, String whole) {
    return percent.known()
        ? String.format(Locale.ROOT, " %.1f %% %s", percent.value(), whole)
        : ": " + percent.reason();
  }

  private static String line(Comparison row) {
    boolean range = row.truthHigh() - row.truthLow() >= 0.05;
    String truth =
        range
            ? String.format(Locale.ROOT, "%.2f to %.2f", row.truthLow(), row.truthHigh())
            : String.format(
                Locale.ROOT, row.unit().equals("Hz") ? "%.4f" : "%.3f", row.truthHigh());
    Reading measured = row.measured();
    if (!measured.known()) {
      return String.format(
          Locale.ROOT,
          "  %-42s %-4s %17s  %s",
          row.quantity(),
          row.unit(),
          truth,
          measured.reason());
    }
    // A frequency is known to a fraction of a millihertz.
    String numbers = row.unit().equals("Hz") ? "%10.4f %+8.4f %8.4f" : "%10.3f %+8.3f %8.3f";
    return String.format(
        Locale.ROOT,
        "  %-42s %-4s %17s " + numbers + "%s",
        row.quantity(),
        row.unit(),
        truth,
        measured.value(),
        row.error().value(),
        row.interval(),
        row.inside() ? "" : "  outside");
  }
}
