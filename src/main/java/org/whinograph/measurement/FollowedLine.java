package org.whinograph.measurement;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.stream.IntStream;
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
public record FollowedLine(Double order, Cause cause, FollowingTone followed, Tone plain) {
  /** A ratio that gains less by following than this isn't worth a line of its own [dB]. */
  private static final double WORTH_DB = 1.0;

  /**
   * All orders of a recording that were followed.
   *
   * @param measurement measurement
   * @return orders, each once, in order of frequency
   */
  public static List<FollowedLine> of(Measurement measurement) {
    List<FollowedLine> lines = new ArrayList<>();
    if (measurement.tones() == null) {
      return lines;
    }
    List<Tone> tones = measurement.tones().tones();
    Set<Double> seen = new HashSet<>();
    for (int i : byRatio(tones)) {
      FollowingTone followed = measurement.orders().following().get(i);
      ToneOrigin origin = measurement.orders().origins().get(i);
      // Where the plain spectrum shows one order at several places, the strongest tells it.
      if (origin.sameLineAs() == null
          && followed.toneToNoise().known()
          && seen.add(followed.frequencyHz())) {
        lines.add(new FollowedLine(origin.order(), origin.cause(), followed, tones.get(i)));
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

  /**
   * Places of the tones by their tone-to-noise ratio, the highest first, those without one last.
   */
  private static List<Integer> byRatio(List<Tone> tones) {
    return IntStream.range(0, tones.size())
        .boxed()
        .sorted(
            Comparator.comparingDouble(
                i ->
                    tones.get(i).toneToNoise().known()
                        ? -tones.get(i).toneToNoise().value()
                        : Double.POSITIVE_INFINITY))
        .toList();
  }

  /**
   * Whether following shows more of it than the plain spectrum does.
   *
   * @return true if its tone-to-noise ratio gains {@value #WORTH_DB} dB and more, or only the
   *     spectrum that follows the speed shows it or finds it prominent
   */
  public boolean gains() {
    return plain == null
        || !plain.toneToNoise().known()
        || followed.toneToNoise().value() - plain.toneToNoise().value() >= WORTH_DB
        || onlyFollowedIsProminent();
  }

  /**
   * Whether it is prominent when followed, and not in the plain spectrum.
   *
   * @return whether; false where it can't be judged when followed
   */
  public boolean onlyFollowedIsProminent() {
    return Boolean.TRUE.equals(followed.prominent())
        && (plain == null || !Boolean.TRUE.equals(plain.prominent()));
  }

  /**
   * Speed of the shaft at which the ratios hold.
   *
   * @return speed [1/min], or null if the shaft's speed isn't known
   */
  public Double rpm() {
    return followed.rpm(order);
  }

  /**
   * The plain tone-to-noise ratio.
   *
   * @return ratio [dB]; unknown if the plain spectrum shows no such tone
   */
  public Reading plainToneToNoise() {
    return plain == null
        ? Reading.unknown("the plain spectrum shows no such tone")
        : plain.toneToNoise();
  }
}
