package org.whinograph.report;

import java.io.IOException;
import org.whinograph.measurement.Measurement;
import org.whinograph.speed.SpeedCandidate;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.speed.order.Beat;
import org.whinograph.speed.order.Envelope;
import org.whinograph.speed.order.ResonanceCrossing;
import org.whinograph.speed.order.SpeedRange;
import org.whinograph.speed.order.SpeedSweep;
import org.whinograph.speed.order.TwoFans;

/** The field {@code speed} of an analysis. */
final class SpeedFields {
  private SpeedFields() {}

  /** Writes the field; null if no fan was heard. Times are on the recording's clock. */
  static void write(Measurement measurement, JsonWriter json) throws IOException {
    SpeedResult speed = measurement.speed();
    double startS = measurement.recording().startS();
    if (!speed.heard()) {
      json.nothing("speed");
      return;
    }
    json.beginObject("speed");
    json.number("median_rpm", speed.medianRpm());
    json.number("low_rpm", speed.lowRpm());
    json.number("high_rpm", speed.highRpm());
    json.number("probability", speed.probability());
    if (speed.blades() == null) {
      json.nothing("blades");
    } else {
      json.whole("blades", speed.blades());
    }
    json.beginArray("candidates");
    for (SpeedCandidate candidate : speed.candidates()) {
      json.beginObject();
      json.number("rpm", candidate.rpm());
      json.whole("blades", candidate.blades());
      json.number("probability", candidate.probability());
      json.endObject();
    }
    json.endArray();
    if (speed.combOrder() == 0) {
      json.nothing("comb_order");
    } else {
      json.whole("comb_order", speed.combOrder());
    }
    track("track", speed.track(), startS, json);
    track("comb_track", speed.comb(), startS, json);
    if (speed.rival() == null) {
      json.nothing("second_comb_track");
    } else {
      track("second_comb_track", speed.rival(), startS, json);
    }
    TwoFans fans = measurement.orders().twoFans();
    twoFans(fans, startS, json);
    if (fans == null && speed.second() != null) {
      json.text("second_fan_unknown_because", Words.secondFanUnknown(speed.second()));
    } else {
      json.nothing("second_fan_unknown_because");
    }
    sweep(measurement.orders().sweep(), json);
    envelope(measurement.orders().envelope(), json);
    json.endObject();
  }

  /** How the blade-pass line swells and fades; null if it doesn't regularly. */
  private static void envelope(Envelope envelope, JsonWriter json) throws IOException {
    if (envelope == null || !envelope.rateHz().known()) {
      json.nothing("envelope");
      return;
    }
    json.beginObject("envelope");
    json.whole("order", envelope.order());
    json.number("frequency_hz", envelope.frequencyHz());
    json.number("rate_hz", envelope.rateHz());
    json.number("depth_db", envelope.depth());
    json.text("depth_unknown_because", envelope.depth().reason());
    json.text("verdict", Beat.verdictAt(envelope.rateHz().value()));
    json.numberOrNull("beside_hz", envelope.besideHz());
    json.endObject();
  }

  private static void twoFans(TwoFans fans, double startS, JsonWriter json) throws IOException {
    if (fans == null) {
      json.nothing("second_fan");
      return;
    }
    json.beginObject("second_fan");
    json.number("median_rpm", fans.secondRpm());
    json.number("difference_uncertainty_rpm", fans.deviationRpm());
    if (fans.blades() == null) {
      json.nothing("blades");
    } else {
      json.whole("blades", fans.blades());
    }
    if (fans.track() == null) {
      json.nothing("track");
    } else {
      track("track", fans.track(), startS, json);
    }
    json.beginArray("beats");
    for (Beat beat : fans.beats()) {
      json.beginObject();
      json.whole("order", beat.order());
      json.number("frequency_hz", beat.frequencyHz());
      json.number("rate_hz", beat.rateHz());
      json.number("depth_db", beat.depth());
      json.text("depth_unknown_because", beat.depth().reason());
      json.text("verdict", beat.verdict());
      json.endObject();
    }
    json.endArray();
    json.endObject();
  }

  /** Fields of a recording whose speed goes through a range; null and empty where it doesn't. */
  private static void sweep(SpeedSweep sweep, JsonWriter json) throws IOException {
    if (sweep == null) {
      json.nothing("level_slope_db_per_decade");
      json.nothing("level_slope_uncertainty_db_per_decade");
      json.nothing("tone_slope_db_per_decade");
      json.nothing("tone_slope_uncertainty_db_per_decade");
      json.nothing("tone_slope_order");
      json.nothing("avoid");
      json.nothing("resonances");
      return;
    }
    json.number("level_slope_db_per_decade", sweep.levelSlope());
    json.number("level_slope_uncertainty_db_per_decade", sweep.levelSlopeDeviation());
    json.number("tone_slope_db_per_decade", sweep.toneSlope());
    json.number("tone_slope_uncertainty_db_per_decade", sweep.toneSlopeDeviation());
    json.whole("tone_slope_order", sweep.toneOrder());
    json.beginArray("avoid");
    for (SpeedRange range : sweep.avoid()) {
      json.beginObject();
      json.number("low_rpm", range.lowRpm());
      json.number("high_rpm", range.highRpm());
      json.whole("order", range.order());
      json.number("worst_rpm", range.worstRpm());
      json.number("worst_frequency_hz", range.worstHz());
      json.number("above_limit_db", range.aboveLimitDb());
      json.text("ratio", range.ratio());
      json.endObject();
    }
    json.endArray();
    json.beginArray("resonances");
    for (ResonanceCrossing resonance : sweep.resonances()) {
      json.beginObject();
      json.number("frequency_hz", resonance.frequencyHz());
      json.number("frequency_low_hz", resonance.lowHz());
      json.number("frequency_high_hz", resonance.highHz());
      json.text("interval_unknown_because", resonance.lowHz().reason());
      json.number("rise_db", resonance.riseDb());
      json.beginArray("crossings");
      for (int i = 0; i < resonance.orders().size(); i++) {
        json.beginObject();
        json.whole("order", resonance.orders().get(i));
        json.number("rpm", resonance.rpm().get(i));
        json.endObject();
      }
      json.endArray();
      json.numbers(
          "orders_without_peak",
          resonance.ordersWithoutPeak().stream().mapToDouble(Integer::doubleValue).toArray());
      json.endObject();
    }
    json.endArray();
  }

  private static void track(String name, SpeedTrack track, double startS, JsonWriter json)
      throws IOException {
    double[] time = track.timeS().clone();
    for (int i = 0; i < time.length; i++) {
      time[i] += startS;
    }
    json.beginObject(name);
    json.numbers("time_s", time);
    json.numbers("rpm", track.rpm());
    json.numbers("low_rpm", track.lowRpm());
    json.numbers("high_rpm", track.highRpm());
    json.endObject();
  }
}
