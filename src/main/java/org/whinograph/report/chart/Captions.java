package org.whinograph.report.chart;

import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.report.Excess;
import org.whinograph.report.Words;
import org.whinograph.tone.Tone;

/** Words that several charts share. */
final class Captions {
  private Captions() {}

  /** Title of a sheet of one measurement. */
  static String title(Measurement measurement, String what) {
    return Words.fileName(measurement.recording().file()) + ": " + what;
  }

  /** Length, unit and calibration of a measurement. */
  static String of(Measurement measurement) {
    String calibration =
        measurement.unit().calibrated() ? ", " + Words.calibration(measurement) : "";
    return Words.duration(measurement.recording().durationS())
        + ", levels in "
        + Words.unit(measurement.unit())
        + calibration;
  }

  /** Frequency of a tone. */
  static String name(Tone tone) {
    return Words.number(tone.frequencyHz(), 1) + " Hz";
  }

  /** Frequency of a tone, and its excess over the limit if it is prominent. */
  static String nameWithExcess(Tone tone) {
    if (!Boolean.TRUE.equals(tone.prominent())) {
      return name(tone);
    }
    return Excess.of(tone)
        .map(excess -> name(tone) + ", +" + Words.number(excess.aboveLimit(), 1) + " dB")
        .orElse(name(tone));
  }

  /** Frequency of an order when followed along the speed, and its excess over the limit. */
  static String nameWithExcess(FollowedLine line) {
    String name = Words.number(line.followed().frequencyHz(), 0) + " Hz followed";
    return Excess.of(line)
        .map(excess -> name + ", +" + Words.number(excess.aboveLimit(), 1) + " dB")
        .orElse(name);
  }
}
