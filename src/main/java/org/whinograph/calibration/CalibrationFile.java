package org.whinograph.calibration;

import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.SerializationFeature;
import com.fasterxml.jackson.databind.json.JsonMapper;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.time.DateTimeException;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.InputVerdictJson;
import org.whinograph.signal.RefusedException;
import org.whinograph.storage.AtomicFile;

/**
 * A calibration record as a file: one JSON object with the unit in each field's name, so that it
 * can be read without this program. Safe for use by several threads.
 */
public final class CalibrationFile {
  /** What the field {@code format} holds. */
  public static final String FORMAT = "whinograph-calibration";

  /** The version that is written; later ones add fields. */
  public static final int FORMAT_VERSION = 1;

  /** A record has a few hundred bytes; more than this isn't one. */
  private static final long LARGEST_BYTES = 1 << 20;

  private static final ObjectMapper JSON =
      JsonMapper.builder().enable(SerializationFeature.INDENT_OUTPUT).build();

  private CalibrationFile() {}

  /**
   * Writes a record. A file that is there is replaced as a whole or not at all.
   *
   * @param calibration the record
   * @param file where to
   * @param force whether a file that is there may be replaced
   * @throws RefusedException if there is one and it may not, or if it can't be written
   */
  public static void write(CalibrationRecord calibration, Path file, boolean force)
      throws RefusedException {
    byte[] text = toJson(calibration).getBytes(StandardCharsets.UTF_8);
    AtomicFile.write(file, force, out -> out.write(text));
  }

  /**
   * Reads a record.
   *
   * @param file where from
   * @return the record
   * @throws RefusedException if it isn't there, is damaged or isn't a calibration record
   */
  public static CalibrationRecord read(Path file) throws RefusedException {
    try {
      if (Files.size(file) > LARGEST_BYTES) {
        throw foreign(file, "it is larger than a record can be", null);
      }
      return parse(Files.readAllBytes(file), file);
    } catch (NoSuchFileException e) {
      throw new RefusedException(file + " isn't there; check the name of the calibration file.", e);
    } catch (IOException e) {
      throw new RefusedException(file + " can't be read; check its permissions.", e);
    }
  }

  /**
   * A record as JSON text.
   *
   * @param calibration the record
   * @return the text, with a line break at its end
   */
  public static String toJson(CalibrationRecord calibration) {
    ObjectNode json = JSON.createObjectNode();
    json.put("format", FORMAT);
    json.put("format_version", FORMAT_VERSION);
    json.put("level_at_full_scale_db", calibration.levelAtFullScaleDb());
    json.put("reference_level_db", calibration.referenceLevelDb());
    json.put("reference_frequency_hz", calibration.referenceFrequencyHz());
    json.put("frequency_hz", calibration.frequencyHz());
    json.put("fluctuation_db", calibration.fluctuationDb());
    json.put("distortion_plus_noise_percent", 100 * calibration.distortionPlusNoise());
    json.put("tone_s", calibration.toneS());
    json.put("standard_uncertainty_db", calibration.standardUncertaintyDb());
    json.put("date", calibration.date().truncatedTo(ChronoUnit.SECONDS).toString());
    json.put("microphone", calibration.microphone());
    json.put("file", calibration.file());
    json.put("sha256", calibration.sha256());
    json.put("sample_rate_hz", calibration.sampleRateHz());
    json.put("bit_depth", calibration.bitDepth());
    json.put("response_file", calibration.responseFile());
    json.put("input", calibration.input());
    if (calibration.inputCheck() == null) {
      json.putNull("input_check");
    } else {
      InputVerdictJson.put(calibration.inputCheck(), json.putObject("input_check"));
    }
    try {
      return JSON.writeValueAsString(json) + "\n";
    } catch (JsonProcessingException e) {
      throw new IllegalStateException("a tree of numbers and texts is always JSON", e);
    }
  }

  private static CalibrationRecord parse(byte[] bytes, Path file) throws RefusedException {
    JsonNode json;
    try {
      json = JSON.readTree(bytes);
    } catch (IOException e) {
      throw foreign(file, "it isn't JSON", e);
    }
    if (!json.isObject() || !FORMAT.equals(json.path("format").asText())) {
      throw foreign(file, "its \"format\" isn't \"" + FORMAT + "\"", null);
    }
    int version = json.path("format_version").asInt();
    if (version != FORMAT_VERSION) {
      throw foreign(
          file,
          "its format_version is "
              + json.path("format_version")
              + " and this program reads "
              + FORMAT_VERSION,
          null);
    }
    return new CalibrationRecord(
        number(json, "level_at_full_scale_db", -100, 300, file),
        number(json, "reference_level_db", 60, 140, file),
        number(json, "reference_frequency_hz", 20, 20_000, file),
        number(json, "frequency_hz", 20, 20_000, file),
        number(json, "fluctuation_db", 0, 10, file),
        number(json, "distortion_plus_noise_percent", 0, 100, file) / 100,
        number(json, "tone_s", 0, 1e6, file),
        number(json, "standard_uncertainty_db", 0, 100, file),
        date(json, file),
        text(json, "microphone", file),
        text(json, "file", file),
        text(json, "sha256", file),
        number(json, "sample_rate_hz", 1, 1e9, file),
        (int) number(json, "bit_depth", 1, 64, file),
        text(json, "response_file", file),
        text(json, "input", file),
        inputCheck(json, file));
  }

  private static InputVerdict inputCheck(JsonNode json, Path file) throws RefusedException {
    JsonNode node = json.path("input_check");
    if (node.isMissingNode() || node.isNull()) {
      return null;
    }
    try {
      return InputVerdictJson.parse(node);
    } catch (IllegalArgumentException e) {
      throw foreign(file, "in its input_check: " + e.getMessage(), e);
    }
  }

  private static double number(JsonNode json, String field, double least, double most, Path file)
      throws RefusedException {
    JsonNode node = json.path(field);
    double value = node.isNumber() ? node.doubleValue() : Double.NaN;
    if (!(value >= least && value <= most)) {
      throw foreign(
          file,
          "its "
              + field
              + " isn't a number from "
              + least
              + " to "
              + most
              + (node.isMissingNode() ? ", it is missing" : ", it is " + brief(node)),
          null);
    }
    return value;
  }

  private static String text(JsonNode json, String field, Path file) throws RefusedException {
    JsonNode node = json.path(field);
    if (node.isMissingNode() || node.isNull()) {
      return null;
    }
    if (!node.isTextual()) {
      throw foreign(file, "its " + field + " isn't a text, it is " + brief(node), null);
    }
    return node.textValue();
  }

  private static Instant date(JsonNode json, Path file) throws RefusedException {
    String text = text(json, "date", file);
    try {
      return Instant.parse(String.valueOf(text));
    } catch (DateTimeException e) {
      throw foreign(file, "its date isn't ISO 8601 in UTC, it is " + json.path("date"), e);
    }
  }

  private static String brief(JsonNode node) {
    String text = node.toString();
    return text.length() > 40 ? text.substring(0, 40) + "…" : text;
  }

  private static RefusedException foreign(Path file, String why, Throwable cause) {
    return new RefusedException(
        file + " isn't a whole calibration record, " + why + "; make it again with calibrate.",
        cause);
  }
}
