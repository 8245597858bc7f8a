package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

/**
 * Spectra drawn by hand, of exponentially distributed powers. The density of a line that wanders is
 * normal about its middle (closed form); what of it is still found is a judgement.
 */
class SmearedLinesTest {
  private static final int CYCLES = 2048;
  private static final double SPACING_HZ = 500.0;
  private static final int WINDOWS = 6;

  /**
   * Noise, the comb's own line, and one more.
   *
   * @param hz its frequency [Hz]
   * @param wanderHz its standard deviation, 0 for none [Hz]
   * @param carrierDb carrier over the noise in 1 Hz [dB]
   */
  private static boolean any(double hz, double wanderHz, double carrierDb, long seed) {
    double binHz = SPACING_HZ / CYCLES;
    double carrier = Math.pow(10.0, 0.1 * carrierDb);
    Random random = new Random(seed);
    OrderPowers powers = new OrderPowers(CYCLES, 8 * CYCLES);
    for (int w = 0; w < WINDOWS; w++) {
      for (int k = 1; k < 8 * CYCLES; k++) {
        double mean = 1.0 + lobe((k - CYCLES) * binHz, 40.0, binHz, 0.0);
        mean += lobe(k * binHz - hz, carrier, binHz, wanderHz);
        powers.add(k, (float) (-mean * Math.log(1.0 - random.nextDouble())));
      }
    }
    return new SmearedLines(powers, SPACING_HZ, 1.0).any();
  }

  /** Power of a line of a whole carrier, spread by its wander or by the window alone. */
  private static double lobe(double off, double carrier, double binHz, double wanderHz) {
    double wide = Math.max(wanderHz, 0.6 * binHz);
    return carrier * Math.exp(-0.5 * off * off / wide / wide) / (wide * Math.sqrt(2.0 * Math.PI));
  }

  @Test
  void noiseAndFixedTonesDoNotSmear() {
    for (int seed = 0; seed < 8; seed++) {
      assertFalse(any(1414.0, 0.0, -60.0, seed), "noise " + seed);
      assertFalse(any(1414.0, 0.0, 13.0, seed), "faint " + seed);
      assertFalse(any(1414.0, 0.0, 30.0, seed), "loud " + seed);
    }
  }

  @Test
  void aLineThatWandersSmears() {
    for (int seed = 0; seed < 8; seed++) {
      assertTrue(any(1414.0, 2.0, 13.0, seed), "seed " + seed);
      assertTrue(any(1414.0, 0.8, 13.0, seed), "seed " + seed);
    }
  }

  /** Where the comb's own multiples are, its own motion smears. */
  @Test
  void theCombsOwnMultiplesAreItsOwn() {
    assertFalse(any(1000.0, 2.0, 13.0, 1));
  }
}
