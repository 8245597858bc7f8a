package org.whinograph.signal;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;

/** Against the values in their order, as the standard library sorts them. */
class QuantileTest {
  @Test
  void everyRankIsThatOfTheSortedValues() {
    Random random = new Random(5);
    for (int count = 1; count <= 64; count++) {
      double[] values = random.doubles(count + 3).map(x -> Math.rint(20.0 * x)).toArray();
      double[] sorted = Arrays.copyOf(values, count);
      Arrays.sort(sorted);
      double[] before = values.clone();
      for (int rank = 0; rank < count; rank++) {
        assertEquals(sorted[rank], Quantile.ranked(values, count, rank));
      }
      assertEquals(sorted[count / 2], Quantile.median(values, count));
      assertArrayEquals(before, values);
    }
  }
}
