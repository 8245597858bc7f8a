package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

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
  void floorIsTheMedianOfEveryOtherLineAround() {
    Random random = new Random(22);
    for (int widest : new int[] {8, 16, 32, 64}) {
      for (int lines : new int[] {300, 1024, 4097}) {
        float[] power = new float[lines];
        for (int k = 0; k < lines; k++) {
          power[k] = random.nextInt(20) == 0 ? 1e3f : random.nextFloat();
        }
        float[] whitened = power.clone();
        new Whitener(lines, widest).whiten(whitened);
        for (int at = 10; at < lines; ) {
          int half = Math.max(8, Math.min(widest, at / 3));
          int from = Math.max(1, at - half);
          float[] around = new float[(Math.min(lines - 1, at + half) - from) / 2 + 1];
          for (int i = 0; i < around.length; i++) {
            around[i] = power[from + 2 * i];
          }
          java.util.Arrays.sort(around);
          double expected = power[at] / (around[around.length / 2] / Math.log(2.0));
          assertEquals(expected, whitened[at], 1e-5 * expected, lines + " lines, at " + at);
          at += half;
        }
      }
    }
  }

  /** Floors that differ by more than a number of single precision resolves, 2⁻²⁴ (IEEE 754). */
  @Test
  void quietBesideLoudKeepsItsFloor() {
    float[] power = new float[4096];
    java.util.Arrays.fill(power, 0, 2048, 1e3f);
    java.util.Arrays.fill(power, 2048, 4096, 1e-12f);
    new Whitener(4096, 32).whiten(power);
    for (int k = 2200; k < 4096; k++) {
      assertEquals(Math.log(2.0), power[k], 1e-6, "at " + k);
    }
    for (float each : power) {
      // On the way down, over 32 lines, a loud one may stand over a floor of as many times less.
      assertTrue(each >= 0f && each <= 32f * Math.log(2.0), "whitened to " + each);
    }
  }

  /** Samples of single precision are rounded by up to 2⁻²⁵ of each (IEEE 754). */
  @Test
  void whatAConstantWasRoundedByIsNoFloor() {
    float[] power = new float[512];
    java.util.Arrays.fill(power, 1e-12f);
    power[0] = 1e6f;
    power[1] = 2.5e5f;
    assertFalse(new Whitener(512, 16).whiten(power));
    java.util.Arrays.fill(power, 2, 512, 1e-8f);
    assertTrue(new Whitener(512, 16).whiten(power));
  }

  @Test
  void silenceHasNoFloor() {
    assertFalse(new Whitener(512, 16).whiten(new float[512]));
  }
}
