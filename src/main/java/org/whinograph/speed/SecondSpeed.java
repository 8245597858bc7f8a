package org.whinograph.speed;

import org.whinograph.quantity.Reading;

/**
 * The speed of a second fan out of the comb of lines that moves on its own.
 *
 * @param medianRpm median speed over the known frames [1/min]; unknown, with the reason, unless one
 *     reading of the comb has a probability of at least {@link #CLAIM_SPEED}
 * @param deviationRpm standard deviation of that median [1/min]; NaN where it is unknown
 * @param probability probability of the leading reading [1], 0 without one
 * @param blades number of blades if its probability is at least {@link SpeedResult#CLAIM_BLADES},
 *     else null
 * @param track the speed through time; null where it is unknown
 */
public record SecondSpeed(
    Reading medianRpm, double deviationRpm, double probability, Integer blades, SpeedTrack track) {
  /**
   * Probability from which on the speed of a second fan is stated [1] (judgement: more than of a
   * first one, whose lines are there as well and may be taken for its).
   */
  public static final double CLAIM_SPEED = 0.9;

  /** The result where the speed isn't known. */
  static SecondSpeed unknown(String reason, double probability) {
    return new SecondSpeed(Reading.unknown(reason), Double.NaN, probability, null, null);
  }
}
