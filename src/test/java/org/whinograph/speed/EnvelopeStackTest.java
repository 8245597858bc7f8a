package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.signal.PowerTransform;

/**
 * Noise of known swell. White noise up to a part β of half the rate, (1 + m cos θ) n, squared
 * through a window w of N values, has a line m² (Σw²)² σ⁴ over a floor of 2 σ⁴/β Σw⁴: the
 * autocovariance of a squared Gaussian is twice the square of its own (Isserlis). With Hann's Σw² =
 * 3N/8 and Σw⁴ = 35N/128 that is a ratio of 9/35 m² N β.
 */
class EnvelopeStackTest {
  private static final int CYCLES = 512;
  private static final int LENGTH = 32 * CYCLES;
  private static final int LINES = (int) (0.8 * LENGTH / 2);
  private static final int WINDOWS = 16;

  private static OrderPowers stacked(double depth, double order, double toneDb, long seed) {
    Random random = new Random(seed);
    EnvelopeStack stack = new EnvelopeStack(CYCLES);
    PowerTransform transform = new PowerTransform(LENGTH, 1);
    float[] bell = new float[LENGTH];
    double energy = 0.0;
    for (int i = 0; i < LENGTH; i++) {
      bell[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / LENGTH));
      energy += bell[i] * (double) bell[i];
    }
    float[] values = new float[LENGTH];
    float[][] powers = new float[1][LENGTH / 2];
    double amplitude = toneDb == 0.0 ? 0.0 : Math.sqrt(2.0 * Math.pow(10.0, toneDb / 10.0));
    for (int w = 0; w < WINDOWS; w++) {
      double phase = 2.0 * Math.PI * random.nextDouble();
      for (int i = 0; i < LENGTH; i++) {
        double turn = 2.0 * Math.PI * i * CYCLES / LENGTH;
        double swell = 1.0 + depth * Math.cos(order * turn + phase);
        double tones = Math.cos(turn) + Math.cos((1.0 + order) * turn);
        values[i] = (float) (swell * random.nextGaussian() + amplitude * tones);
      }
      transform.powers(values, new int[1], bell, powers);
      for (int k = 0; k < LENGTH / 2; k++) {
        powers[0][k] /= (float) energy;
      }
      stack.add(values, bell, LENGTH, powers[0], LINES);
    }
    return stack.lines();
  }

  @Test
  void theLineOfASwellIsAsTheoryHasIt() {
    double depth = 0.05;
    double expected = 1.0 + 9.0 / 35.0 * depth * depth * LENGTH * LINES / (LENGTH / 2.0);
    double sum = 0.0;
    for (int seed = 0; seed < 8; seed++) {
      sum += stacked(depth, 0.125, 0.0, seed).power(0.125) / 8.0;
    }
    // 128 windows of a line ρ: standard deviation of the mean √(2ρ + 1)/√128, 4 %; lines that pass
    // for tones, and the floor by thirty bins, take and give a few per cent.
    assertEquals(expected, sum, 0.15 * expected);
  }

  @Test
  void steadyNoiseAndLinesHaveNone() {
    assertTrue(stacked(0.0, 0.125, 0.0, 21).power(0.125) < 2.0);
    // Two strong lines whose difference is that very order: they are taken out.
    assertTrue(stacked(0.0, 0.125, 10.0, 22).power(0.125) < 2.0);
    assertTrue(stacked(0.1, 0.125, 0.0, 23).power(0.25) < 3.0);
  }
}
