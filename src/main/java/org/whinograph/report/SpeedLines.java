package org.whinograph.report;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.speed.SpeedCandidate;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.speed.order.Beat;
import org.whinograph.speed.order.Envelope;
import org.whinograph.speed.order.OrderResult;
import org.whinograph.speed.order.ResonanceCrossing;
import org.whinograph.speed.order.SpeedRange;
import org.whinograph.speed.order.SpeedSweep;
import org.whinograph.speed.order.TwoFans;

/** What the summary says of the shaft's speed. */
final class SpeedLines {
  private static final int BEATS_TOLD = 3;
  private static final int RANGES_TOLD = 4;

  /** A second speed that moves by less is told by its median alone [1]. */
  private static final double LEAST_RANGE = 1.01;

  /** An interval narrower than this is told with a decimal [Hz]. */
  private static final double NARROW_HZ = 5.0;

  /** A level that swings by less is no beat to speak of (judgement) [dB]. */
  private static final double LEAST_DEPTH_DB = 2.0;

  private final SpeedResult speed;
  private final OrderResult orders;

  SpeedLines(Measurement measurement) {
    this.speed = measurement.speed();
    this.orders = measurement.orders();
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
    if (orders.twoFans() != null) {
      secondFan(sheet, orders.twoFans());
    } else if (swells(orders.envelope())) {
      envelope(sheet, orders.envelope());
    }
    if (orders.twoFans() == null && speed.second() != null) {
      sheet.wrapped(
          "  ",
          "  ",
          "A second comb of lines may be another fan's; its speed is unknown: "
              + Words.secondFanUnknown(speed.second()));
    }
    if (orders.sweep() != null) {
      sweep(sheet, orders.sweep());
    }
  }

  private static void secondFan(TextSheet sheet, TwoFans fans) {
    StringBuilder text = new StringBuilder("A second fan turns at ");
    text.append(Words.number(fans.secondRpm(), 1)).append(" rpm");
    text.append(fans.track() == null ? "" : range(fans.track()));
    text.append(fans.blades() == null ? "" : ", " + fans.blades() + " blades");
    if (fans.beats().isEmpty()) {
      sheet.wrapped("  ", "  ", text.append('.').toString());
      return;
    }
    text.append("; the two beat ");
    List<Beat> beats = fans.beats().subList(0, Math.min(BEATS_TOLD, fans.beats().size()));
    List<String> told = new ArrayList<>();
    Map<String, List<String>> places = new LinkedHashMap<>();
    for (Beat beat : beats) {
      String place = Words.number(beat.frequencyHz(), 0);
      told.add(
          Words.number(beat.rateHz(), 2)
              + (told.isEmpty() ? " times a second at " : " times at ")
              + place
              + " Hz"
              + depth(beat.depth()));
      places.computeIfAbsent(beat.verdict(), verdict -> new ArrayList<>()).add(place);
    }
    text.append(listed(told));
    int rest = fans.beats().size() - beats.size();
    if (rest > 0) {
      text.append("; ").append(rest).append(rest == 1 ? " lesser beat is" : " lesser beats are");
      text.append(" in --json");
    }
    text.append('.');
    sheet.wrapped("  ", "  ", text.toString());
    places.forEach(
        (verdict, at) -> sheet.wrapped("  ", "  ", "At " + listed(at) + " Hz: " + verdict + "."));
  }

  /** From where to where a speed goes, if it moves by more than a rounding. */
  private static String range(SpeedTrack track) {
    double[] known = Arrays.stream(track.rpm()).filter(rpm -> !Double.isNaN(rpm)).toArray();
    double least = Arrays.stream(known).min().orElse(0.0);
    double greatest = Arrays.stream(known).max().orElse(0.0);
    return greatest > least * LEAST_RANGE
        ? " (median; from "
            + Words.number(least, 0)
            + " to "
            + Words.number(greatest, 0)
            + " rpm, known for "
            + Words.number(100.0 * track.knownFraction(), 0)
            + " % of the time)"
        : "";
  }

  private static String listed(List<String> parts) {
    int last = parts.size() - 1;
    return last < 1
        ? String.join("", parts)
        : String.join(", ", parts.subList(0, last)) + " and " + parts.get(last);
  }

  private static String depth(Reading depth) {
    return depth.known()
        ? " by " + Words.ratio(depth)
        : " (how deep is unknown: " + depth.reason() + ")";
  }

