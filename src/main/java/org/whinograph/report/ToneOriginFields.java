package org.whinograph.report;

import java.io.IOException;
import java.util.ArrayList;
import java.util.List;
import org.whinograph.measurement.Measurement;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.FollowedOrder;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.tone.Tone;

/** Where a tone comes from, as fields and as words. */
final class ToneOriginFields {
  private static final String[] SMALL_NUMBERS = {
    "",
    "once",
    "twice",
    "three times",
    "four times",
    "five times",
    "six times",
    "seven times",
    "eight times",
    "nine times",
    "ten times",
    "eleven times",
    "twelve times"
  };

  private ToneOriginFields() {}

  /** Writes the fields of one tone. */
  static void write(Measurement measurement, Tone tone, JsonWriter json) throws IOException {
    FollowingTone following = following(measurement, tone);
    ToneOrigin origin = of(measurement, tone);
    json.number("following_tone_to_noise_db", following.toneToNoise());
    json.number("following_prominence_db", following.prominence());
    json.flag("following_prominent", following.prominent());
    boolean followed = following.shaftHz() > 0.0;
    json.numberOrNull("following_rpm", following.rpm(origin.order()));
    json.numberOrNull("following_frequency_hz", followed ? following.frequencyHz() : null);
    json.number("following_tone_to_noise_limit_db", following.toneToNoiseLimit());
    json.number("following_prominence_limit_db", following.prominenceLimit());
    json.numberOrNull("order", origin.order());
    json.texts("evidence", origin.evidence());
    json.text("cause", origin.cause().label());
    Tone stronger = sameLine(measurement, tone);
    json.numberOrNull("same_line_as_hz", stronger == null ? null : stronger.frequencyHz());
  }

  /** Writes the orders that the speed-following spectrum alone shows. */
  static void writeFollowedOnly(Measurement measurement, JsonWriter json) throws IOException {
    json.beginArray("following_tones");
    for (FollowedOrder followed : measurement.orders().followedOnly()) {
      json.beginObject();
      writeFollowed(followed.tone(), followed.order(), json);
      json.texts("evidence", followed.evidence());
      json.text("cause", followed.cause().label());
      json.endObject();
    }
    json.endArray();
  }

  /** Writes the fields of an order when followed, as {@code following_tones} has them. */
  static void writeFollowed(FollowingTone tone, Double order, JsonWriter json) throws IOException {
    json.number("frequency_hz", tone.frequencyHz());
    json.numberOrNull("rpm", tone.rpm(order));
    json.number("level_db", tone.level());
    json.number("following_tone_to_noise_db", tone.toneToNoise());
    json.number("tone_to_noise_limit_db", tone.toneToNoiseLimit());
    json.number("following_prominence_db", tone.prominence());
    json.number("prominence_limit_db", tone.prominenceLimit());
    json.flag("following_prominent", tone.prominent());
    json.flag("audible", tone.audible());
    json.numberOrNull("order", order);
  }

  /** Where a tone comes from. */
  static ToneOrigin of(Measurement measurement, Tone tone) {
    return measurement.orders().origins().get(measurement.tones().tones().indexOf(tone));
  }

  /** The ratios of a tone in the spectrum that follows the shaft. */
  static FollowingTone following(Measurement measurement, Tone tone) {
    return measurement.orders().following().get(measurement.tones().tones().indexOf(tone));
  }

  /**
   * A tone with its order and with where else the line was heard: "1736 Hz (order 7, also at 1741
   * Hz)".
   */
  static String brief(Measurement measurement, Tone tone) {
    ToneOrigin origin = of(measurement, tone);
    List<String> remarks = new ArrayList<>();
    if (origin.order() != null) {
      remarks.add("order " + Words.number(origin.order(), 0));
    }
    for (Tone other : measurement.tones().tones()) {
      if (tone.equals(sameLine(measurement, other))) {
        remarks.add("also at " + Words.frequency(other));
      }
    }
    return Words.frequency(tone)
        + (remarks.isEmpty() ? "" : " (" + String.join(", ", remarks) + ")");
  }

  /** The stronger tone that is the same line, or null if the tone is a line of its own. */
  static Tone sameLine(Measurement measurement, Tone tone) {
    Integer stronger = of(measurement, tone).sameLineAs();
    return stronger == null ? null : measurement.tones().tones().get(stronger);
  }

  /**
   * A clause for a sentence, such as "seven times the shaft's speed (blade-pass)"; may be empty.
   */
  static String clause(Measurement measurement, Tone tone) {
    ToneOrigin origin = of(measurement, tone);
    return clause(origin.order(), origin.cause());
  }

  /** The same of an order and a cause. */
  static String clause(Double multiple, Cause cause) {
    if (multiple != null) {
      int order = (int) Math.rint(multiple);
      String times = order < SMALL_NUMBERS.length ? SMALL_NUMBERS[order] : order + " times";
      return times + " the shaft's speed (" + cause.label() + ")";
    }
    return switch (cause) {
      case BLADE_PASS -> "a blade-pass line";
      case MAINS -> "a multiple of the mains' frequency";
      case FIXED -> "which stays put whatever the fan does";
      case DRIVE -> "of the motor's drive";
      case RESONANCE -> "where a resonance lies";
      case LOAD -> "which doesn't follow the speed but something else, as the load";
      case SECOND_FAN -> "of a second fan";
      default -> "";
    };
  }
}
