package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/**
 * A chirp of known slope, cos 2πf(t + ρt²/2). Under a Hann window of N samples a line of amplitude
 * a has the power (a/2 · N/2)² in its middle (Harris 1978, coherent gain 1/2).
 */
class SlopedSpectraTest {
  private static final double RATE = 16_000.0;
  private static final int LENGTH = 4096;
  private static final double HZ = 512.0 * RATE / LENGTH / 5.0;
  private static final int[] ORDERS = {1, 2, 5};

  private final SlopedSpectra spectra = new SlopedSpectra(RATE, LENGTH, ORDERS.length);

  private static float[] chirp(double hz, double slope) {
    float[] audio = new float[3 * LENGTH];
    for (int i = 0; i < audio.length; i++) {
      double t = (i - 1.5 * LENGTH) / RATE;
      for (int order : ORDERS) {
        audio[i] +=
            (float) Math.cos(2.0 * Math.PI * order * hz * (t + 0.5 * slope * t * t) + order);
      }
    }
    return audio;
  }

  private double levelDb(int band, int slope, double hz) {
    int line = (int) Math.rint(hz * 2 * LENGTH / RATE);
    double full = LENGTH / 4.0 * (LENGTH / 4.0);
    return 10.0 * Math.log10(spectra.power(band, slope, line) / full);
  }

  @Test
  void eachSlopeIsSharpWhereItIsAndNowhereElse() {
    double grid = 50.0 / HZ / 5.0;
    for (int k : new int[] {-9, -1, 0, 4, 12}) {
      for (double middle : new double[] {0.0, 0.8, -1.5}) {
        float[] audio = chirp(HZ, middle + k * grid);
        spectra.hear(audio, 3 * LENGTH / 2, middle, HZ, ORDERS);
        spectra.make(grid, 0.0, -SlopedSpectra.SIDE, SlopedSpectra.SIDE);
        for (int b = 0; b < ORDERS.length; b++) {
          double line = ORDERS[b] * HZ;
          String name = k + " from " + middle + ", order " + ORDERS[b];
          // Lines of a spectrum of twice the length: at worst a quarter line off, 0.2 dB.
          assertEquals(0.0, levelDb(b, k, line), 0.25, name);
        }
        double others = levelDb(2, k + 3, 5.0 * HZ);
        assertTrue(others < -3.0, k + " from " + middle + ": " + others);
      }
    }
  }

  @Test
  void aDriftOfTheSpacingGoesWithTheSlope() {
    double grid = 0.04;
    double drift = 0.064 * HZ * grid;
    int k = 10;
    double hz = HZ + k * drift;
    float[] audio = chirp(hz, 0.3 + k * grid);
    spectra.hear(audio, 3 * LENGTH / 2, 0.3, HZ, ORDERS);
    spectra.make(grid, drift / HZ, -4, k);
    assertEquals(0.0, levelDb(2, k, 5.0 * hz), 0.25);
    assertTrue(levelDb(2, k - 3, 5.0 * hz) < -3.0);
  }

  @Test
  void fewSlopesHaveThePowersOfMany() {
    double grid = 0.04;
    spectra.hear(chirp(HZ, 0.1), 3 * LENGTH / 2, 0.0, HZ, ORDERS);
    int line = (int) Math.rint(5.0 * HZ * 2 * LENGTH / RATE);
    spectra.make(grid, 0.002, -SlopedSpectra.SIDE, SlopedSpectra.SIDE);
    float[] many = {
      spectra.power(2, -1, line), spectra.power(2, 0, line), spectra.power(2, 3, line)
    };
    spectra.make(grid, 0.002, -1, 3);
    float[] few = {
      spectra.power(2, -1, line), spectra.power(2, 0, line), spectra.power(2, 3, line)
    };
    assertArrayEquals(many, few);
  }

  @Test
  void whatWasNotMadeIsNoPower() {
    int there = (int) Math.rint(HZ * 2 * LENGTH / RATE);
    spectra.hear(chirp(HZ, 0.0), 3 * LENGTH / 2, 0.0, HZ, ORDERS);
    assertTrue(spectra.power(0, 0, there) < 0f);
    spectra.make(0.1, 0.0, -2, 3);
    assertTrue(spectra.power(0, -2, there) >= 0f);
    assertTrue(spectra.power(0, 3, there) >= 0f);
    assertTrue(spectra.power(0, -3, there) < 0f);
    assertTrue(spectra.power(0, 4, there) < 0f);
    assertTrue(spectra.power(0, 0, 4000) < 0f);
  }
}
