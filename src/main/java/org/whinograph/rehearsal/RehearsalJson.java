package org.whinograph.rehearsal;

import com.fasterxml.jackson.annotation.JsonProperty;
import com.fasterxml.jackson.core.JsonProcessingException;
import com.fasterxml.jackson.databind.ObjectMapper;
import com.fasterxml.jackson.databind.PropertyNamingStrategies;
import com.fasterxml.jackson.databind.SerializationFeature;
import java.util.List;
import org.whinograph.quantity.Reading;

/**
 * A rehearsal as JSON, format {@value #FORMAT} version {@value #FORMAT_VERSION}: one object with
 * each quantity's truth, measured value, error and interval, and the errors of the speed. What
 * wasn't measured is null, with the reason beside it.
 */
public final class RehearsalJson {
  /** Value of the field {@code format}. */
  public static final String FORMAT = "whinograph-rehearsal";

  /** Value of the field {@code format_version}. */
  public static final int FORMAT_VERSION = 1;

  private static final ObjectMapper JSON =
      new ObjectMapper()
          .setPropertyNamingStrategy(PropertyNamingStrategies.SNAKE_CASE)
          .enable(SerializationFeature.INDENT_OUTPUT);

  private RehearsalJson() {}

  private record Root(
      String format,
      int formatVersion,
      long seed,
      String description,
      double durationS,
      long inside,
      List<Row> quantities,
      Speed speed) {}

  private record Row(
      String quantity,
      String unit,
      double truthLow,
      double truthHigh,
      Double measured,
      Double error,
      @JsonProperty("interval_95") double interval,
      boolean inside,
      String reason) {}

  private record Speed(
      boolean stated,
      int judgedMultiple,
      int frames,
      Double knownPercent,
      Double wrongOrderPercent,
      Double rmsErrorPercent,
      @JsonProperty("inside_95_percent") Double insidePercent,
      double trueMedianRpm,
      Double medianRpm,
      @JsonProperty("median_interval_95_rpm") double medianIntervalRpm,
      int trueBlades,
      Integer blades) {}

  /**
   * Writes a rehearsal.
   *
   * @param result the rehearsal
   * @return one JSON object
   */
  public static String of(RehearsalResult result) {
    SpeedErrors speed = result.speed();
    Root root =
        new Root(
            FORMAT,
            FORMAT_VERSION,
            result.truth().seed(),
            result.truth().description(),
            result.truth().durationS(),
            result.inside(),
            result.comparisons().stream().map(RehearsalJson::row).toList(),
            new Speed(
                speed.stated(),
                speed.multiple(),
                speed.frames(),
                number(speed.knownPercent()),
                number(speed.wrongPercent()),
                number(speed.rmsPercent()),
                number(speed.insidePercent()),
                speed.trueMedianRpm(),
                number(speed.medianRpm()),
                speed.medianIntervalRpm(),
                speed.trueBlades(),
                speed.blades()));
    try {
      return JSON.writeValueAsString(root) + "\n";
    } catch (JsonProcessingException e) {
      throw new IllegalStateException(e);
    }
  }

  private static Row row(Comparison comparison) {
    return new Row(
        comparison.quantity(),
        comparison.unit(),
        comparison.truthLow(),
        comparison.truthHigh(),
        number(comparison.measured()),
        number(comparison.error()),
        comparison.interval(),
        comparison.inside(),
        comparison.measured().known() ? null : comparison.measured().reason());
  }

  private static Double number(Reading reading) {
    return reading.known() ? reading.value() : null;
  }
}
