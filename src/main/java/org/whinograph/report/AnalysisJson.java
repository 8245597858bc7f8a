package org.whinograph.report;

import java.io.IOException;
import java.io.OutputStream;
import java.util.List;
import org.whinograph.band.BandLevel;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.floor.GradedLevel;
import org.whinograph.floor.GradedLevels;
import org.whinograph.level.LevelQuantity;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.RecordingInfo;
import org.whinograph.signal.Warning;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/**
 * Measurements as JSON, format {@value #FORMAT} version {@value #FORMAT_VERSION}. Scripts live on
 * these names: fields may be added, none is renamed or dropped, and each is present in every file,
 * null where nothing is known, with a warning that says why. Numbers have full precision; the order
 * of the fields never changes.
 */
public final class AnalysisJson {
  /** Value of the field {@code format}. */
  public static final String FORMAT = "whinograph-analysis";

  /** Value of the field {@code format_version}. */
  public static final int FORMAT_VERSION = 1;

  private AnalysisJson() {}

  /**
   * Writes one measurement as an object, several as an array of objects.
   *
   * @param measurements measurements, at least one
   * @param out where to, as UTF-8; flushed, not closed
   * @throws IOException if writing fails
   * @throws IllegalArgumentException if there is no measurement
   */
  public static void write(List<Measurement> measurements, OutputStream out) throws IOException {
    if (measurements.isEmpty()) {
      throw new IllegalArgumentException("measurements: at least 1, got 0");
    }
    try (JsonWriter json = new JsonWriter(out)) {
      if (measurements.size() == 1) {
        write(measurements.get(0), json);
        return;
      }
      json.beginArray();
      for (Measurement measurement : measurements) {
        write(measurement, json);
      }
      json.endArray();
    }
  }

  private static void write(Measurement measurement, JsonWriter json) throws IOException {
    json.beginObject();
    json.text("format", FORMAT);
    json.whole("format_version", FORMAT_VERSION);
    recording(measurement.recording(), json);
    calibration(measurement, json);
    json.text("response_file", measurement.responseFile());
    json.text("level_unit", measurement.unit().label());
    json.beginObject("levels");
    for (LevelQuantity quantity : LevelQuantity.values()) {
      json.number(quantity.field(), quantity.of(measurement.levels()));
    }
    if (measurement.graded() != null) {
      grade("laeq_", measurement.graded().laeq(), json);
    }
    json.endObject();
    bands("octaves", measurement.bands().octaves(), null, json);
    bands("third_octaves", measurement.bands().thirdOctaves(), measurement.graded(), json);
    tones(measurement, json);
    SpeedFields.write(measurement, json);
    json.nothing("loudness");
    json.nothing("temperature");
    spectrum(measurement.spectrum(), json);
    json.beginArray("warnings");
    for (Warning warning : Notices.of(measurement)) {
      json.beginObject();
      json.text("code", warning.code());
      json.text("message", warning.message());
      json.endObject();
    }
    json.endArray();
    json.endObject();
  }

  private static void recording(RecordingInfo recording, JsonWriter json) throws IOException {
    json.beginObject("recording");
    json.text("file", recording.file());
    json.text("sha256", recording.sha256());
    json.number("sample_rate_hz", recording.sampleRateHz());
    json.whole("bit_depth", recording.bitDepth());
    json.whole("channels", recording.channels());
    json.whole("channel", recording.channel());
    json.number("start_s", recording.startS());
    json.number("duration_s", recording.durationS());
    json.whole("overload_samples", recording.overloadSamples());
    json.whole("lost_samples", recording.lostSamples());
    json.endObject();
  }

  private static void calibration(Measurement measurement, JsonWriter json) throws IOException {
    CalibrationRecord calibration = measurement.calibration();
    if (calibration == null) {
      json.nothing("calibration");
      return;
    }
    json.beginObject("calibration");
    json.text("file", measurement.calibrationFile());
    json.number("level_at_full_scale_db", calibration.levelAtFullScaleDb());
    json.text("date", calibration.date().toString());
    json.text("microphone", calibration.microphone());
    json.number("reference_level_db", calibration.referenceLevelDb());
    json.number("reference_frequency_hz", calibration.referenceFrequencyHz());
    json.number("standard_uncertainty_db", calibration.standardUncertaintyDb());
    json.text("caution", measurement.caution().orElse(null));
    json.endObject();
  }

  private static void bands(
      String name, List<BandLevel> bands, GradedLevels graded, JsonWriter json) throws IOException {
    json.beginArray(name);
    for (int i = 0; i < bands.size(); i++) {
      BandLevel band = bands.get(i);
      json.beginObject();
      json.number("nominal_hz", band.nominalHz());
      json.number("midband_hz", band.midbandHz());
      json.number("level_db", band.level());
      json.number("a_weighted_db", band.aWeighted());
      if (graded != null) {
        grade("", graded.thirdOctaves().get(i), json);
      }
      json.endObject();
    }
    json.endArray();
  }

  private static void grade(String prefix, GradedLevel level, JsonWriter json) throws IOException {
    json.number(prefix + "background_db", level.background());
    json.number(prefix + "corrected_db", level.corrected());
    json.text(prefix + "grade", level.grade() == null ? null : level.grade().label());
  }

  private static void tones(Measurement measurement, JsonWriter json) throws IOException {
    ToneResult result = measurement.tones();
    json.beginArray("tones");
    if (result != null) {
      for (Tone tone : result.tones()) {
        tone(measurement, tone, json);
      }
    }
    json.endArray();
    ToneOriginFields.writeFollowedOnly(measurement, json);
    json.beginObject("tones_summary");
    if (result == null) {
      json.nothing("total_tone_to_noise_db");
      json.nothing("total_prominence_db");
      json.nothing("tonal_adjustment_db");
    } else {
      json.number("total_tone_to_noise_db", result.totalToneToNoise());
      json.number("total_prominence_db", result.totalProminence());
      json.number("tonal_adjustment_db", result.tonalAdjustment());
    }
    json.endObject();
  }

  private static void tone(Measurement measurement, Tone tone, JsonWriter json) throws IOException {
    json.beginObject();
    json.number("frequency_hz", tone.frequencyHz());
    json.number("frequency_uncertainty_hz", tone.frequencyUncertaintyHz());
    json.number("level_db", tone.level());
    json.number("tone_to_noise_db", tone.toneToNoise());
    json.number("tone_to_noise_limit_db", tone.toneToNoiseLimit());
    json.number("prominence_db", tone.prominence());
    json.number("prominence_limit_db", tone.prominenceLimit());
    json.flag("prominent", tone.prominent());
    json.flag("audible", tone.audible());
    json.number("tonal_audibility_db", tone.tonalAudibility());
    ToneOriginFields.write(measurement, tone, json);
    if (tone.harmonic() == null) {
      json.nothing("harmonic");
    } else {
      json.beginObject("harmonic");
      json.number("fundamental_hz", tone.harmonic().fundamentalHz());
      json.whole("number", tone.harmonic().number());
      json.endObject();
    }
    json.endObject();
  }

  private static void spectrum(Spectrum spectrum, JsonWriter json) throws IOException {
    if (spectrum == null) {
      json.nothing("spectrum");
      return;
    }
    json.beginObject("spectrum");
    json.number("line_spacing_hz", spectrum.lineSpacingHz());
    json.number("noise_bandwidth_lines", spectrum.noiseBandwidthLines());
    json.whole("frames", spectrum.frames());
    json.number("independent_frames", spectrum.independentFrames());
    json.endObject();
  }
}
