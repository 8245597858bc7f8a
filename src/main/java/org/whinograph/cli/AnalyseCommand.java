package org.whinograph.cli;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.file.Path;
import java.util.List;
import org.whinograph.measurement.Measurement;
import org.whinograph.report.AnalysisFiles;
import org.whinograph.report.AnalysisJson;
import org.whinograph.report.OutputFolder;
import org.whinograph.report.Summary;
import org.whinograph.report.Typeface;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.AtomicFile;
import picocli.CommandLine;
import picocli.CommandLine.Mixin;
import picocli.CommandLine.Parameters;

/** Measures recordings. Nothing is written unless every one of them could be measured. */
@CommandLine.Command(
    name = "analyse",
    aliases = "analyze",
    versionProvider = VersionProvider.class,
    sortOptions = false,
    description =
        "Measures recordings (WAV, RF64): levels, octaves and one-third octaves, discrete tones"
            + " and how prominent they are. Prints a summary of each.",
    footer = {
      "",
      "Example:",
      "  whinograph analyse device.wav --calibration microphone.json --out results"
    })
final class AnalyseCommand extends Command {
  @Parameters(arity = "1..*", paramLabel = "FILE", description = "Recordings to measure.")
  private List<Path> files;

  @Mixin private MeasuringOptions measuring;

  @Mixin private OutputOptions output;

  AnalyseCommand(Terminal terminal) {
    super(terminal);
  }

  @Override
  public Integer call() throws RefusedException, IOException {
    output.check();
    List<Measurement> measurements = measuring.measure(files, terminal(), common().quiet());
    if (output.folder() != null) {
      OutputFolder folder = new OutputFolder(output.folder(), output.force());
      AnalysisFiles.addTo(folder, measurements, chartsCanBeDrawn());
      folder.write();
    }
    if (output.jsonToStandardOutput()) {
      OutputStream out = OutputOptions.bytesTo(terminal().out());
      AnalysisJson.write(measurements, out);
      out.flush();
    } else {
      if (output.json() != null) {
        AtomicFile.write(
            output.json(), output.force(), out -> AnalysisJson.write(measurements, out));
      }
      print(measurements);
    }
    return CommandLine.ExitCode.OK;
  }

  private void print(List<Measurement> measurements) {
    Typeface typeface = terminal().unicode() ? Typeface.UNICODE : Typeface.ASCII;
    for (Measurement measurement : measurements) {
      say(Summary.of(measurement, typeface));
    }
    if (output.folder() != null) {
      say("Results are in " + output.folder() + ".");
    }
  }
}
