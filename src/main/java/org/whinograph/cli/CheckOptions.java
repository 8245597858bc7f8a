package org.whinograph.cli;

import java.nio.file.Path;
import java.util.Locale;
import java.util.Optional;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.calibration.InputVerdicts;
import org.whinograph.signal.RefusedException;
import picocli.CommandLine.Option;

/**
 * Where verdicts on live inputs are kept between commands. An input belongs to this computer and
 * this person, so the folder does too, unless another is named.
 */
final class CheckOptions {
  @Option(
      names = "--checks",
      paramLabel = "FOLDER",
      description =
          "Folder that keeps the verdicts of verify-input on live inputs, for calibrate and record"
              + " (by default one among your own application data).")
  private Path folder;

  /** What counts for an input, with a message for each damaged file. */
  Optional<InputVerdict> newest(String input, double sampleRateHz, Command command)
      throws RefusedException {
    InputVerdicts verdicts = InputVerdicts.read(folder());
    verdicts.warnings().forEach(warning -> command.note(warning.message()));
    return verdicts.newest(input, sampleRateHz);
  }

  /** Keeps a verdict. */
  void keep(InputVerdict verdict) throws RefusedException {
    InputVerdicts.read(folder()).add(verdict);
  }

  Path folder() {
    return folder == null ? ofThisPerson() : folder;
  }

  /** Where the operating systems want state of programs: XDG base directories, Library, AppData. */
  private static Path ofThisPerson() {
    String system = System.getProperty("os.name").toLowerCase(Locale.ROOT);
    Path home = Path.of(System.getProperty("user.home"));
    Path state;
    if (system.startsWith("windows")) {
      state = named("LOCALAPPDATA").orElse(home.resolve("AppData").resolve("Local"));
    } else if (system.startsWith("mac")) {
      state = home.resolve("Library").resolve("Application Support");
    } else {
      state = named("XDG_STATE_HOME").orElse(home.resolve(".local").resolve("state"));
    }
    return state.resolve("whinograph").resolve("input-checks");
  }

  private static Optional<Path> named(String variable) {
    return Optional.ofNullable(System.getenv(variable))
        .filter(value -> !value.isEmpty())
        .map(Path::of);
  }
}
