package org.whinograph.speed;

import java.util.List;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;

/**
 * The speed of a fan's shaft out of its sound.
 *
 * <p>Two things are kept apart. The <em>comb</em>, lines that are whole multiples of one frequency
 * and move as one, can be followed with certainty; which multiple of the shaft's frequency its
 * spacing is (the number of blades, as a rule) can't be told from it alone. So {@code comb} may be
 * known while the speed is not; then {@code candidates} say what it could be.
 *
 * <p>Intervals hold what the noise, the jitter of the shaft and the method leave open. The sample
 * clock of the recording is not among it: clocks are off by up to ±100 ppm, which is 0.01 % of any
 * speed (common practice, no source), the same through the whole recording.
 *
 * @param medianRpm median speed over the known frames [1/min]; unknown unless one candidate has a
 *     probability of at least {@link #CLAIM_SPEED}
 * @param lowRpm lower end of the 95 % interval of that median [1/min]
 * @param highRpm upper end of the 95 % interval of that median [1/min]
 * @param probability probability of the leading candidate [1], 0 without one
 * @param blades number of blades if its probability is at least {@link #CLAIM_BLADES}, else null
 * @param candidates what the speed could be, most probable first
 * @param track the speed through time under the leading candidate; all frames unknown if {@code
 *     medianRpm} is
 * @param comb the spacing of the comb through time as the speed that a shaft with one line a turn
 *     would have [60 · Hz]: what is known whatever the number of blades
 * @param combOrder multiple of the shaft's frequency that the comb's spacing is under the leading
 *     candidate, or 0 without one
 * @param rival a second comb that moves on its own (another fan, if it is one), or null
 * @param second the speed of the fan whose comb that is, or why it is unknown; null without such a
 *     comb
 * @param warnings what the reader must know
 */
public record SpeedResult(
    Reading medianRpm,
    Reading lowRpm,
    Reading highRpm,
    double probability,
    Integer blades,
    List<SpeedCandidate> candidates,
    SpeedTrack track,
    SpeedTrack comb,
    int combOrder,
    SpeedTrack rival,
    SecondSpeed second,
    List<Warning> warnings) {
  /** Lowest speed that is looked for [1/min]. */
  public static final double LOWEST_RPM = 600.0;

  /** Highest speed that is looked for [1/min]. */
  public static final double HIGHEST_RPM = 60_000.0;

  /** Probability from which on a speed is stated [1] (judgement: one in two would be no result). */
  public static final double CLAIM_SPEED = 0.7;

  /** Probability from which on a number of blades is stated [1]. */
  public static final double CLAIM_BLADES = 0.95;

  /** Freezes the lists. {@inheritDoc} */
  public SpeedResult {
    candidates = List.copyOf(candidates);
    warnings = List.copyOf(warnings);
  }

  /**
   * The result of not looking for a speed.
   *
   * @param reason why nobody looked, as a sentence
   * @return a result without candidates, whose every number is unknown for that reason
   */
  public static SpeedResult notSought(String reason) {
    Reading unknown = Reading.unknown(reason);
    SpeedTrack nothing = new SpeedTrack(new double[0], new double[0], new double[0], new double[0]);
    return new SpeedResult(
        unknown, unknown, unknown, 0.0, null, List.of(), nothing, nothing, 0, null, null,
        List.of());
  }

  /**
   * Whether there is anything to report: a speed or at least candidates.
   *
   * @return false if no fan was heard, so that files write null
   */
  public boolean heard() {
    return !candidates.isEmpty();
  }
}
