package org.whinograph.report;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.comparison.ComparedDevice;
import org.whinograph.comparison.ComparedValue;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;

/** What a comparison shows, in short sentences. */
public final class ComparisonFindings {
  private ComparisonFindings() {}

  /**
   * The findings, one or two sentences a device.
   *
   * @param comparison comparison
   * @return sentences
   */
  public static List<String> of(Comparison comparison) {
    List<String> sentences = new ArrayList<>();
    ComparedDevice base = comparison.devices().get(comparison.reference());
    ComparedValue laeq = comparison.values().get(0);
    for (int i = 0; i < comparison.devices().size(); i++) {
      String label = comparison.devices().get(i).label();
      if (i == comparison.reference()) {
        sentences.add(label + " has " + prominent(comparison.devices().get(i)) + ".");
        continue;
      }
      sentences.add(
          label
              + level(laeq.differences().get(i), base.label())
              + " and has "
              + prominent(comparison.devices().get(i))
              + ".");
    }
    return sentences;
  }

  private static String level(Reading difference, String base) {
    if (!difference.known()) {
      return " has an LAeq that can't be compared with that of "
          + base
          + " ("
          + difference.reason().replaceFirst("\\.$", "")
          + ")";
    }
    String size = Words.number(Math.abs(difference.value()), 1);
    if (size.equals("0.0")) {
      return " has the same LAeq as " + base + " to 0.1 dB";
    }
    return " has an LAeq "
        + size
        + " dB "
        + (difference.value() < 0 ? "below" : "above")
        + " that"
        + " of "
        + base;
  }

  private static String prominent(ComparedDevice device) {
    Measurement measurement = device.measurement();
    List<Excess> prominent =
        Excess.ranked(measurement.lines()).stream()
            .filter(excess -> Boolean.TRUE.equals(excess.tone().prominent()))
            .toList();
    if (measurement.spectrum() == null) {
      return "no known tones, being too short for a spectrum";
    }
    String plain = "no prominent tone";
    if (!prominent.isEmpty()) {
      Excess first = prominent.get(0);
      plain =
          (prominent.size() == 1
                  ? "one prominent tone, at "
                  : prominent.size() + " prominent tones, the most so at ")
              + Words.frequency(first.tone())
              + ", "
              + above(first)
              + Excess.higher(measurement, first).map(ComparisonFindings::higher).orElse("");
    }
    return plain + followed(measurement, prominent.isEmpty());
  }

  /** What the plain spectrum hides, since the motion of the speed smears it. */
  private static String followed(Measurement measurement, boolean first) {
    List<FollowedLine> only = Excess.onlyFollowed(measurement);
    if (only.isEmpty()) {
      return "";
    }
    FollowedLine line = only.get(0);
    String count =
        only.size() == 1 ? "one" + (first ? "" : " more") : only.size() + (first ? "" : " more");
    return (first ? " in the plain spectrum, but " : "; ")
        + count
        + (only.size() == 1
            ? " when followed along the speed, at "
            : " when followed along the speed, the most so at ")
        + Words.number(line.followed().frequencyHz(), 0)
        + " Hz, "
        + above(Excess.of(line).orElseThrow())
        + (line.rpm() == null ? "" : " at " + Words.speed(line.rpm()));
  }

  private static String higher(FollowedLine line) {
    Excess excess = Excess.of(line).orElseThrow();
    return ", and "
        + Words.number(excess.aboveLimit(), 1)
        + " dB when followed along the speed ("
        + excess.ratio()
        + ")";
  }

  private static String above(Excess excess) {
    return Words.number(excess.aboveLimit(), 1) + " dB above its limit (" + excess.ratio() + ")";
  }
}
