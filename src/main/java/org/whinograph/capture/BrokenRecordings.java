package org.whinograph.capture;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.stream.Stream;
import org.whinograph.audiofile.RunFile;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.audiofile.WavSource;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.FileFailure;

/**
 * Recordings that ended without a chance to say so: the program was killed or the power failed.
 * Their samples are there; only the record says "recording" though nobody records.
 */
public final class BrokenRecordings {
  private BrokenRecordings() {}

  /**
   * A recording that was broken off.
   *
   * @param wav its file
   * @param seconds how much of it is whole [s], 0 if nothing is
   */
  public record Broken(Path wav, double seconds) {}

  /**
   * Looks for them in a folder, not below it.
   *
   * @param folder the folder
   * @return what was found, in the order of names
   * @throws RefusedException if the folder can't be read
   */
  public static List<Broken> find(Path folder) throws RefusedException {
    List<Path> candidates;
    try (Stream<Path> files = Files.list(folder)) {
      candidates = files.filter(file -> file.toString().endsWith(".json")).sorted().toList();
    } catch (IOException e) {
      throw new RefusedException(
          folder + ": can't be read (" + FileFailure.reason(e) + "); check the folder", e);
    }
    List<Broken> found = new ArrayList<>();
    for (Path file : candidates) {
      if (RunFile.isRunRecord(file)) {
        check(file).ifPresent(found::add);
      }
    }
    return found;
  }

  /**
   * Completes one: sizes in the header as they are, the record marked as repaired. The samples are
   * not touched.
   *
   * @param wav the WAV file
   * @return its record
   * @throws RefusedException if it has no record, isn't broken off, or can't be written
   */
  public static RunRecord repair(Path wav) throws RefusedException {
    RunRecord run =
        RunFile.find(wav)
            .orElseThrow(
                () ->
                    new RefusedException(
                        wav + ": no run record lies beside it, so there is nothing to repair"));
    if (run.state() != RunRecord.State.RECORDING) {
      throw new RefusedException(wav + ": it was not broken off, so there is nothing to repair");
    }
    if (WavWriter.isBeingWritten(wav)) {
      throw new RefusedException(wav + ": it is being recorded right now; stop that first");
    }
    long frames = WavWriter.repair(wav);
    RunRecord repaired =
        new RunRecord(
            run.audioFile(),
            run.input(),
            run.started(),
            run.format(),
            frames,
            RunRecord.State.REPAIRED,
            "broken off",
            run.conditions(),
            run.events(),
            run.notes(),
            run.gaps(),
            run.overloads(),
            run.overloadSamples(),
            run.clockDeviationPpm(),
            run.inputCheck());
    RunFile.write(RunFile.beside(wav), repaired);
    return repaired;
  }

  private static Optional<Broken> check(Path record) {
    try {
      RunRecord run = RunFile.read(record);
      Path wav = record.resolveSibling(run.audioFile());
      if (run.state() != RunRecord.State.RECORDING
          || !RunFile.beside(wav).equals(record)
          || !Files.isRegularFile(wav)
          || WavWriter.isBeingWritten(wav)) {
        return Optional.empty();
      }
      return Optional.of(new Broken(wav, seconds(wav)));
    } catch (RefusedException e) {
      // A damaged record is no sign of a recording that can be completed; opening it says more.
      return Optional.empty();
    }
  }

  private static double seconds(Path wav) {
    try (WavSource source = WavSource.open(wav, 1)) {
      return source.frames().getAsLong() / source.format().sampleRateHz();
    } catch (RefusedException e) {
      // Broken off before the first second: a header and nothing else.
      return 0;
    }
  }
}
