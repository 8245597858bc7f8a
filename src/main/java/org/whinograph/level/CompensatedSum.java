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
    if (Math.abs(sum) >= Math.abs(addend)) {
      lost += sum - next + addend;
    } else {
      lost += addend - next + sum;
    }
    sum = next;
  }

  /**
   * The sum with one more addend, which is not kept.
   *
   * @param addend finite
   * @return sum of all added and this one
   */
  double plus(double addend) {
    return sum + (lost + addend);
  }
}
