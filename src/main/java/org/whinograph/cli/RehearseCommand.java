package org.whinograph.cli;

import java.nio.file.Path;
import java.time.Clock;
import java.util.Locale;
import org.whinograph.quantity.Reading;
import org.whinograph.rehearsal.Comparison;
import org.whinograph.rehearsal.Rehearsal;
import org.whinograph.rehearsal.RehearsalResult;
import org.whinograph.signal.RefusedException;
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
    footer = {"", "Example:", "  whinograph rehearse --seed 7 --out rehearsal"})
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

  @Option(names = "--force", description = "Replace files that are there already.")
  private boolean force;

  RehearseCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException {
    Clock clock = Clock.systemUTC();
    long chosen = seed == null ? clock.millis() : seed;
    RehearsalResult result;
    try (Progress progress = new Progress(terminal(), common().quiet(), "rehearsing")) {
      result = new Rehearsal(clock).run(chosen, folder, force, progress);
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
    say("Files are in " + folder + ".");
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
