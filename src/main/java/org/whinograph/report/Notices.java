package org.whinograph.report;

import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Set;
import org.whinograph.band.BandLevel;
import org.whinograph.level.LevelQuantity;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/**
 * All that the reader of one measurement must know: the warnings of the chain, then one for each
 * reason why a number is missing, so that no null stands in a file without its explanation.
 *
 * <p>Limits of prominence outside 89.1 Hz to 11 220 Hz give no warning: there are none by design.
 */
public final class Notices {
  /** Code of the warnings that explain a missing number. */
  public static final String UNKNOWN = "unknown-value";

  /** Code of the warning that levels are not sound pressure levels. */
  public static final String UNCALIBRATED = "not-calibrated";

  private static final Reading NO_THRESHOLD =
      Reading.unknown("ISO 389-7 gives no threshold of hearing there, or the level is unknown.");

  private Notices() {}

  /**
   * Collects the warnings of a measurement.
   *
   * @param measurement measurement
   * @return warnings, each once, in the order of the chain
   */
  public static List<Warning> of(Measurement measurement) {
    Set<Warning> all = new LinkedHashSet<>(measurement.warnings());
    ToneResult tones = measurement.tones();
    if (tones != null) {
      all.addAll(tones.warnings());
    }
    if (!measurement.unit().calibrated()
        && all.stream().noneMatch(warning -> warning.code().equals(UNCALIBRATED))) {
      boolean failed =
          all.stream().anyMatch(warning -> warning.code().equals(Measurement.FAILED_INPUT));
      all.add(
          new Warning(
              UNCALIBRATED,
              failed
                  ? "Not calibrated, since the input failed its check: levels are dB re full scale"
                      + " and no sound pressure levels."
                  : "Not calibrated: levels are dB re full scale and no sound pressure levels; record"
                      + " the calibrator through the same input and give its record with"
                      + " --calibration."));
    }
    Map<String, List<String>> reasons = new LinkedHashMap<>();
    for (LevelQuantity quantity : LevelQuantity.values()) {
      note(reasons, quantity.of(measurement.levels()), quantity.symbol());
    }
    measurement.bands().octaves().forEach(band -> note(reasons, band, "octave"));
    measurement.bands().thirdOctaves().forEach(band -> note(reasons, band, "one-third octave"));
    if (tones != null) {
      tones.tones().forEach(tone -> note(reasons, tone));
      for (int i = 0; i < tones.tones().size(); i++) {
        if (measurement.orders().origins().get(i).cause().turnsWithTheFan()) {
          Reading followed = measurement.orders().following().get(i).toneToNoise();
          note(
              reasons,
              followed,
              "speed-following ratios at " + Words.frequency(tones.tones().get(i)));
        }
      }
      if (measurement.unit().calibrated()) {
        tones.tones().stream()
            .filter(tone -> tone.audible() == null)
            .forEach(tone -> note(reasons, NO_THRESHOLD, "audibility at " + Words.frequency(tone)));
      }
      if (tones.tones().stream().anyMatch(tone -> tone.prominent() != null)) {
        note(reasons, tones.totalToneToNoise(), "total tone-to-noise ratio");
        note(reasons, tones.totalProminence(), "total prominence ratio");
        note(reasons, tones.tonalAdjustment(), "tonal adjustment");
      }
    }
    reasons.forEach((reason, names) -> all.add(new Warning(UNKNOWN, sentence(names, reason))));
    return new ArrayList<>(all);
  }

  private static void note(Map<String, List<String>> reasons, BandLevel band, String kind) {
    Reading missing = band.level().known() ? band.aWeighted() : band.level();
    note(reasons, missing, kind + " " + Words.nominalWithUnit(band.nominalHz()));
  }

  private static void note(Map<String, List<String>> reasons, Tone tone) {
    String at = " at " + Words.frequency(tone);
    note(reasons, tone.level(), "level" + at);
    if (tone.prominent() != null) {
      note(reasons, tone.toneToNoise(), "tone-to-noise ratio" + at);
      note(reasons, tone.prominence(), "prominence ratio" + at);
      note(reasons, tone.tonalAudibility(), "tonal audibility" + at);
    }
  }

  private static void note(Map<String, List<String>> reasons, Reading reading, String name) {
    if (!reading.known()) {
      reasons.computeIfAbsent(reading.reason(), key -> new ArrayList<>()).add(name);
    }
  }

  private static String sentence(List<String> names, String reason) {
    String stop = reason.endsWith(".") ? "" : ".";
    return "Unknown, " + String.join(", ", names) + ": " + reason + stop;
  }
}
