package org.whinograph.signal;

import java.util.Arrays;
import org.apache.commons.math3.util.KthSelector;

/**
 * Values by their rank, found by selection: a whole sort tells more than a median needs.
 *
 * <p>Immutable and safe for use by several threads.
 */
public final class Quantile {
  private Quantile() {}

  /**
   * The upper median: of an even number the greater of the middle two.
   *
   * @param values values, none of them NaN [any unit]; left as they are
   * @param count how many count, at least 1
   * @return their median [unit of the values]
   */
  public static double median(double[] values, int count) {
    return ranked(values, count, count / 2);
  }

  /**
   * A value by its rank.
   *
   * @param values values, none of them NaN [any unit]; left as they are
   * @param count how many count, at least 1
   * @param rank how many of them are no greater, below the count
   * @return the value of that rank [unit of the values]
   */
  public static double ranked(double[] values, int count, int rank) {
    return new KthSelector().select(Arrays.copyOf(values, count), null, rank);
  }
}
