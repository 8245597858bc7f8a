package org.whinograph.floor;

import java.util.ArrayList;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Objects;
import org.whinograph.band.Band;
import org.whinograph.band.BandLevel;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.Warning;

/**
 * What lies beneath a measurement, one-third octave by one-third octave: the highest of the
 * background, the microphone's own noise and the rounding of samples. Nothing lower can be measured
 * there.
 *
 * @param unit unit of the levels
 * @param thirdOctaves one-third-octave bands 20 Hz to 20 kHz, in order
 * @param aWeighted A-weighted level of all of it
 * @param warnings what the reader must know
 */
public record FloorMap(
    LevelUnit unit, List<FloorBand> thirdOctaves, FloorBand aWeighted, List<Warning> warnings) {
  private static final String NO_RECORDING = "no recording of it was given";
  private static final String NO_FORMAT = "the format of the samples isn't known";

  /** Bandwidth of an A-weighted room noise, for chance alone: its low part decides [Hz]. */
  private static final double A_WEIGHTED_BANDWIDTH_HZ = 100;

  /** Checks the components. {@inheritDoc} */
  public FloorMap {
    Objects.requireNonNull(unit, "unit");
    thirdOctaves = List.copyOf(thirdOctaves);
    warnings = List.copyOf(warnings);
  }

  /**
   * Puts together what is known.
   *
   * @param unit unit of the measurement that the floor is for
   * @param quantisation rounding of its samples, or null if unknown
   * @param selfNoise recording in the quietest place, or null
   * @param background recording at the place of the measurement, or null
   * @return the floor
   * @throws RefusedException if a recording's levels are in another unit
   */
  public static FloorMap of(
      LevelUnit unit,
      Quantisation quantisation,
      NoiseRecording selfNoise,
      NoiseRecording background)
      throws RefusedException {
    check(unit, selfNoise);
    check(unit, background);
    List<FloorBand> bands = new ArrayList<>();
    List<Warning> warnings = new ArrayList<>();
    List<Band> thirds = Band.thirdOctaves();
    int unsteady = 0;
    for (int i = 0; i < thirds.size(); i++) {
      Band band = thirds.get(i);
      boolean steady = steady(selfNoise, i, band) && steady(background, i, band);
      unsteady += steady ? 0 : 1;
      bands.add(
          floor(
              band.nominalHz(),
              band.midbandHz(),
              level(selfNoise, i),
              quantisation == null ? Reading.unknown(NO_FORMAT) : quantisation.level(band),
              level(background, i),
              steady));
    }
    boolean steady = steady(selfNoise) && steady(background);
    FloorBand aWeighted =
        floor(
            0,
            0,
            selfNoise == null ? Reading.unknown(NO_RECORDING) : selfNoise.levels().laeq(),
            quantisation == null ? Reading.unknown(NO_FORMAT) : quantisation.aWeightedLevel(),
            background == null ? Reading.unknown(NO_RECORDING) : background.levels().laeq(),
            steady);
    if (unsteady > 0 || !steady) {
      warnings.add(
          new Warning(
              "unsteady-background",
              "The background is unsteady "
                  + (steady ? "" : "in its A-weighted level")
                  + (!steady && unsteady > 0 ? " and " : "")
                  + (unsteady > 0 ? "in " + unsteady + " one-third octaves" : "")
                  + " (more than 3 dB beyond chance between 10 % and 90 % of its seconds), so that"
                  + " no correction for it is allowed there; record it again in a quiet hour, 60 s"
                  + " or more."));
    }
    return new FloorMap(unit, bands, aWeighted, warnings);
  }

  private static void check(LevelUnit unit, NoiseRecording recording) throws RefusedException {
    if (recording != null && recording.unit() != unit) {
      throw new RefusedException(
          recording.name()
              + " is in "
              + recording.unit().label()
              + " and the measurement in "
              + unit.label()
              + "; give both the same calibration, and record both through an input that passed its"
              + " check.");
    }
  }

  private static Reading level(NoiseRecording recording, int index) {
    if (recording == null) {
      return Reading.unknown(NO_RECORDING);
    }
    BandLevel band = recording.bands().thirdOctaves().get(index);
    return band.level();
  }

  private static boolean steady(NoiseRecording recording, int index, Band band) {
    if (recording == null) {
      return true;
    }
    float[][] seconds = recording.bands().thirdOctaves1s();
    double[] levels = new double[seconds.length];
    for (int i = 0; i < seconds.length; i++) {
      levels[i] = seconds[i][index];
    }
    return Steadiness.steady(levels, band.widthHz());
  }

  private static boolean steady(NoiseRecording recording) {
    return recording == null
        || Steadiness.steady(recording.levels().history().laeq1s(), A_WEIGHTED_BANDWIDTH_HZ);
  }

  private static FloorBand floor(
      double nominalHz,
      double midbandHz,
      Reading selfNoise,
      Reading quantisation,
      Reading background,
      boolean steady) {
    Map<FloorPart, Reading> parts = new EnumMap<>(FloorPart.class);
    parts.put(FloorPart.BACKGROUND, background);
    parts.put(FloorPart.SELF_NOISE, selfNoise);
    parts.put(FloorPart.QUANTISATION, quantisation);
    Reading highest = Reading.unknown("neither background, self-noise nor format is known");
    FloorPart part = null;
    for (Map.Entry<FloorPart, Reading> entry : parts.entrySet()) {
      Reading reading = entry.getValue();
      if (reading.known() && (part == null || reading.value() > highest.value())) {
        highest = reading;
        part = entry.getKey();
      }
    }
    return new FloorBand(
        nominalHz, midbandHz, selfNoise, quantisation, background, highest, part, steady);
  }
}
