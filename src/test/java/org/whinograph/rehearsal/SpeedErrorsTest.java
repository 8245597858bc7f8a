package org.whinograph.rehearsal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.Reading;
import org.whinograph.speed.SpeedResult;

/** Errors of the speed from tracks whose errors are put in. */
class SpeedErrorsTest {
  private static final int FRAMES = 100;

  private static Device fan(double from, double to) {
    return Device.builder("fan")
        .duration(25)
        .fan(7, SpeedProfile.of(5, from, 20, to), 3000)
        .background(NoiseShape.flat(0))
        .build();
  }

  /** Truth of the ramp at a time, with the given part too high. */
  private static double rpm(double from, double to, double t) {
    return from + (to - from) * Math.max(0, Math.min(1, (t - 5) / 15));
  }

  /**
   * Of 100 frames ten are unknown, ten on the double speed, and of the 80 others every other one is
   * off by 0.2 % beyond an interval of ±0.1 %.
   */
  private static org.whinograph.speed.SpeedTrack track(double from, double to, double multiple) {
    double[] time = new double[FRAMES];
    double[] rpm = new double[FRAMES];
    double[] low = new double[FRAMES];
    double[] high = new double[FRAMES];
    for (int i = 0; i < FRAMES; i++) {
      time[i] = 0.25 * (i + 0.5);
      double error = i < 10 ? Double.NaN : i < 20 ? 2.0 : i % 2 == 0 ? 1.0 : 1.002;
      rpm[i] = multiple * error * rpm(from, to, time[i]);
      low[i] = 0.999 * rpm[i];
      high[i] = 1.001 * rpm[i];
    }
    return new org.whinograph.speed.SpeedTrack(time, rpm, low, high);
  }

  private static SpeedResult result(
      Reading median, Integer blades, org.whinograph.speed.SpeedTrack comb) {
    Reading low = median.known() ? Reading.of(median.value() - 2) : median;
    Reading high = median.known() ? Reading.of(median.value() + 4) : median;
    return new SpeedResult(
        median, low, high, 0.9, blades, List.of(), comb, comb, 1, null, null, List.of());
  }

  @Test
  void sharesAndErrorsAreThoseThatWerePutIn() {
    for (double to : new double[] {3000, 4500}) {
      SpeedErrors errors =
          SpeedErrors.of(fan(3000, to), 1, result(Reading.of(3000), 7, track(3000, to, 1)));
      assertTrue(errors.stated());
      assertEquals(FRAMES, errors.frames());
      assertEquals(90.0, errors.knownPercent().value(), 1e-9);
      assertEquals(100.0 / 9, errors.wrongPercent().value(), 1e-9);
      // Half of the frames judged are off by 0.2 %, and those are outside.
      assertEquals(0.2 / Math.sqrt(2), errors.rmsPercent().value(), 1e-3);
      assertEquals(50.0, errors.insidePercent().value(), 1e-9);
      assertEquals(3.0, errors.medianIntervalRpm(), 1e-9);
      assertEquals(7, errors.trueBlades());
      assertEquals(7, errors.blades());
    }
  }

  @Test
  void linesWhoseOrderIsOpenAreJudgedAsTheMultipleTheyAre() {
    Reading open = Reading.unknown("which order?");
    SpeedErrors errors =
        SpeedErrors.of(fan(3000, 4500), 1, result(open, null, track(3000, 4500, 7)));
    assertFalse(errors.stated());
    assertEquals(7, errors.multiple());
    assertEquals(90.0, errors.knownPercent().value(), 1e-9);
    assertEquals(50.0, errors.insidePercent().value(), 1e-9);
  }

  @Test
  void whatWasNotFollowedHasNoErrors() {
    SpeedErrors errors = SpeedErrors.of(fan(3000, 3000), 1, SpeedResult.notSought("Not sought."));
    assertFalse(errors.rmsPercent().known());
    assertFalse(errors.insidePercent().known());
    assertEquals(0, errors.multiple());
    Device silent = Device.builder("nothing").background(NoiseShape.flat(0)).build();
    assertThrows(
        IllegalArgumentException.class,
        () -> SpeedErrors.of(silent, 1, SpeedResult.notSought("Not sought.")));
  }

  @Test
  void aStoppedFanIsNotAskedFor() {
    SpeedErrors errors =
        SpeedErrors.of(fan(0, 3000), 1, result(Reading.of(3000), 7, track(0, 3000, 1)));
    // Below 600 1/min until 8 s.
    assertEquals(68, errors.frames());
  }

  @Test
  void theJsonHoldsThemUnderFixedNames() throws Exception {
    Device device = fan(3000, 4500);
    SpeedErrors errors =
        SpeedErrors.of(device, 1, result(Reading.of(3000), 8, track(3000, 4500, 1)));
    Comparison missing = new Comparison("q", "dB", 1, 2, Reading.unknown("no tone"), 0.5);
    RehearsalResult result =
        new RehearsalResult(
            TruthMaker.of(device, 1), null, null, List.of(errors.median(), missing), errors);
    JsonNode json = new ObjectMapper().readTree(RehearsalJson.of(result));
    assertEquals("whinograph-rehearsal", json.get("format").asText());
    JsonNode speed = json.get("speed");
    assertEquals(90.0, speed.get("known_percent").asDouble(), 1e-9);
    assertEquals(50.0, speed.get("inside_95_percent").asDouble(), 1e-9);
    assertEquals(errors.rmsPercent().value(), speed.get("rms_error_percent").asDouble());
    assertEquals(7, speed.get("true_blades").asInt());
    assertEquals(8, speed.get("blades").asInt());
    JsonNode row = json.get("quantities").get(1);
    assertTrue(row.get("measured").isNull());
    assertEquals("no tone", row.get("reason").asText());
    assertEquals(0.5, row.get("interval_95").asDouble());
  }
}
