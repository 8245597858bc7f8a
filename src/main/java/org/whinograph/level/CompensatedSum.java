package org.whinograph.level;

/**
 * A sum that ten hours of addends don't wear out: Neumaier's compensated summation (ZAMM 54 (1974)
 * 39–51), error within two roundings of the result whatever the count.
 */
final class CompensatedSum {
  private double sum;
  private double lost;

  /**
   * Adds a number.
   *
   * @param addend finite
   */
  void add(double addend) {
    double next = sum + addend;
    lost += lostIn(next, addend);
    sum = next;
  }

  /**
   * The sum with one more addend, which is not kept.
   *
   * @param addend finite
   * @return sum of all added and this one
   */
  double plus(double addend) {
    double next = sum + addend;
    return next + (lost + lostIn(next, addend));
  }

  /** What rounding took from sum + addend: the smaller of both lost its last digits. */
  private double lostIn(double next, double addend) {
    return Math.abs(sum) >= Math.abs(addend) ? sum - next + addend : addend - next + sum;
  }
}
