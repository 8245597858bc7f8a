package org.whinograph.level;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.Test;

class CompensatedSumTest {
  /** The example of Neumaier's paper, in which a plain sum gives 0. */
  @Test
  void keepsWhatAPlainSumLoses() {
    CompensatedSum sum = new CompensatedSum();
    sum.add(1.0);
    sum.add(1e100);
    sum.add(1.0);
    assertEquals(2.0, sum.plus(-1e100), 0.0);
    sum.add(-1e100);
    assertEquals(2.0, sum.plus(0.0), 0.0);
  }
}
