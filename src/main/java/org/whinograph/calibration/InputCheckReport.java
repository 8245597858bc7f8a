package org.whinograph.calibration;

import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import java.time.Instant;
import java.time.temporal.ChronoUnit;
import java.util.Objects;
import java.util.Optional;
import org.whinograph.audiofile.InputVerdict;
import org.whinograph.audiofile.InputVerdictJson;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;

/**
 * A check of an input with what it was made of, as a file that scripts read: the fields of its
 * verdict, then all figures behind it. {@link InputVerdicts#readFile} reads the verdict back.
 *
 * @param result what was found
 * @param checked when the sound that was checked was taken
 * @param input name of the input, or null if only a recording is known
 * @param file name of the recording that was checked, or null for a live input
 */
public record InputCheckReport(
    InputCheckResult result, Instant checked, String input, String file) {
  private static final ObjectMapper JSON = new ObjectMapper();

  /** Checks the components. {@inheritDoc} */
  public InputCheckReport {
    Objects.requireNonNull(result, "result");
    Objects.requireNonNull(checked, "checked");
  }

  /**
   * What is kept of it.
   *
   * @return the verdict, or empty if nothing could be decided, which changes nothing
   */
  public Optional<InputVerdict> verdict() {
    return result.verdict(checked, input, file);
  }

  /**
   * All of it as JSON: one object with the unit in each field's name.
   *
   * @return the text, with a line break at its end
   */
  public String toJson() {
    ObjectNode json = JSON.createObjectNode();
    json.put("format", InputVerdicts.FORMAT);
    json.put("format_version", InputVerdicts.FORMAT_VERSION);
    Optional<InputVerdict> decided = verdict();
    if (decided.isPresent()) {
      InputVerdictJson.put(decided.get(), json);
    } else {
      undecided(json);
    }
    json.put("level_unit", LevelUnit.FULL_SCALE.label());
    ArrayNode stages = json.putArray("stages");
    for (InputStage stage : result.stages()) {
      ObjectNode one = stages.addObject();
      one.put("calibrator", stage.on() ? "on" : "off");
      one.put("from_s", stage.fromS()).put("to_s", stage.toS());
      put(one, "level_db", stage.level());
    }
    json.set("findings", findings());
    ArrayNode figures = json.putArray("figures");
    for (InputFigure figure : result.figures()) {
      ObjectNode one = figures.addObject();
      one.put("id", figure.id()).put("meaning", figure.meaning());
      put(one, "value_db", figure.value());
      one.put("limit_db", figure.limit());
    }
    return json.toPrettyString() + "\n";
  }

  /** The fields of a verdict, with one that can't be taken for a decision. */
  private void undecided(ObjectNode json) {
    json.put("verdict", "not-decided");
    json.put("reason", result.reason());
    json.put("date", checked.truncatedTo(ChronoUnit.SECONDS).toString());
    json.put("input", input);
    json.put("file", file);
    json.put("sample_rate_hz", result.format().sampleRateHz());
    json.put("channels", result.format().channels());
    json.put("bit_depth", result.format().bitDepth());
    json.put("floating_point", result.format().floatingPoint());
  }

  private ArrayNode findings() {
    ArrayNode findings = JSON.createArrayNode();
    for (InputFinding finding : result.findings()) {
      ObjectNode one = findings.addObject();
      one.put("id", finding.kind().code());
      one.put("alters_sound", finding.kind().alters());
      one.put("evidence", finding.evidence());
      put(one, "effect_db", finding.effect());
      one.putObject("switch_off")
          .put("windows", finding.kind().advice().windows())
          .put("macos", finding.kind().advice().macos())
          .put("linux", finding.kind().advice().linux());
    }
    return findings;
  }

  private static void put(ObjectNode json, String name, Reading reading) {
    if (reading.known()) {
      json.put(name, reading.value());
    } else {
      json.putNull(name);
    }
  }
}
