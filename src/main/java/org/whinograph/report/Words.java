package org.whinograph.report;

import java.util.List;
import java.util.Locale;
import java.util.stream.Collectors;
import org.whinograph.level.LevelQuantity;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.RecordingInfo;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.speed.SecondSpeed;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.tone.Tone;

/**
 * The words and number formats that summaries, tables and charts share, so that one thing is called
 * by one name everywhere. Text uses Unicode; {@link Typeface} turns it into plain ASCII.
 */
public final class Words {
  /** What stands beside each level through an input that failed its check. */
  public static final String FAILED_INPUT = "INPUT FAILED ITS CHECK, levels aren't to be trusted";

  private Words() {}

  /**
   * A unit of level as readers see it.
   *
   * @param unit unit
   * @return "dB re 20 µPa" or "dB re full scale, not calibrated"
   */
  public static String unit(LevelUnit unit) {
    return unit.calibrated() ? "dB re 20 µPa" : "dB re full scale, not calibrated";
  }

  /**
   * A level with its unit.
   *
   * @param level level [dB in {@code unit}]
   * @param unit unit
   * @return such as "33.4 dB re 20 µPa", or "unknown"
   */
  public static String level(Reading level, LevelUnit unit) {
    return level.known() ? number(level.value(), 1) + " " + unit(unit) : "unknown";
  }

  /**
   * A ratio or difference of levels.
   *
   * @param ratio ratio [dB]
   * @return such as "13.3 dB", or "unknown"
   */
  public static String ratio(Reading ratio) {
    return ratio.known() ? number(ratio.value(), 1) + " dB" : "unknown";
  }

  /**
   * A difference with its sign.
   *
   * @param difference difference [dB]
   * @return such as "+1.2 dB" or "−0.4 dB", or "unknown"
   */
  public static String difference(Reading difference) {
    if (!difference.known()) {
      return "unknown";
    }
    String text = number(difference.value(), 1);
    return (text.startsWith("−") || text.equals("0.0") ? "" : "+") + text + " dB";
  }

  /**
   * A number with fixed decimals and a true minus sign, never "−0.0".
   *
   * @param value finite value
   * @param decimals digits after the point
   * @return the number
   */
  public static String number(double value, int decimals) {
    String text = String.format(Locale.ROOT, "%." + decimals + "f", value);
    if (text.startsWith("-")) {
      String digits = text.substring(1);
      return digits.chars().allMatch(c -> c == '0' || c == '.') ? digits : "−" + digits;
    }
    return text;
  }

  /**
   * Frequency of a tone with the decimals that its uncertainty supports, three at most.
   *
   * @param tone tone
   * @return such as "1736.02 Hz"
   */
  public static String frequency(Tone tone) {
    return number(tone.frequencyHz(), decimals(tone.frequencyUncertaintyHz())) + " Hz";
  }

  private static int decimals(double uncertainty) {
    if (uncertainty <= 0.002) {
      return 3;
    }
    if (uncertainty <= 0.02) {
      return 2;
    }
    return uncertainty <= 0.2 ? 1 : 0;
  }

  /**
   * Whole numbers in a cell.
   *
   * @param numbers numbers
   * @return such as "11 12"; empty without any
   */
  static String list(List<Integer> numbers) {
    return numbers.stream().map(String::valueOf).collect(Collectors.joining(" "));
  }

  /**
   * A speed of the shaft.
   *
   * @param rpm speed [1/min], or null
   * @return such as "8986 rpm", or "unknown"
   */
  static String speed(Double rpm) {
    return rpm == null ? "unknown" : number(rpm, 0) + " rpm";
  }

  /**
   * A nominal frequency as axes show it.
   *
   * @param hz nominal frequency [Hz]
   * @return such as "31.5", "800" or "1.6 k"
   */
  public static String nominal(double hz) {
    double shown = hz >= 1000.0 ? hz / 1000.0 : hz;
    String digits =
        shown == Math.rint(shown)
            ? String.valueOf(Math.round(shown))
            : new java.math.BigDecimal(String.valueOf(shown)).stripTrailingZeros().toPlainString();
    return hz >= 1000.0 ? digits + " k" : digits;
  }

  /**
   * A nominal frequency in running text.
   *
   * @param hz nominal frequency [Hz]
   * @return such as "31.5 Hz" or "1.6 kHz"
   */
  public static String nominalWithUnit(double hz) {
    String text = nominal(hz);
    return text.endsWith(" k") ? text + "Hz" : text + " Hz";
  }

