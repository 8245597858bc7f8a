package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** A line's place in a long spectrum is known to a part of a bin; the parts are a judgement. */
class OrderEvidenceTest {
  private static final int CYCLES = 2048;

  /** Noise with a line through a Hann window, whose main lobe is about exp(−x²) in x bins. */
  private static OrderEvidence with(double order) {
    Random random = new Random(31);
    OrderPowers powers = new OrderPowers(CYCLES, 4 * CYCLES);
    for (int w = 0; w < 6; w++) {
      for (int k = 1; k < 4 * CYCLES; k++) {
        double off = k - order * CYCLES;
        double power = -Math.log(1.0 - random.nextDouble()) + 60.0 * Math.exp(-off * off);
        powers.add(k, (float) power);
      }
    }
    return new OrderEvidence(powers);
  }

  @Test
  void aLineABinFromALowOrderIsAnothers() {
    for (int q : new int[] {5, 7, 10, 13}) {
      double bin = 1.0 / CYCLES;
      assertFalse(with(1.0 / q).isBeside(1.0 / q), "1/" + q);
      assertFalse(with(1.0 / q + 0.3 * bin).isBeside(1.0 / q), "1/" + q);
      assertTrue(with(1.0 / q + 1.1 * bin).isBeside(1.0 / q), "1/" + q);
      assertTrue(with(1.0 / q - 1.1 * bin).isBeside(1.0 / q), "1/" + q);
    }
  }

  @Test
  void atHighOrdersTheCombsOwnErrorIsAsGreat() {
    assertFalse(with(2.0 + 1.1 / CYCLES).isBeside(2.0));
  }
}
