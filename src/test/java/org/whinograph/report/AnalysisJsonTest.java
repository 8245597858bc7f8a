package org.whinograph.report;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.whinograph.level.LevelQuantity;
import org.whinograph.measurement.Measurement;
import org.whinograph.tone.Tone;

class AnalysisJsonTest {
  private static String text(Measurement... measurements) throws IOException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    AnalysisJson.write(List.of(measurements), out);
    return out.toString(StandardCharsets.UTF_8);
  }

  private static JsonNode tree(Measurement... measurements) throws IOException {
    return new ObjectMapper().readTree(text(measurements));
  }

  private static List<String> names(JsonNode node) {
    List<String> names = new ArrayList<>();
    node.fieldNames().forEachRemaining(names::add);
    return names;
  }

  private static void assertHas(JsonNode node, String fields) {
    for (String field : fields.split(" ", -1)) {
      assertTrue(node.has(field), () -> field + " is missing from " + node);
    }
  }

  @Test
  void everyDocumentedFieldIsPresentUnderItsFixedName() throws IOException {
    JsonNode root = tree(InventedDevice.miniComputer().build());
    assertHas(
        root,
        "format format_version recording calibration level_unit levels octaves third_octaves tones"
            + " speed loudness temperature warnings");
    assertHas(
        root.get("recording"),
        "file sha256 sample_rate_hz bit_depth channels duration_s overload_samples");
    assertHas(root.get("calibration"), "file level_at_full_scale_db date microphone");
    assertHas(
        root.get("levels"),
        "laeq_db lceq_db lzeq_db laf_max_db laf_min_db las_max_db las_min_db lcpeak_db lzpeak_db"
            + " la10_db la50_db la90_db lae_db");
    assertEquals(13, root.get("levels").size());
    for (String bands : List.of("octaves", "third_octaves")) {
      for (JsonNode band : root.get(bands)) {
        assertEquals(List.of("nominal_hz", "midband_hz", "level_db", "a_weighted_db"), names(band));
      }
    }
    assertEquals(10, root.get("octaves").size());
    assertEquals(31, root.get("third_octaves").size());
    assertEquals(6, root.get("tones").size());
    for (JsonNode tone : root.get("tones")) {
      assertHas(
          tone,
          "frequency_hz level_db tone_to_noise_db tone_to_noise_limit_db prominence_db"
              + " prominence_limit_db prominent audible following_tone_to_noise_db"
              + " following_prominence_db following_frequency_hz following_rpm"
              + " following_tone_to_noise_limit_db following_prominence_limit_db"
              + " order evidence cause same_line_as_hz");
      boolean whine = Math.abs(tone.get("frequency_hz").asDouble() - 1736.0) < 1.0;
      assertEquals(whine ? "blade-pass" : "unknown", tone.get("cause").asText());
      assertEquals(whine ? 7.0 : 0.0, tone.get("order").asDouble());
      assertEquals(whine ? 1 : 0, tone.get("evidence").size());
      assertEquals(!whine, tone.get("following_tone_to_noise_db").isNull());
      assertEquals(!whine, tone.get("following_frequency_hz").isNull());
      assertEquals(!whine, tone.get("following_prominence_limit_db").isNull());
    }
    assertEquals(1, root.get("following_tones").size());
    JsonNode followed = root.at("/following_tones/0");
    assertHas(
        followed,
        "frequency_hz rpm level_db following_tone_to_noise_db tone_to_noise_limit_db"
            + " following_prominence_db prominence_limit_db following_prominent audible order"
            + " evidence cause");
    assertEquals(3.0, followed.get("order").asDouble());
    assertEquals(14_880.0, followed.get("rpm").asDouble());
    assertEquals(-4.5, followed.get("following_tone_to_noise_db").asDouble());
    assertFalse(followed.get("following_prominent").asBoolean());
    assertEquals("shaft", followed.get("cause").asText());
    assertHas(root.get("speed"), "median_rpm low_rpm high_rpm probability blades candidates track");
    assertHas(root.get("speed"), "second_fan_unknown_because");
    assertHas(root.get("speed"), "second_fan level_slope_db_per_decade avoid resonances envelope");
    assertHas(root.at("/speed/candidates/0"), "rpm blades probability");
    assertHas(root.at("/speed/track"), "time_s rpm low_rpm high_rpm");
    assertTrue(root.at("/speed/track/rpm/8").isNull(), "a frame of unknown speed");
    for (String later : List.of("loudness", "temperature")) {
      assertTrue(root.get(later).isNull(), later);
    }
  }

  @Test
  void valuesComeBackInFullPrecision() throws IOException {
    Measurement measurement = InventedDevice.miniComputer().build();
    JsonNode root = tree(measurement);
    assertEquals("whinograph-analysis", root.get("format").asText());
    assertEquals(1, root.get("format_version").asInt());
    assertEquals("dB re 20 uPa", root.get("level_unit").asText());
    for (LevelQuantity quantity : LevelQuantity.values()) {
      assertEquals(
          quantity.of(measurement.levels()).value(),
          root.get("levels").get(quantity.field()).doubleValue());
    }
    for (int i = 0; i < 31; i++) {
      assertEquals(
          measurement.bands().thirdOctaves().get(i).level().value(),
          root.get("third_octaves").get(i).get("level_db").doubleValue());
    }
    for (int i = 0; i < 6; i++) {
      Tone tone = measurement.tones().tones().get(i);
      JsonNode node = root.get("tones").get(i);
      assertEquals(tone.frequencyHz(), node.get("frequency_hz").doubleValue());
      assertEquals(tone.toneToNoise().value(), node.get("tone_to_noise_db").doubleValue());
      assertEquals(tone.prominence().value(), node.get("prominence_db").doubleValue());
      assertEquals(tone.level().value(), node.get("level_db").doubleValue());
    }
    JsonNode calibration = root.get("calibration");
    assertEquals("calibration/morning.json", calibration.get("file").asText());
    assertEquals(121.4, calibration.get("level_at_full_scale_db").doubleValue());
    assertEquals("2026-03-02T08:15:00Z", calibration.get("date").asText());
    assertEquals("48000", root.get("recording").get("sample_rate_hz").asText());
  }

  @Test
  void theOrderOfFieldsNeverChanges() throws IOException {
    assertEquals(
        List.of(
            "format",
            "format_version",
            "recording",
            "calibration",
            "response_file",
            "level_unit",
            "levels",
            "octaves",
            "third_octaves",
            "tones",
            "following_tones",
            "tones_summary",
            "speed",
            "loudness",
            "temperature",
            "spectrum",
            "warnings"),
        names(tree(InventedDevice.blower().build())));
    assertEquals(text(InventedDevice.blower().build()), text(InventedDevice.blower().build()));
  }

  @Test
  void severalRecordingsAreAnArray() throws IOException {
    JsonNode root =
        tree(InventedDevice.miniComputer().build(), InventedDevice.quietComputer().build());
    assertTrue(root.isArray());
    assertEquals(2, root.size());
    assertEquals("runs/plover-cube/idle-1.wav", root.get(1).get("recording").get("file").asText());
    assertThrows(IllegalArgumentException.class, () -> text());
  }

  @Test
  void withoutCalibrationTheUnitSaysSoAndAWarningTellsWhatToDo() throws IOException {
    JsonNode root = tree(InventedDevice.miniComputer().uncalibrated().build());
    assertTrue(root.get("calibration").isNull());
    assertEquals("dB re full scale", root.get("level_unit").asText());
    assertTrue(root.get("tones").get(0).get("audible").isNull());
    JsonNode warning = root.get("warnings").get(0);
    assertEquals(Notices.UNCALIBRATED, warning.get("code").asText());
    assertTrue(warning.get("message").asText().contains("--calibration"));
  }

  @Test
  void whatCouldNotBeMeasuredIsNullWithAWarning() throws IOException {
    JsonNode root = tree(InventedDevice.miniComputer().rate(32_000.0).build());
    JsonNode top = root.get("third_octaves").get(30);
    assertEquals(20_000.0, top.get("nominal_hz").doubleValue());
    assertTrue(top.get("level_db").isNull());
    assertTrue(top.get("a_weighted_db").isNull());
    assertEquals(1, root.get("warnings").size());
    JsonNode warning = root.get("warnings").get(0);
    assertEquals(Notices.UNKNOWN, warning.get("code").asText());
    assertTrue(warning.get("message").asText().contains("one-third octave 20 kHz"));
  }

  @Test
  void limitsThatTheStandardDoesNotSetAreNullWithoutAWarning() throws IOException {
    JsonNode root = tree(InventedDevice.miniComputer().build());
    JsonNode high = root.get("tones").get(5);
    assertEquals(13_500.0, high.get("frequency_hz").doubleValue());
    assertTrue(high.get("tone_to_noise_limit_db").isNull());
    assertTrue(high.get("prominent").isNull());
    assertEquals(0, root.get("warnings").size());
  }

  @Test
  void warningsOfTheChainComeFirst() throws IOException {
    JsonNode root =
        tree(
            InventedDevice.blower()
                .uncalibrated()
                .warning("truncated-file", "The file ends \"early\".")
                .build());
    assertEquals("truncated-file", root.get("warnings").get(0).get("code").asText());
    assertEquals("The file ends \"early\".", root.get("warnings").get(0).get("message").asText());
  }

  @Test
  void noNumberIsEverNaN() throws IOException {
    String text = text(InventedDevice.miniComputer().rate(32_000.0).uncalibrated().build());
    assertFalse(text.contains("NaN"));
    assertFalse(text.contains("Infinity"));
    JsonWriter json = new JsonWriter(new ByteArrayOutputStream());
    json.beginObject();
    assertThrows(IllegalArgumentException.class, () -> json.number("level_db", Double.NaN));
  }
}
