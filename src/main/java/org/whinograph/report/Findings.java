package org.whinograph.report;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneResult;

/** What was found, in short sentences that a reader without acoustics understands. */
public final class Findings {
  private static final int TOLD = 4;

  private Findings() {}

  /**
   * The findings about tones.
   *
   * @param measurement measurement with a tone result
   * @return sentences, the most important first
   */
  public static List<String> of(Measurement measurement) {
    ToneResult result = measurement.tones();
    List<String> sentences = new ArrayList<>();
    List<Tone> tones = result.tones();
    List<FollowedLine> followed = Excess.onlyFollowed(measurement);
    if (tones.isEmpty() && followed.isEmpty()) {
      sentences.add("No discrete tone was found.");
      return sentences;
    }
    List<Excess> ranked = Excess.ranked(measurement.lines());
    List<Excess> prominent =
        ranked.stream().filter(e -> Boolean.TRUE.equals(e.tone().prominent())).toList();
    for (int i = 0; i < Math.min(TOLD, prominent.size()); i++) {
      String opening = i == 0 ? "One line at " : "Another line at ";
      sentences.add(prominent(opening, prominent.get(i), measurement));
    }
    if (prominent.size() > TOLD) {
      sentences.add((prominent.size() - TOLD) + " more lines are prominent.");
    }
    for (int i = 0; i < Math.min(TOLD, followed.size()); i++) {
      sentences.add(followed(followed.get(i)));
    }
    if (followed.size() > TOLD) {
      sentences.add(
          (followed.size() - TOLD) + " more lines are prominent when followed along the speed.");
    }
    if (prominent.isEmpty()) {
      String sentence = nonProminent(ranked);
      sentences.add(
          followed.isEmpty() ? sentence : "In the plain spectrum n" + sentence.substring(1));
    }
    long above = measurement.lines().stream().filter(tone -> tone.frequencyHz() > 10_000.0).count();
    if (above > 0) {
      sentences.add(
          (above == 1 ? "One line lies" : above + " lines lie")
              + " above 10 kHz, where only some people hear.");
    }
    if (!prominent.isEmpty()) {
      sentences.add(totals(result));
    }
    return sentences;
  }

  private static String prominent(String opening, Excess excess, Measurement measurement) {
    Tone tone = excess.tone();
    String clause = ToneOriginFields.clause(measurement, tone);
    String place = clause.isEmpty() ? seriesPlace(tone) : ", " + clause + ",";
    return opening
        + Words.frequency(tone)
        + place
        + (place.isEmpty() ? ", " : " ")
        + Words.level(tone.level(), measurement.unit())
        + ", stands "
        + Words.number(excess.aboveLimit(), 1)
        + " dB above its limit of prominence ("
        + excess.ratio()
        + ", ECMA-418-1)"
        + Excess.higher(measurement, excess).map(Findings::higher).orElse(".");
  }

  private static String higher(FollowedLine line) {
    Excess excess = Excess.of(line).orElseThrow();
    return "; when followed along the speed, "
        + Words.number(excess.aboveLimit(), 1)
        + " dB"
        + (line.rpm() == null ? "" : " at " + Words.speed(line.rpm()))
        + " ("
        + excess.ratio()
        + ").";
  }

  private static String followed(FollowedLine line) {
    Excess excess = Excess.of(line).orElseThrow();
    String clause = ToneOriginFields.clause(line.order(), line.cause());
    String plain =
        line.plainToneToNoise().known()
            ? "shows a tone-to-noise ratio of " + Words.ratio(line.plainToneToNoise())
            : "shows no such tone";
    return "Followed along the speed, the line at "
        + Words.number(line.followed().frequencyHz(), 0)
        + " Hz"
        + (clause.isEmpty() ? "" : ", " + clause + ",")
        + " stands "
        + Words.number(excess.aboveLimit(), 1)
        + " dB above its limit of prominence"
        + (line.rpm() == null ? "" : " at " + Words.speed(line.rpm()))
        + " ("
        + excess.ratio()
        + ", ECMA-418-1); the plain spectrum, which smears it, "
        + plain
        + ".";
  }

  private static String seriesPlace(Tone tone) {
    return tone.harmonic() == null || tone.harmonic().number() == 1
        ? ""
        : ", number "
            + tone.harmonic().number()
            + " of the series on "
            + Words.number(tone.harmonic().fundamentalHz(), 1)
            + " Hz,";
  }

  private static String nonProminent(List<Excess> ranked) {
    if (ranked.isEmpty()) {
      return "No line lies in the range of a verdict, 89.1 Hz to 11 220 Hz (ECMA-418-1).";
    }
    Excess nearest = ranked.get(0);
    if (nearest.aboveLimit() >= 0.0) {
      return "No line is prominent: the strongest, at "
          + Words.frequency(nearest.tone())
          + ", lies below the threshold of hearing.";
    }
    return "No line is prominent: the nearest, at "
        + Words.frequency(nearest.tone())
        + ", stays "
        + Words.number(-nearest.aboveLimit(), 1)
        + " dB below its limit of prominence ("
        + nearest.ratio()
        + ", ECMA-418-1).";
  }

  private static String totals(ToneResult result) {
    return "All tones together: tone-to-noise ratio "
        + Words.ratio(result.totalToneToNoise())
        + ", prominence ratio "
        + Words.ratio(result.totalProminence())
        + " (ECMA TR/108); tonal adjustment "
        + Words.ratio(result.tonalAdjustment())
        + " (ISO 1996-2).";
  }
}
