package org.whinograph.audiofile;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.List;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.SampleFormat;

/** The fields of a verdict on an input, the same in every file that carries one. */
public final class InputVerdictJson {
  /** A verdict in words that scripts match: nothing alters the sound. */
  public static final String TRUSTED = "trusted";

  /** A verdict in words that scripts match: the sound is altered. */
  public static final String NOT_TO_BE_TRUSTED = "not-to-be-trusted";

  private InputVerdictJson() {}

  /**
   * Adds a verdict's fields to an object.
   *
   * @param verdict the verdict
   * @param json takes the fields
   */
  public static void put(InputVerdict verdict, ObjectNode json) {
    json.put("verdict", verdict.trusted() ? TRUSTED : NOT_TO_BE_TRUSTED);
    json.put("reason", verdict.reason());
    json.put("date", verdict.checked().toString());
    json.put("input", verdict.input());
    json.put("file", verdict.file());
    json.put("sample_rate_hz", verdict.format().sampleRateHz());
    json.put("channels", verdict.format().channels());
    json.put("bit_depth", verdict.format().bitDepth());
    json.put("floating_point", verdict.format().floatingPoint());
    ArrayNode findings = json.putArray("findings");
    for (InputVerdict.Finding finding : verdict.findings()) {
      findings
          .addObject()
          .put("id", finding.id())
          .put("alters_sound", finding.altersSound())
          .put("evidence", finding.evidence())
          .put("effect_db", finding.effect().known() ? finding.effect().value() : null);
    }
  }

  /**
   * Reads a verdict's fields.
   *
   * @param json an object that has them
   * @return the verdict
   * @throws IllegalArgumentException if a field is missing or damaged, with its name
   */
  public static InputVerdict parse(JsonNode json) {
    String verdict = text(json, "verdict");
    if (!verdict.equals(TRUSTED) && !verdict.equals(NOT_TO_BE_TRUSTED)) {
      throw new IllegalArgumentException("its verdict is \"" + verdict + "\"");
    }
    List<InputVerdict.Finding> findings = new ArrayList<>();
    for (JsonNode finding : json.path("findings")) {
      JsonNode effect = finding.path("effect_db");
      findings.add(
          new InputVerdict.Finding(
              text(finding, "id"),
              finding.path("alters_sound").asBoolean(),
              text(finding, "evidence"),
              effect.isNumber()
                  ? Reading.of(effect.doubleValue())
                  : Reading.unknown("the record of the check gives no figure")));
    }
    return new InputVerdict(
        verdict.equals(TRUSTED),
        text(json, "reason"),
        findings,
        date(json),
        json.path("input").textValue(),
        json.path("file").textValue(),
        new SampleFormat(
            json.path("sample_rate_hz").asDouble(),
            json.path("channels").asInt(),
            json.path("bit_depth").asInt(),
            json.path("floating_point").asBoolean()));
  }

  private static Instant date(JsonNode json) {
    try {
      return Instant.parse(text(json, "date"));
    } catch (DateTimeParseException e) {
      throw new IllegalArgumentException("its date isn't ISO 8601 in UTC", e);
    }
  }

  private static String text(JsonNode json, String name) {
    JsonNode value = json.path(name);
    if (!value.isTextual()) {
      throw new IllegalArgumentException("no text \"" + name + "\"");
    }
    return value.textValue();
  }
}
