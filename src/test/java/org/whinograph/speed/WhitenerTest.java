package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** The floor under tones by the median of exponentially distributed powers. */
class WhitenerTest {
  @Test
  void noiseOfAnyColourComesOutWithMeanOne() {
    Random random = new Random(21);
    Whitener whitener = new Whitener(4096, 32);
    double sum = 0.0;
    int n = 0;
    for (int frame = 0; frame < 20; frame++) {
      float[] power = new float[4096];
      for (int k = 0; k < power.length; k++) {
        power[k] = (float) (-Math.log(1.0 - random.nextDouble()) * 1e-6 / (1.0 + k / 500.0));
      }
      whitener.whiten(power);
      for (int k = 50; k < power.length; k++) {
        sum += power[k];
        n++;
      }
    }
    // The median of 17 to 33 powers is known to 20 %; its reciprocal is 2 to 6 % too great.
    assertEquals(1.0, sum / n, 0.08);
  }

  @Test
  void toneHardlyLiftsTheFloor() {
    float[] power = new float[4096];
    java.util.Arrays.fill(power, (float) Math.log(2.0));
    power[1000] = 1e6f;
    new Whitener(4096, 32).whiten(power);
    assertEquals(1e6, power[1000], 1.0);
  }

  @Test
  void silenceHasNoFloor() {
    assertFalse(new Whitener(512, 16).whiten(new float[512]));
  }
}
