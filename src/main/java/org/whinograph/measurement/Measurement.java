package org.whinograph.measurement;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.IntStream;
import org.whinograph.band.BandResult;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.floor.BackgroundCorrection;
import org.whinograph.floor.FloorMap;
import org.whinograph.floor.GradedLevels;
import org.whinograph.floor.NoiseRecording;
import org.whinograph.floor.Quantisation;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.Warning;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.order.OrderResult;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/**
 * All that was measured of one recording. Immutable.
 *
 * @param recording the recording
 * @param calibration the calibration that was used, or null
 * @param calibrationFile name of its file, or null
 * @param responseFile name of the microphone's response that was taken out, or null
 * @param unit what every level refers to
 * @param levels levels of the whole recording and through time
 * @param bands octave and one-third-octave band levels
 * @param graded levels held against background and floor, or null if none was given
 * @param spectrum the averaged spectrum that the tones come from, or null if the recording is too
 *     short for one
 * @param tones the discrete tones
 * @param speed the shaft's speed, as far as the sound tells it
 * @param orders what that speed explains: where the tones come from and how they read when followed
 * @param warnings what the reader must know, in the order of the chain
 */
public record Measurement(
    RecordingInfo recording,
    CalibrationRecord calibration,
    String calibrationFile,
    String responseFile,
    LevelUnit unit,
    LevelResult levels,
    BandResult bands,
    GradedLevels graded,
    Spectrum spectrum,
    ToneResult tones,
    SpeedResult speed,
    OrderResult orders,
    List<Warning> warnings) {
  /** Code of the warning that the input failed its check. */
  public static final String FAILED_INPUT = "failed-input";

  /** Freezes the list. {@inheritDoc} */
  public Measurement {
    warnings = List.copyOf(warnings);
  }

  /**
   * The same measurement held against what lies beneath it.
   *
   * @param selfNoise recording in the quietest place, or null
   * @param background recording at the same place without the device, or null
   * @return the measurement with every one-third octave and L_Aeq graded
   * @throws RefusedException if a recording's levels are in another unit
   */
  public Measurement above(NoiseRecording selfNoise, NoiseRecording background)
      throws RefusedException {
    Quantisation quantisation =
        new Quantisation(
            recording.sampleRateHz(),
            recording.bitDepth(),
            recording.floatingPoint(),
            calibration == null ? 0.0 : calibration.levelAtFullScaleDb());
    FloorMap floor = FloorMap.of(unit, quantisation, selfNoise, background);
    GradedLevels result = BackgroundCorrection.grade(floor, levels, bands);
    List<Warning> all = new ArrayList<>(warnings);
    all.addAll(floor.warnings());
    all.addAll(result.warnings());
    return new Measurement(
        recording,
        calibration,
        calibrationFile,
        responseFile,
        unit,
        levels,
        bands,
        result,
        spectrum,
        tones,
        speed,
        orders,
        all);
  }

  /**
   * The same measurement with more that the reader must know.
   *
   * @param more further warnings
   * @return the measurement with them, each once
   */
  public Measurement with(List<Warning> more) {
    Set<Warning> all = new LinkedHashSet<>(warnings);
    all.addAll(more);
    return new Measurement(
        recording,
        calibration,
        calibrationFile,
        responseFile,
        unit,
        levels,
        bands,
        graded,
        spectrum,
        tones,
        speed,
        orders,
        List.copyOf(all));
  }

  /**
   * What no output may leave out: that the levels are sound pressure levels through an input that
   * failed its check, because somebody insisted.
   *
   * @return the sentences, or empty if there is nothing of the kind
   */
  public Optional<String> caution() {
    return warnings.stream()
        .filter(warning -> unit.calibrated() && warning.code().equals(FAILED_INPUT))
        .map(Warning::message)
        .findFirst();
  }

  /**
   * The lines among the tones: where the speed moves, the plain spectrum may show a line at several
   * places, as tones of which the strongest stands for it.
   *
   * @return tones without the lesser ones of a line, in order of frequency
   */
  public List<Tone> lines() {
    if (tones == null) {
      return List.of();
    }
    return IntStream.range(0, tones.tones().size())
        .filter(i -> orders.origins().get(i).sameLineAs() == null)
        .mapToObj(tones.tones()::get)
        .toList();
  }

  /**
   * This measurement as one of noise alone.
   *
   * @return its levels, for holding another measurement against
   */
  public NoiseRecording asNoise() {
    return new NoiseRecording(recording.file(), unit, levels, bands);
  }
}
