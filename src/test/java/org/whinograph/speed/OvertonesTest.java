package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import java.util.function.IntToDoubleFunction;
import org.junit.jupiter.api.Test;

/**
 * A pulse train has all multiples of its frequency, a square wave the odd ones (Fourier series). A
 * fan has few orders but those of its blades (common practice, no source); the weights are a
 * judgement.
 */
class OvertonesTest {
  private static final int CYCLES = 512;
  private static final int ORDERS = 24;

  /** Noise with lines through a Hann window at orders with the given power over it [dB]. */
  private static Overtones with(IntToDoubleFunction powerDb) {
    Random random = new Random(11);
    OrderPowers powers = new OrderPowers(CYCLES, (ORDERS + 1) * CYCLES);
    for (int w = 0; w < 8; w++) {
      for (int k = 1; k < (ORDERS + 1) * CYCLES; k++) {
        int order = (int) Math.rint((double) k / CYCLES);
        double off = k - order * CYCLES;
        double line = order == 0 ? 0.0 : Math.pow(10.0, 0.1 * powerDb.applyAsDouble(order));
        powers.add(k, (float) (line * Math.exp(-off * off) - Math.log(1.0 - random.nextDouble())));
      }
    }
    return new Overtones(new StackedLines(powers, ORDERS, 6.0));
  }

  private static double bladePass(int order, int blades, double othersDb) {
    return order % blades == 0 ? 36.0 - 4.0 * (order / blades - 1) : othersDb;
  }

  @Test
  void allMultiplesOrAllOddOnesAreOneOscillations() {
    Overtones all = with(k -> 35.0 - 0.5 * k + 3.0 * Math.sin(7.0 * k));
    Overtones odd = with(k -> k % 2 == 0 ? -99.0 : 35.0 - 20.0 * Math.log10(k));
    for (int blades : new int[] {5, 7, 9, 11}) {
      assertTrue(all.weigh(1, blades) < -2.0, blades + ": " + all.weigh(1, blades));
      assertTrue(odd.weigh(1, blades) < -2.0, blades + ": " + odd.weigh(1, blades));
    }
  }

  @Test
  void gapsAreAFans() {
    Overtones fan = with(k -> bladePass(k, 7, k <= 2 ? 26.0 : -99.0));
    assertTrue(fan.weigh(1, 7) > 4.0, "" + fan.weigh(1, 7));
  }

  @Test
  void bladePassOfUnevenBladesStandsOut() {
    Overtones fan = with(k -> bladePass(k, 7, 18.0 + 2.0 * Math.sin(7.0 * k)));
    assertTrue(fan.weigh(1, 7) > 1.0, "" + fan.weigh(1, 7));
    assertTrue(fan.weigh(1, 9) < -2.0, "" + fan.weigh(1, 9));
  }

  @Test
  void bladePassAloneAndTooFewLinesSayNothing() {
    assertEquals(0.0, with(k -> bladePass(k, 5, -99.0)).weigh(1, 5), 0.0);
    assertEquals(0.0, with(k -> k <= 3 ? 30.0 : -99.0).weigh(1, 7), 0.0);
  }
}
