package org.whinograph.weighting;

import org.whinograph.quantity.Decibels;

/**
 * Exponential time weightings F and S (IEC 61672-1:2013, 5.8): the squared, frequency-weighted
 * pressure p² averaged as (1/τ) ∫ p²(ξ) e^(−(t−ξ)/τ) dξ.
 *
 * <p>For samples the integral is carried out exactly with p² held between two samples, which gives
 * y ← y + (1 − e^(−1/(fs·τ)))·(p² − y). No bilinear or first-order approximation of the coefficient
 * enters: the decay e^(−t/τ) and the response 1 − e^(−T/τ) to a burst are the standard's own at
 * every rate. All methods are pure.
 */
public enum TimeWeighting {
  /** Fast: τ = 0.125 s. */
  F(0.125),
  /** Slow: τ = 1 s. */
  S(1.0);

  /** How many time constants an average that starts from nothing needs, see {@link #settlingS}. */
  private static final double SETTLING_TIME_CONSTANTS = 5.0;

  private final double timeConstantS;

  TimeWeighting(double timeConstantS) {
    this.timeConstantS = timeConstantS;
  }

  /**
   * Time constant τ.
   *
   * @return τ [s]
   */
  public double timeConstantS() {
    return timeConstantS;
  }

  /**
   * Weight of a new squared sample: 1 − e^(−1/(fs·τ)).
   *
   * @param sampleRateHz frames a second [Hz], above 0
   * @return coefficient [1], between 0 and 1
   */
  public double coefficient(double sampleRateHz) {
    return -Math.expm1(-1.0 / (sampleRateHz * timeConstantS));
  }

  /**
   * Rate at which the level falls once the sound has stopped: 10 lg(e)/τ, 34.7 dB/s for F and 4.34
   * dB/s for S.
   *
   * @return decay rate [dB/s], above 0
   */
  public double decayRateDbPerS() {
    return Decibels.ofEnergyRatio(Math.E) / timeConstantS;
  }

  /**
   * Time that an average started from nothing needs until it may count as a minimum or a
   * percentile: 5 τ, after which it reads a steady sound 10 lg(1 − e^(−5)) = −0.03 dB low, a third
   * of what the standard allows between F and S on a steady signal.
   *
   * @return settling time [s]
   */
  public double settlingS() {
    return SETTLING_TIME_CONSTANTS * timeConstantS;
  }
}
