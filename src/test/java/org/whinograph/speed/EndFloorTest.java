package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** White noise of variance σ² under a Hann window w has a mean power of Σ w² σ² in each line. */
class EndFloorTest {
  private static final int LENGTH = 4096;
  private static final double RATE = 16_000.0;
  private static final int PLACES = 40;

  /** Mean floor over the mean power of a line [1], where the noise grows for a moment. */
  private static double floor(double growth) {
    Random random = new Random(11);
    int centre = 6 * LENGTH;
    float[] audio = new float[12 * LENGTH];
    double expected = 0.0;
    for (int i = 0; i < audio.length; i++) {
      double deviation = Math.abs(i - centre) < LENGTH / 8 ? growth : 1.0;
      audio[i] = (float) (deviation * random.nextGaussian());
      double place = (i - centre + 0.5) / LENGTH;
      if (Math.abs(place) < 0.5) {
        double weight = Math.pow(Math.cos(Math.PI * place), 2) * deviation;
        expected += weight * weight;
      }
    }
    EndFloor floor = new EndFloor(RATE, LENGTH);
    floor.begin(audio);
    floor.hear(centre);
    double sum = 0.0;
    for (int i = 1; i <= PLACES; i++) {
      sum += floor.at(i * 0.5 * RATE / (PLACES + 1));
    }
    return sum / PLACES / expected;
  }

  @Test
  void isThatOfTheNoise() {
    assertEquals(1.0, floor(1.0), 0.15);
  }

  /** Means over the windows around would be a fifth. */
  @Test
  void aKnockIsNoise() {
    assertEquals(1.0, floor(30.0), 0.3);
  }
}