  /**
   * A length of time.
   *
   * @param seconds length [s]
   * @return such as "60.0 s" or "3 h 05 min 12 s"
   */
  public static String duration(double seconds) {
    if (seconds < 600.0) {
      return number(seconds, seconds < 100.0 ? 2 : 1) + " s";
    }
    long whole = Math.round(seconds);
    long hours = whole / 3600;
    long minutes = whole / 60 % 60;
    String tail = String.format(Locale.ROOT, "%02d s", whole % 60);
    return hours > 0
        ? String.format(Locale.ROOT, "%d h %02d min %s", hours, minutes, tail)
        : minutes + " min " + tail;
  }

  /**
   * How a recording was made, in one line.
   *
   * @param recording recording
   * @return such as "60.00 s, 48 kHz, 24 bit, channel 1 of 2"
   */
  public static String format(RecordingInfo recording) {
    String rate = number(recording.sampleRateHz() / 1000.0, 3);
    while (rate.endsWith("0")) {
      rate = rate.substring(0, rate.length() - 1);
    }
    if (rate.endsWith(".")) {
      rate = rate.substring(0, rate.length() - 1);
    }
    String channels =
        recording.channels() == 1
            ? "1 channel"
            : "channel " + recording.channel() + " of " + recording.channels();
    String start =
        recording.startS() > 0.0 ? " from " + number(recording.startS(), 2) + " s on" : "";
    return duration(recording.durationS())
        + start
        + ", "
        + rate
        + " kHz, "
        + recording.bitDepth()
        + " bit, "
        + channels;
  }

  /**
   * Name of a file without its folders.
   *
   * @param file name or path, with either kind of slash
   * @return the last part
   */
  public static String fileName(String file) {
    return file.substring(Math.max(file.lastIndexOf('/'), file.lastIndexOf('\\')) + 1);
  }

  /**
   * What the levels of a measurement rest on.
   *
   * @param measurement measurement
   * @return such as "calibrated 2026-03-02", or "not calibrated"; whether the input failed its
   *     check
   */
  public static String calibration(Measurement measurement) {
    if (!measurement.unit().calibrated()) {
      return "not calibrated";
    }
    if (measurement.calibration() == null) {
      return "calibrated";
    }
    return "calibrated "
        + measurement.calibration().date().atZone(java.time.ZoneOffset.UTC).toLocalDate()
        + (measurement.caution().isPresent() ? ", " + FAILED_INPUT : "");
  }

  /**
   * A message as a sentence: a capital first unless it begins with a name of a file or an input, as
   * "k/fan.wav: ", and a stop last.
   *
   * @param message message, not empty
   * @return the sentence
   */
  public static String sentence(String message) {
    boolean named = message.split(" ", 2)[0].endsWith(":");
    String start =
        named ? message : message.substring(0, 1).toUpperCase(Locale.ROOT) + message.substring(1);
    return start.endsWith(".") || start.endsWith("?") ? start : start + ".";
  }

  /**
   * Verdict on a tone.
   *
   * @param tone tone
   * @return such as "prominent"
   */
  public static String verdict(Tone tone) {
    if (Boolean.FALSE.equals(tone.audible())) {
      return "below hearing";
    }
    if (tone.prominent() == null) {
      return tone.frequencyHz() > 10_000.0 ? "no verdict, heard by some" : "no verdict";
    }
    if (tone.prominent()) {
      return tone.audible() == null ? "prominent, if audible" : "prominent";
    }
    return "not prominent";
  }

  /**
   * Verdict on an order in the spectrum that follows the speed.
   *
   * @param followed order when followed
   * @return such as "prominent"
   */
  public static String verdict(FollowingTone followed) {
    if (Boolean.FALSE.equals(followed.audible())) {
      return "below hearing";
    }
    if (followed.prominent() == null) {
      return "no verdict";
    }
    return followed.prominent() ? "prominent" : "not prominent";
  }

  /**
   * Symbol and meaning of a level.
   *
   * @param quantity level quantity
   * @return such as "LAeq, equivalent level, A-weighted"
   */
  public static String quantity(LevelQuantity quantity) {
    return quantity.symbol() + ", " + quantity.meaning();
  }

  /** Why the speed of a second fan isn't told though its comb was followed. */
  static String secondFanUnknown(SecondSpeed second) {
    return second.medianRpm().known()
        ? "The orders of a second comb of lines say "
            + number(second.medianRpm().value(), 0)
            + " rpm, but the tones don't confirm it."
        : second.medianRpm().reason();
  }
}
