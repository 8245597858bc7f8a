package org.whinograph.speed;

import java.util.List;

/**
 * What a comb says of its shaft: the readings of its orders, weighed by how probable it is that the
 * comb is a fan's, and the likeliest order and number of blades over all of them.
 *
 * <p>Immutable.
 */
final class WeighedReadings {
  private static final int MOST_CANDIDATES = 8;
  private static final double LEAST_PROBABILITY = 0.005;
  private static final int MOST_BLADES = 128;

  private final List<ShaftOrders.Reading> readings;
  private final double fan;
  private final double[] byOrder = new double[2 * ShaftOrders.MOST_BLADES + 1];
  private final double[] byBlades = new double[MOST_BLADES + 1];
  private final int order;
  private final int blades;

  /**
   * Weighs readings.
   *
   * @param readings the readings, the most probable first
   * @param fan probability that the comb is a fan's [1]
   */
  WeighedReadings(List<ShaftOrders.Reading> readings, double fan) {
    this.readings = List.copyOf(readings);
    this.fan = fan;
    for (ShaftOrders.Reading reading : readings) {
      byOrder[reading.combOrder()] += fan * reading.probability();
      byBlades[reading.blades()] += fan * reading.probability();
    }
    this.order = greatest(byOrder);
    this.blades = greatest(byBlades);
  }

  private static int greatest(double[] values) {
    int greatest = 1;
    for (int i = 1; i < values.length; i++) {
      greatest = values[i] > values[greatest] ? i : greatest;
    }
    return greatest;
  }

  /** Likeliest multiple of the shaft's frequency that the comb's spacing is. */
  int order() {
    return order;
  }

  /** Its probability [1]. */
  double probability() {
    return byOrder[order];
  }

  /**
   * Speed of the shaft [1/min].
   *
   * @param spacingHz spacing of the comb [Hz]
   */
  double rpm(double spacingHz) {
    return 60.0 * spacingHz / order;
  }

  /** Number of blades if it is probable enough to be stated, else null. */
  Integer claimedBlades() {
    return byBlades[blades] >= SpeedResult.CLAIM_BLADES ? blades : null;
  }

  /**
   * What the speed could be, the most probable first.
   *
   * @param medianHz median spacing of the comb [Hz]
   */
  List<SpeedCandidate> candidates(double medianHz) {
    return readings.stream()
        .limit(MOST_CANDIDATES)
        .map(
            reading ->
                new SpeedCandidate(
                    60.0 * medianHz / reading.combOrder(),
                    reading.blades(),
                    fan * reading.probability()))
        .filter(candidate -> candidate.probability() >= LEAST_PROBABILITY)
        .toList();
  }
}