  private static boolean swells(Envelope envelope) {
    return envelope != null
        && envelope.rateHz().known()
        && !(envelope.depth().known() && envelope.depth().value() < LEAST_DEPTH_DB);
  }

  /** One fan may flutter too: what beats isn't named where no second line is seen. */
  private void envelope(TextSheet sheet, Envelope envelope) {
    double rate = envelope.rateHz().value();
    String name = speed.medianRpm().known() ? "Order " + envelope.order() : "The line of the fan";
    sheet.wrapped(
        "  ",
        "  ",
        name
            + " ("
            + Words.number(envelope.frequencyHz(), 0)
            + " Hz) swells and fades "
            + Words.number(rate, 2)
            + " times a second"
            + depth(envelope.depth())
            + (envelope.besideHz() == null
                ? ": two fans of nearly one speed that beat, or one that flutters."
                : ": it beats with the line at "
                    + Words.number(envelope.besideHz(), 0)
                    + " Hz, which isn't a fan's."));
    String verdict = Beat.verdictAt(rate);
    sheet.wrapped(
        "  ", "  ", verdict.substring(0, 1).toUpperCase(Locale.ROOT) + verdict.substring(1) + ".");
  }

  private static void sweep(TextSheet sheet, SpeedSweep sweep) {
    int told = Math.min(RANGES_TOLD, sweep.avoid().size());
    for (SpeedRange range : sweep.avoid().subList(0, told)) {
      sheet.wrapped(
          "  ",
          "  ",
          "Avoid "
              + Words.number(range.lowRpm(), 0)
              + " to "
              + Words.number(range.highRpm(), 0)
              + " rpm: order "
              + range.order()
              + " is prominent there, most at "
              + Words.number(range.worstRpm(), 0)
              + " rpm ("
              + Words.number(range.worstHz(), 0)
              + " Hz), "
              + Words.number(range.aboveLimitDb(), 1)
              + " dB above its limit ("
              + range.ratio()
              + ", ECMA-418-1).");
    }
    for (ResonanceCrossing resonance : sweep.resonances()) {
      sheet.wrapped("  ", "  ", resonance(resonance));
    }
    if (sweep.levelSlope().known()) {
      String text =
          "The level rises by "
              + Words.number(sweep.levelSlope().value(), 0)
              + " ± "
              + Words.number(sweep.levelSlopeDeviation().value(), 0)
              + " dB a decade of speed (handbooks: 50 to 55";
      text +=
          sweep.toneSlope().known()
              ? "), that of order "
                  + sweep.toneOrder()
                  + " by "
                  + Words.number(sweep.toneSlope().value(), 0)
                  + " ± "
                  + Words.number(sweep.toneSlopeDeviation().value(), 0)
                  + " (sixth-power law: 60)."
              : ").";
      sheet.wrapped("  ", "  ", text);
    }
  }

  private static String resonance(ResonanceCrossing resonance) {
    boolean one = resonance.orders().size() == 1;
    int decimals = decimals(resonance);
    String interval =
        resonance.lowHz().known()
            ? "95 %: "
                + Words.number(resonance.lowHz().value(), decimals)
                + " to "
                + Words.number(resonance.highHz().value(), decimals)
                + " Hz"
            : "how near is unknown: " + resonance.lowHz().reason();
    return (one ? "Order " : "Orders ")
        + listed(resonance.orders().stream().map(String::valueOf).toList())
        + (one ? " grows" : " grow")
        + " louder by up to "
        + Words.number(resonance.riseDb(), 0)
        + " dB near "
        + Words.number(resonance.frequencyHz(), decimals)
        + " Hz ("
        + interval
        + "): "
        + (one
            ? "perhaps a resonance; no other order passes there that could tell"
            : "a resonance" + without(resonance.ordersWithoutPeak()))
        + ".";
  }

  /** Decimals that the interval of a frequency is worth. */
  private static int decimals(ResonanceCrossing resonance) {
    boolean narrow =
        resonance.lowHz().known()
            && resonance.highHz().value() - resonance.lowHz().value() < NARROW_HZ;
    return narrow ? 1 : 0;
  }

  private static String without(List<Integer> orders) {
    if (orders.isEmpty()) {
      return "";
    }
    boolean one = orders.size() == 1;
    return (one ? ", though order " : ", though orders ")
        + listed(orders.stream().map(String::valueOf).toList())
        + (one ? " passes" : " pass")
        + " there without growing louder";
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
