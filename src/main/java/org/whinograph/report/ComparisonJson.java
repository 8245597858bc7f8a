package org.whinograph.report;

import java.io.IOException;
import java.io.OutputStream;
import java.util.List;
import java.util.Optional;
import org.whinograph.comparison.ComparedBand;
import org.whinograph.comparison.ComparedDevice;
import org.whinograph.comparison.ComparedTone;
import org.whinograph.comparison.ComparedValue;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;
import org.whinograph.tone.Tone;

/**
 * A comparison as JSON, format {@value #FORMAT} version {@value #FORMAT_VERSION}. Every array that
 * stands for the devices has one element a device, in the order of {@code devices}; a difference is
 * that of the device to the one at index {@code reference}, and null where it can't be formed. A
 * row of {@code tones} holds under {@code devices} what the plain spectra show and under {@code
 * following} what those show that follow the speed: either is null where a device's spectrum shows
 * no such tone, {@code following} also where the tone isn't known to be an order of the shaft.
 */
public final class ComparisonJson {
  /** Value of the field {@code format}. */
  public static final String FORMAT = "whinograph-comparison";

  /** Value of the field {@code format_version}. */
  public static final int FORMAT_VERSION = 1;

  private ComparisonJson() {}

  /**
   * Writes a comparison as one object.
   *
   * @param comparison comparison
   * @param out where to, as UTF-8; flushed, not closed
   * @throws IOException if writing fails
   */
  public static void write(Comparison comparison, OutputStream out) throws IOException {
    try (JsonWriter json = new JsonWriter(out)) {
      json.beginObject();
      json.text("format", FORMAT);
      json.whole("format_version", FORMAT_VERSION);
      devices(comparison, json);
      json.whole("reference", comparison.reference());
      json.text(
          "level_unit",
          comparison.sameUnit() ? comparison.devices().get(0).measurement().unit().label() : null);
      json.nothing("difference_uncertainty_db");
      values("levels", comparison, true, json);
      values("ratios", comparison, false, json);
      thirdOctaves(comparison, json);
      tones(comparison, json);
      warnings(comparison, json);
      json.endObject();
    }
  }

  private static void devices(Comparison comparison, JsonWriter json) throws IOException {
    json.beginArray("devices");
    for (ComparedDevice device : comparison.devices()) {
      Measurement measurement = device.measurement();
      json.beginObject();
      json.text("label", device.label());
      json.text("file", measurement.recording().file());
      json.text("sha256", measurement.recording().sha256());
      json.text("level_unit", measurement.unit().label());
      json.text("calibration_file", measurement.calibrationFile());
      json.text("caution", measurement.caution().orElse(null));
      json.number("duration_s", measurement.recording().durationS());
      json.number("sample_rate_hz", measurement.recording().sampleRateHz());
      json.endObject();
    }
    json.endArray();
  }

  private static void values(String name, Comparison comparison, boolean level, JsonWriter json)
      throws IOException {
    json.beginObject(name);
    for (ComparedValue value : comparison.values()) {
      if (value.level() == level) {
        json.beginObject(value.field());
        numbers("values_db", value.values(), json);
        numbers("differences_db", value.differences(), json);
        json.endObject();
      }
    }
    json.endObject();
  }

  private static void numbers(String name, List<Reading> readings, JsonWriter json)
      throws IOException {
    json.beginArray(name);
    for (Reading reading : readings) {
      json.element(reading);
    }
    json.endArray();
  }

  private static void thirdOctaves(Comparison comparison, JsonWriter json) throws IOException {
    json.beginArray("third_octaves");
    for (ComparedBand band : comparison.thirdOctaves()) {
      json.beginObject();
      json.number("nominal_hz", band.nominalHz());
      json.number("midband_hz", band.midbandHz());
      numbers("levels_db", band.levels(), json);
      numbers("differences_db", band.differences(), json);
      json.endObject();
    }
    json.endArray();
  }

  private static void tones(Comparison comparison, JsonWriter json) throws IOException {
    json.beginArray("tones");
    for (ComparedTone row : comparison.tones()) {
      json.beginObject();
      json.number("frequency_hz", row.frequencyHz());
      json.beginArray("devices");
      for (int i = 0; i < row.tones().size(); i++) {
        if (row.tones().get(i).isPresent()) {
          tone(row.tones().get(i).get(), row.sameLinesHz().get(i).orElse(null), json);
        } else {
          json.nothing();
        }
      }
      json.endArray();
      numbers("level_differences_db", row.levelDifferences(), json);
      numbers("tone_to_noise_differences_db", row.toneToNoiseDifferences(), json);
      numbers("prominence_differences_db", row.prominenceDifferences(), json);
      json.beginArray("following");
      for (Optional<FollowedLine> line : row.followed()) {
        if (line.isPresent()) {
          following(line.get(), json);
        } else {
          json.nothing();
        }
      }
      json.endArray();
      numbers(
          "following_tone_to_noise_differences_db", row.followingToneToNoiseDifferences(), json);
      numbers("following_prominence_differences_db", row.followingProminenceDifferences(), json);
      json.endObject();
    }
    json.endArray();
  }

  private static void tone(Tone tone, Double sameLineHz, JsonWriter json) throws IOException {
    json.beginObject();
    json.number("frequency_hz", tone.frequencyHz());
    json.number("level_db", tone.level());
    json.number("tone_to_noise_db", tone.toneToNoise());
    json.number("tone_to_noise_limit_db", tone.toneToNoiseLimit());
    json.number("prominence_db", tone.prominence());
    json.number("prominence_limit_db", tone.prominenceLimit());
    json.flag("prominent", tone.prominent());
    json.flag("audible", tone.audible());
    json.numberOrNull("same_line_as_hz", sameLineHz);
    json.endObject();
  }

  /** The names are those of {@code following_tones} in an analysis. */
  private static void following(FollowedLine line, JsonWriter json) throws IOException {
    json.beginObject();
    ToneOriginFields.writeFollowed(line.followed(), line.order(), json);
    json.text("cause", line.cause().label());
    json.flag("only_following_prominent", line.onlyFollowedIsProminent());
    json.endObject();
  }

  private static void warnings(Comparison comparison, JsonWriter json) throws IOException {
    json.beginArray("warnings");
    for (Warning warning : comparison.warnings()) {
      warning(warning.code(), warning.message(), json);
    }
    for (ComparedDevice device : comparison.devices()) {
      for (Warning warning : Notices.of(device.measurement())) {
        warning(warning.code(), device.label() + ": " + warning.message(), json);
      }
    }
    json.endArray();
  }

  private static void warning(String code, String message, JsonWriter json) throws IOException {
    json.beginObject();
    json.text("code", code);
    json.text("message", message);
    json.endObject();
  }
}
