package org.whinograph.rehearsal;

/**
 * Speed of a shaft through time: a profile of points, a slow drift around it, and jitter, all
 * multiplied. Immutable.
 *
 * @param rpm nominal speed through time [1/min], at least 0; 0 is a stopped fan
 * @param driftPercent greatest deviation of the slow drift, a sine in time [%], 0 for none
 * @param driftPeriodS period of that sine [s], above 0
 * @param jitterPercent rms of the jitter [%], 0 for none
 * @param jitterCornerHz corner frequency of the jitter [Hz], above 0: Gaussian noise through one
 *     pole (an Ornstein–Uhlenbeck process, what a rotor's inertia makes of a random torque). Far
 *     below 1/duration it walks at random
 */
public record SpeedProfile(
    TimeProfile rpm,
    double driftPercent,
    double driftPeriodS,
    double jitterPercent,
    double jitterCornerHz) {
  /** Checks the components. {@inheritDoc} */
  public SpeedProfile {
    for (TimeProfile.Point point : rpm.points()) {
      if (point.value() < 0 || point.value() > 200_000) {
        throw new IllegalArgumentException("rpm: 0 to 200000 1/min, got " + point.value());
      }
    }
    if (!(driftPercent >= 0 && driftPercent < 100) || !(driftPeriodS > 0)) {
      throw new IllegalArgumentException(
          "driftPercent, driftPeriodS: 0 to below 100 % and above 0 s, got "
              + driftPercent
              + " %, "
              + driftPeriodS
              + " s");
    }
    if (!(jitterPercent >= 0 && jitterPercent < 20) || !(jitterCornerHz > 0)) {
      throw new IllegalArgumentException(
          "jitterPercent, jitterCornerHz: 0 to below 20 % and above 0 Hz, got "
              + jitterPercent
              + " %, "
              + jitterCornerHz
              + " Hz");
    }
  }

  /**
   * A constant speed.
   *
   * @param rpm speed [1/min]
   * @return the profile, without drift and jitter
   */
  public static SpeedProfile steady(double rpm) {
    return of(TimeProfile.constant(rpm));
  }

  /**
   * A speed through time.
   *
   * @param rpm speed through time [1/min]
   * @return the profile, without drift and jitter
   */
  public static SpeedProfile of(TimeProfile rpm) {
    return new SpeedProfile(rpm, 0, 30, 0, 2);
  }

  /**
   * A speed through time by points: ramps, and steps where two points share a time.
   *
   * @param timesAndRpm time [s], speed [1/min], time, speed …
   * @return the profile, without drift and jitter
   */
  public static SpeedProfile of(double... timesAndRpm) {
    return of(TimeProfile.of(timesAndRpm));
  }

  /**
   * The same with slow drift.
   *
   * @param percent greatest deviation [%]
   * @param periodS period [s]
   * @return the profile
   */
  public SpeedProfile withDrift(double percent, double periodS) {
    return new SpeedProfile(rpm, percent, periodS, jitterPercent, jitterCornerHz);
  }

  /**
   * The same with jitter.
   *
   * @param rmsPercent rms deviation [%]
   * @param cornerHz corner frequency [Hz]
   * @return the profile
   */
  public SpeedProfile withJitter(double rmsPercent, double cornerHz) {
    return new SpeedProfile(rpm, driftPercent, driftPeriodS, rmsPercent, cornerHz);
  }
}
