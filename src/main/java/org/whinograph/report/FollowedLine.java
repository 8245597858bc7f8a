package org.whinograph.report;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.FollowedOrder;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.tone.Tone;

/**
 * An order as the speed-following spectrum shows it, beside what the plain one shows of it.
 *
 * @param order order of the shaft, or null
 * @param cause where it comes from
 * @param followed the order when followed, its tone-to-noise ratio known
 * @param plain the tone of the plain spectrum, or null if that shows none
 */
record FollowedLine(Double order, Cause cause, FollowingTone followed, Tone plain) {
  /** A ratio that gains less by following than this isn't worth a line of its own [dB]. */
  private static final double WORTH_DB = 1.0;

  /** All orders that were followed, each once, in order of frequency. */
  static List<FollowedLine> of(Measurement measurement) {
    List<FollowedLine> lines = new ArrayList<>();
    if (measurement.tones() == null) {
      return lines;
    }
    Set<Double> seen = new HashSet<>();
    for (Tone tone : Excess.byRatio(measurement.tones().tones())) {
      FollowingTone followed = ToneOriginFields.following(measurement, tone);
      ToneOrigin origin = ToneOriginFields.of(measurement, tone);
      // Where the plain spectrum shows one order at several places, the strongest tells it.
      if (followed.toneToNoise().known() && seen.add(followed.frequencyHz())) {
        lines.add(new FollowedLine(origin.order(), origin.cause(), followed, tone));
      }
    }
    for (FollowedOrder only : measurement.orders().followedOnly()) {
      if (only.tone().toneToNoise().known()) {
        lines.add(new FollowedLine(only.order(), only.cause(), only.tone(), null));
      }
    }
    lines.sort(Comparator.comparingDouble(line -> line.followed().frequencyHz()));
    return lines;
  }

  /** Whether following shows more of it than the plain spectrum does. */
  boolean gains() {
    return plain == null
        || !plain.toneToNoise().known()
        || followed.toneToNoise().value() - plain.toneToNoise().value() >= WORTH_DB
        || onlyFollowedIsProminent();
  }

  /** Whether it is prominent when followed, and not in the plain spectrum. */
  boolean onlyFollowedIsProminent() {
    return Boolean.TRUE.equals(followed.prominent())
        && (plain == null || !Boolean.TRUE.equals(plain.prominent()));
  }

  /** How far it stands above its limit when followed, by the ratio that stands higher. */
  Optional<Excess> excess() {
    return Excess.of(
        plain,
        followed.toneToNoise(),
        followed.toneToNoiseLimit(),
        followed.prominence(),
        followed.prominenceLimit());
  }

  /** The plain tone-to-noise ratio, unknown if the plain spectrum shows no such tone. */
  Reading plainToneToNoise() {
    return plain == null
        ? Reading.unknown("the plain spectrum shows no such tone")
        : plain.toneToNoise();
  }
}
