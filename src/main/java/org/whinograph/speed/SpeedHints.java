package org.whinograph.speed;

/**
 * What the tester knows of the fan beforehand. Each hint pins one fact; the rest is solved again
 * around it.
 *
 * @param blades number of blades, 1 to 128, or null
 * @param rpmNear speed in whose neighbourhood the fan runs for most of the recording [1/min], or
 *     null; candidates are weighed down by a normal distribution of ln rpm with a standard
 *     deviation of 0.1 around it
 * @param taggedHz frequency of a line whose order is known [Hz], or null
 * @param taggedOrder order of that line of the shaft, at least 1, or null; given with {@code
 *     taggedHz} only
 */
public record SpeedHints(Integer blades, Double rpmNear, Double taggedHz, Integer taggedOrder) {
  /** Standard deviation of ln rpm around a speed that is given as near [1] (judgement). */
  static final double NEAR_DEVIATION = 0.1;

  /** Standard deviation of ln rpm around what a tagged line says [1] (judgement). */
  static final double TAGGED_DEVIATION = 0.01;

  /** Logarithm of the range of speeds. */
  private static final double RANGE = Math.log(SpeedResult.HIGHEST_RPM / SpeedResult.LOWEST_RPM);

  /** Checks the components. {@inheritDoc} */
  public SpeedHints {
    if (blades != null && (blades < 1 || blades > 128)) {
      throw new IllegalArgumentException("blades: 1 to 128, got " + blades);
    }
    if (rpmNear != null
        && !(rpmNear >= SpeedResult.LOWEST_RPM && rpmNear <= SpeedResult.HIGHEST_RPM)) {
      throw new IllegalArgumentException(
          "rpmNear: "
              + SpeedResult.LOWEST_RPM
              + " to "
              + SpeedResult.HIGHEST_RPM
              + " 1/min, got "
              + rpmNear);
    }
    if ((taggedHz == null) != (taggedOrder == null)) {
      throw new IllegalArgumentException(
          "taggedHz, taggedOrder: both or none, got " + taggedHz + ", " + taggedOrder);
    }
    if (taggedHz != null && (!(taggedHz > 0) || Double.isInfinite(taggedHz) || taggedOrder < 1)) {
      throw new IllegalArgumentException(
          "taggedHz, taggedOrder: above 0 Hz and at least 1, got " + taggedHz + ", " + taggedOrder);
    }
  }

  /**
   * Nothing is known.
   *
   * @return no hints
   */
  public static SpeedHints none() {
    return new SpeedHints(null, null, null, null);
  }

  /**
   * The number of blades is known.
   *
   * @param count number of blades, 1 to 128
   * @return the hint
   */
  public static SpeedHints ofBlades(int count) {
    return new SpeedHints(count, null, null, null);
  }

  /**
   * The speed is roughly known.
   *
   * @param rpm speed [1/min]
   * @return the hint
   */
  public static SpeedHints ofRpmNear(double rpm) {
    return new SpeedHints(null, rpm, null, null);
  }

  /**
   * The order of one line is known.
   *
   * @param frequencyHz frequency of the line for most of the recording [Hz]
   * @param order order of the shaft, at least 1
   * @return the hint
   */
  public static SpeedHints ofTaggedLine(double frequencyHz, int order) {
    return new SpeedHints(null, null, frequencyHz, order);
  }

  /**
   * Whether nothing is known.
   *
   * @return true without any hint
   */
  public boolean isEmpty() {
    return blades == null && rpmNear == null && taggedHz == null;
  }

  /** How much likelier a line is the fan's blade-pass than any other, by what is known [1]. */
  double suits(double hz) {
    if (blades != null) {
      return density(60.0 * hz / blades);
    }
    double sum = 0.0;
    double all = 0.0;
    for (int count = 1; count <= ShaftOrders.MOST_BLADES; count++) {
      double prior = ShaftOrders.bladePrior(count);
      sum += prior * density(60.0 * hz / count);
      all += prior;
    }
    return sum / all;
  }

  /** Density of the logarithm of a speed by what is known, over an even one [1]. */
  double density(double rpm) {
    if (rpm < SpeedResult.LOWEST_RPM || rpm > SpeedResult.HIGHEST_RPM) {
      return 0.0;
    }
    double result = 1.0;
    if (rpmNear != null) {
      result *= normal(Math.log(rpm / rpmNear), NEAR_DEVIATION);
    }
    if (taggedHz != null) {
      double tagged = 60.0 * taggedHz / taggedOrder;
      result *= normal(Math.log(rpm / tagged), TAGGED_DEVIATION);
    }
    return result;
  }

  private static double normal(double off, double deviation) {
    double z = off / deviation;
    return RANGE * Math.exp(-0.5 * z * z) / (deviation * Math.sqrt(2.0 * Math.PI));
  }
}
