package org.whinograph.report;

import java.io.IOException;
import org.whinograph.speed.SpeedCandidate;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;

/** The field {@code speed} of an analysis. */
final class SpeedFields {
  private SpeedFields() {}

  /** Writes the field; null if no fan was heard. Times are on the recording's clock. */
  static void write(SpeedResult speed, double startS, JsonWriter json) throws IOException {
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
    json.endObject();
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
