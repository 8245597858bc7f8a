package org.whinograph.report;

import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.tone.Tone;

/**
 * How far a tone stands above its limit of prominence, by the ratio that stands higher: either
 * criterion of ECMA-418-1 suffices.
 *
 * @param tone tone, or null for one that only the speed-following spectrum shows
 * @param aboveLimit ratio less its limit [dB]; negative below the limit
 * @param toneToNoise whether it is the tone-to-noise ratio; else the prominence ratio
 */
public record Excess(Tone tone, double aboveLimit, boolean toneToNoise) {
  /** What following must gain to be told beside the plain ratio [dB]. */
  private static final double WORTH_DB = 1.0;

  /**
   * Name of the ratio.
   *
   * @return the standard's term
   */
  public String ratio() {
    return toneToNoise ? "tone-to-noise ratio" : "prominence ratio";
  }

  /**
   * The excess of a tone.
   *
   * @param tone tone
   * @return its excess, or empty if no ratio with a limit is known
   */
  public static Optional<Excess> of(Tone tone) {
    return of(
        tone,
        tone.toneToNoise(),
        tone.toneToNoiseLimit(),
        tone.prominence(),
        tone.prominenceLimit());
  }

  /**
   * The excess of an order in the spectrum that follows the speed.
   *
   * @param line order
   * @return its excess when followed, or empty if no ratio with a limit is known
   */
  public static Optional<Excess> of(FollowedLine line) {
    return of(
        line.plain(),
        line.followed().toneToNoise(),
        line.followed().toneToNoiseLimit(),
        line.followed().prominence(),
        line.followed().prominenceLimit());
  }

  /**
   * Orders in the spectrum that follows the speed, by how far they stand above their limits.
   *
   * @param lines orders
   * @return those that have a limit, highest first
   */
  public static List<FollowedLine> rankedLines(List<FollowedLine> lines) {
    return lines.stream()
        .filter(line -> of(line).isPresent())
        .sorted(Comparator.comparingDouble(line -> -of(line).orElseThrow().aboveLimit()))
        .toList();
  }

  /**
   * Orders that only the spectrum that follows the speed finds prominent.
   *
   * @param measurement measurement
   * @return orders, the most prominent first
   */
  public static List<FollowedLine> onlyFollowed(Measurement measurement) {
    return rankedLines(
        FollowedLine.of(measurement).stream()
            .filter(FollowedLine::onlyFollowedIsProminent)
            .toList());
  }

  /**
   * A tone of the plain spectrum in the one that follows the speed, if that shows it standing
   * higher by {@value #WORTH_DB} dB and more.
   */
  static Optional<FollowedLine> higher(Measurement measurement, Excess plain) {
    return FollowedLine.of(measurement).stream()
        .filter(line -> plain.tone().equals(line.plain()))
        .filter(
            line ->
                of(line)
                    .filter(followed -> followed.aboveLimit() - plain.aboveLimit() >= WORTH_DB)
                    .isPresent())
        .findFirst();
  }

  private static Optional<Excess> of(
      Tone tone,
      Reading toneToNoise,
      Reading toneToNoiseLimit,
      Reading prominence,
      Reading prominenceLimit) {
    Optional<Double> noise = above(toneToNoise, toneToNoiseLimit);
    Optional<Double> bands = above(prominence, prominenceLimit);
    if (noise.isPresent() && (bands.isEmpty() || noise.get() >= bands.get())) {
      return Optional.of(new Excess(tone, noise.get(), true));
    }
    return bands.map(value -> new Excess(tone, value, false));
  }

  /**
   * The excesses of several tones.
   *
   * @param tones tones
   * @return those that have one, highest first
   */
  public static List<Excess> ranked(List<Tone> tones) {
    return tones.stream()
        .map(Excess::of)
        .flatMap(Optional::stream)
        .sorted(Comparator.comparingDouble(Excess::aboveLimit).reversed())
        .toList();
  }

  private static Optional<Double> above(Reading ratio, Reading limit) {
    return ratio.known() && limit.known()
        ? Optional.of(ratio.value() - limit.value())
        : Optional.empty();
  }
}
