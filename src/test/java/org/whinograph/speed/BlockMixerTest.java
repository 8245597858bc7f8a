package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Random;
import org.junit.jupiter.api.Test;

/** Blocks mixed side by side against the sum that defines them, in double precision. */
class BlockMixerTest {
  private static final int BLOCK = 128;
  private static final int COUNT = 12;

  @Test
  void agreesWithTheDefinitionAlsoBeyondTheEnds() {
    Random random = new Random(7);
    float[] audio = new float[BLOCK * (COUNT - 2)];
    for (int i = 0; i < audio.length; i++) {
      audio[i] = (float) random.nextGaussian();
    }
    double[] steps = new double[COUNT];
    for (int b = 0; b < COUNT; b++) {
      steps[b] = 0.05 + 0.7 * random.nextDouble();
    }
    BlockMixer mixer = new BlockMixer(BLOCK);
    int centre = -BLOCK / 2;
    mixer.take(audio, centre, COUNT);
    for (int order : new int[] {1, 3}) {
      mixer.mix(steps, order, COUNT);
      for (int b = 0; b < COUNT; b++) {
        double even = 0.0;
        double odd = 0.0;
        for (int i = -BLOCK; i < BLOCK; i++) {
          int at = centre + b * BLOCK + i;
          double x = at >= 0 && at < audio.length ? audio[at] : 0.0;
          double w = 0.5 + 0.5 * Math.cos(Math.PI * (i + 0.5) / BLOCK);
          even += w * x * Math.cos(order * steps[b] * (i + 0.5));
          odd += w * x * Math.sin(order * steps[b] * (i + 0.5));
        }
        // The sum of squared weights is 3/4 of a block: noise gives about 10.
        assertEquals(even, mixer.even(b), 2e-4);
        assertEquals(odd, mixer.odd(b), 2e-4);
      }
    }
  }
}
