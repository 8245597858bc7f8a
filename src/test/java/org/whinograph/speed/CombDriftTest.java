package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

/** The drift forward, by recursions, and backward, by its kernel, are one Markov chain. */
class CombDriftTest {
  private static final int CELLS = 1000;
  private static final int CELL = 500;

  private static double[] moved(int slope) {
    double[] state = new double[CELLS];
    state[CELL] = 0.5;
    byte[] slopes = new byte[CELLS];
    slopes[CELL] = (byte) slope;
    new CombDrift(CELLS).move(state, slopes);
    return state;
  }

  @ParameterizedTest
  @ValueSource(ints = {-7, -1, 0, 3})
  void forwardAndBackwardAgree(int slope) {
    double[] state = moved(slope);
    for (int by = -60; by <= 60; by++) {
      double back = CombDrift.moved(by, slope) / (1.0 - CombDrift.STOP - CombDrift.JUMP);
      assertEquals(back, 2.0 * state[CELL + by], 1e-6, "by " + by);
    }
  }

  /** Each row of a Markov chain sums to 1 (Rabiner, Proc. IEEE 77(2), 1989, eq. 3). */
  @ParameterizedTest
  @ValueSource(ints = {-7, 0, 3})
  void nothingIsLost(int slope) {
    assertEquals(0.5, Arrays.stream(moved(slope)).sum(), 1e-6);
  }

  @Test
  void aSlopeCarriesOn() {
    double[] state = moved(4);
    assertTrue(state[CELL + 16] > state[CELL + 12] && state[CELL + 16] > state[CELL + 20]);
  }

  @Test
  void whatIsNowhereNearAStateIsCleared() {
    double[] state = new double[CELLS];
    state[100] = 1.0;
    state[900] = 0.1 * CombDrift.NEGLIGIBLE;
    new CombDrift(CELLS).move(state, new byte[CELLS]);
    assertEquals(0.0, state[900]);
    assertTrue(state[101] > 0.0);
  }
}
