package org.whinograph.cli;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.List;
import org.whinograph.comparison.Comparison;
import org.whinograph.report.AnalysisFiles;
import org.whinograph.report.ComparisonJson;
import org.whinograph.report.ComparisonSummary;
import org.whinograph.report.OutputFolder;
import org.whinograph.report.Typeface;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.AtomicFile;
import picocli.CommandLine;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Model.CommandSpec;
import picocli.CommandLine.Option;
import picocli.CommandLine.ParameterException;
import picocli.CommandLine.Parameters;
import picocli.CommandLine.Spec;

/** Measures recordings and puts them side by side. */
@CommandLine.Command(
    name = "compare",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Measures recordings and puts them side by side: levels, one-third octaves, and tones"
            + " with their prominence, each with its difference to the reference. Where a speed"
            + " moves, the plain spectrum smears tones: their prominence when followed along the"
            + " speed stands beside the plain one.",
    footer = {
      "",
      "Compare only what was recorded with one set-up: same distance, same place, same gain.",
      "",
      "Example:",
      "  whinograph compare a.wav b.wav --calibration microphone.json --out comparison"
    })
final class CompareCommand extends Command {
  @Spec private CommandSpec spec;

  @Parameters(
      arity = "2..*",
      paramLabel = "FILE",
      description = "Recordings to compare, at least two.")
  private List<Path> files;

  @Option(
      names = "--reference",
      paramLabel = "N",
      defaultValue = "1",
      description = "Which recording the differences refer to (default: ${DEFAULT-VALUE}).")
  private int reference;

  @Mixin private MeasuringOptions measuring;

  @Mixin private OutputOptions output;

  CompareCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException, IOException {
    if (files.size() < 2) {
      throw new ParameterException(
          spec.commandLine(), "a comparison needs at least 2 recordings, got " + files.size());
    }
    if (reference < 1 || reference > files.size()) {
      throw new ParameterException(
          spec.commandLine(), "--reference: 1 to " + files.size() + ", got " + reference);
    }
    output.check();
    Comparison comparison =
        Comparison.of(measuring.measure(files, terminal(), common().quiet()), reference - 1);
    if (output.folder() != null) {
      OutputFolder folder = new OutputFolder(output.folder(), output.force());
      AnalysisFiles.addTo(folder, comparison, chartsCanBeDrawn());
      folder.write();
    }
    if (output.jsonToStandardOutput()) {
      OutputStream out = OutputOptions.bytesTo(terminal().out());
      ComparisonJson.write(comparison, out);
      out.flush();
      return CommandLine.ExitCode.OK;
    }
    if (output.json() != null) {
      AtomicFile.write(output.json(), output.force(), out -> ComparisonJson.write(comparison, out));
    }
    say(ComparisonSummary.of(comparison, terminal().unicode() ? Typeface.UNICODE : Typeface.ASCII));
    if (output.folder() != null) {
      say("Results are in " + output.folder() + ".");
    }
    return CommandLine.ExitCode.OK;
  }
}
