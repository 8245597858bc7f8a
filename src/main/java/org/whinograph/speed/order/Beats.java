package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.tone.Tone;

/** The beats of two fans of nearly the same speed, order by order. */
final class Beats {
  /** How closely the envelope's rate agrees with that of the lines' distance [1]. */
  private static final double SAME_RATE = 0.1;

  /** Width of a tone in a spectrum of Hann frames (Harris 1978) [lines]. */
  private static final double MAIN_LOBE_LINES = 4.0;

  private Beats() {}

  /**
   * Rate and depth of each beat.
   *
   * @param view the tones
   * @param verdicts what was said of them
   * @param neighbour the second fan
   * @param envelope how the blade-pass line swells and fades, or null
   * @return both fans, or null without a second one
   */
  static TwoFans of(ToneView view, Verdicts verdicts, NeighbourFan neighbour, Envelope envelope) {
    if (!neighbour.found()) {
      return null;
    }
    List<Beat> beats = new ArrayList<>();
    Set<Integer> told = new HashSet<>();
    double deviation = neighbour.followedDeviation();
    for (int i : view.loudestFirst()) {
      if (!verdicts.ofTheFan(i) || !told.add(verdicts.multiple(i))) {
        continue;
      }
      int k = verdicts.multiple(i);
      double f = k * view.referenceHz();
      double rate = Math.abs(neighbour.shift()) * f;
      Reading depth = Reading.unknown(untold(rate, view.tracks().lineSpacingHz()));
      for (int j = 0; j < view.size(); j++) {
        if (verdicts.cause(j) == Cause.SECOND_FAN && neighbour.partner(j) == i) {
          depth = depth(view.tone(i), view.tone(j));
          deviation = Math.max(deviation, neighbour.shiftDeviation(j, i));
        }
      }
      if (!depth.known() && neighbour.followedLevelDb(k) != null) {
        depth = depth(neighbour.followedLevelDb(k));
      }
      if (!depth.known()
          && envelope != null
          && envelope.order() == k
          && envelope.rateHz().known()
          && Math.abs(envelope.rateHz().value() / rate - 1.0) < SAME_RATE) {
        depth = envelope.depth();
      }
      beats.add(new Beat(k, f, rate, depth, Beat.verdictAt(rate)));
    }
    double rpm = 60.0 * view.referenceHz();
    return new TwoFans(rpm * (1.0 + neighbour.shift()), rpm * deviation, null, null, beats);
  }

  /**
   * An envelope with the line that explains it: one that isn't a fan's, as far from the order as it
   * swells often.
   *
   * @param envelope how an order swells and fades, or null
   */
  static Envelope explained(ToneView view, Verdicts verdicts, Envelope envelope) {
    if (envelope == null || view.motion() == null || !envelope.rateHz().known()) {
      return envelope;
    }
    double rate = envelope.rateHz().value();
    double allowed =
        SAME_RATE * rate
            + view.tracks().lineSpacingHz()
            + 0.25 * view.motion().range() * envelope.frequencyHz();
    for (int j : view.loudestFirst()) {
      Cause cause = verdicts.cause(j);
      boolean noFan = cause == Cause.FIXED || cause == Cause.MAINS || cause == Cause.DRIVE;
      double apart = Math.abs(view.tone(j).frequencyHz() - envelope.frequencyHz());
      if (noFan && Math.abs(apart - rate) <= allowed) {
        return envelope.beside(view.tone(j).frequencyHz());
      }
    }
    return envelope;
  }

  private static String untold(double apartHz, double lineSpacingHz) {
    return apartHz < MAIN_LOBE_LINES * lineSpacingHz
        ? Wording.format("its two lines, %.2f Hz apart, are too near to tell apart", apartHz)
        : "the line of the second fan doesn't stand out there";
  }

  private static Reading depth(Tone one, Tone other) {
    if (!one.level().known() || !other.level().known()) {
      return Reading.unknown("a level is unknown");
    }
    return depth(one.level().value() - other.level().value());
  }

  private static Reading depth(double differenceDb) {
    double ratio = Decibels.toAmplitudeRatio(-Math.abs(differenceDb));
    return Reading.ofFinite(
        Decibels.ofAmplitudeRatio((1.0 + ratio) / (1.0 - ratio)), "both are equally strong");
  }
}
