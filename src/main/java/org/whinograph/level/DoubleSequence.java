package org.whinograph.level;

import java.util.Arrays;

/** Numbers one after the other, without a box for each. */
final class DoubleSequence {
  private double[] values = new double[64];
  private int size;

  /**
   * Appends a number.
   *
   * @param value the number
   */
  void add(double value) {
    if (size == values.length) {
      values = Arrays.copyOf(values, size + (size >> 1));
    }
    values[size++] = value;
  }

  /**
   * A copy of the numbers.
   *
   * @return the numbers in order [length: how many were added]
   */
  double[] toArray() {
    return Arrays.copyOf(values, size);
  }
}
