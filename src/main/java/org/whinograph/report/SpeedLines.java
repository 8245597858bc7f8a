package org.whinograph.report;

import org.whinograph.speed.SpeedCandidate;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;

/** What the summary says of the shaft's speed. */
final class SpeedLines {
  private final SpeedResult speed;

  SpeedLines(SpeedResult speed) {
    this.speed = speed;
  }

  void writeTo(TextSheet sheet) {
    sheet.heading("Shaft speed, out of the sound");
    if (!speed.heard()) {
      sheet.wrapped("  ", "  ", "unknown: " + speed.medianRpm().reason());
      return;
    }
    if (speed.medianRpm().known()) {
      sheet.wrapped("  ", "  ", median());
    } else {
      sheet.wrapped("  ", "  ", "unknown: " + speed.medianRpm().reason());
    }
    if (speed.blades() == null) {
      sheet.wrapped("  ", "    ", "It could be " + candidates() + ".");
    }
  }

  private String median() {
    SpeedTrack track = speed.track();
    double least = Double.POSITIVE_INFINITY;
    double greatest = Double.NEGATIVE_INFINITY;
    for (double rpm : track.rpm()) {
      if (!Double.isNaN(rpm)) {
        least = Math.min(least, rpm);
        greatest = Math.max(greatest, rpm);
      }
    }
    StringBuilder text = new StringBuilder();
    text.append("median ")
        .append(Words.number(speed.medianRpm().value(), 1))
        .append(" rpm (95 %: ");
    text.append(Words.number(speed.lowRpm().value(), 1)).append(" to ");
    text.append(Words.number(speed.highRpm().value(), 1)).append(" rpm), probability ");
    text.append(Words.number(speed.probability(), 2));
    if (speed.blades() != null) {
      text.append(", ").append(speed.blades()).append(" blades");
    }
    text.append("; from ").append(Words.number(least, 0)).append(" to ");
    text.append(Words.number(greatest, 0)).append(" rpm, known for ");
    text.append(Words.number(100 * track.knownFraction(), 0)).append(" % of the time");
    return text.toString();
  }

  private String candidates() {
    StringBuilder text = new StringBuilder();
    int shown = 0;
    for (SpeedCandidate candidate : speed.candidates()) {
      if (shown == 4) {
        break;
      }
      text.append(shown++ == 0 ? "" : ", ");
      text.append(candidate.blades()).append(" blades at ");
      text.append(Words.number(candidate.rpm(), 0)).append(" rpm (probability ");
      text.append(Words.number(candidate.probability(), 2)).append(')');
    }
    text.append("; --blades settles it");
    return text.toString();
  }
}
