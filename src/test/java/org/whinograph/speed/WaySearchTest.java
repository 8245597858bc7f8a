package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.whinograph.speed.WaySearch.Way;

/**
 * Combs whose spacing is a known function of time, f = f₀ + s t or with a bend, phase 2π ∫ f dt, in
 * white noise of stated density: a sine of amplitude a has a²/2 over N₀ (definition).
 */
class WaySearchTest {
  private static final double RATE = 48_000.0;
  private static final int LENGTH = 16_384;
  private static final int[] ORDERS = {1, 2, 3};
  private static final double HALF_S = 0.5 * LENGTH / RATE;
  private static final int STEPS = 14;
  private static final double START_HZ = 300.0;

  private final WaySearch search = new WaySearch(RATE, LENGTH, 20_000.0);
  private final float[] audio = new float[(STEPS + 4) * LENGTH / 2];

  @BeforeEach
  void addNoise() {
    Random random = new Random(11);
    for (int i = 0; i < audio.length; i++) {
      audio[i] = (float) random.nextGaussian();
    }
  }

  /** Seconds from the first window's middle. */
  private static double time(int sample) {
    return (double) (sample - LENGTH) / RATE;
  }

  /** Spacing that goes up evenly until a moment and then stays [Hz]. */
  private static double hz(double time, double slope, double until) {
    return START_HZ + slope * Math.min(time, until);
  }

  private void addComb(double slope, double until, double carrierDb) {
    // Density of noise of variance 1 is 2/rate.
    double amplitude = Math.sqrt(2.0 * 2.0 / RATE * Math.pow(10.0, carrierDb / 10.0));
    double cycles = 0.0;
    for (int i = 0; i < audio.length; i++) {
      for (int order : ORDERS) {
        audio[i] += (float) (amplitude * Math.sin(2.0 * Math.PI * order * cycles + order));
      }
      cycles += hz(time(i), slope, until) / RATE;
    }
  }

  private List<Way> startAt(double slope) {
    search.begin(audio, ORDERS, new double[0]);
    search.beginEnd();
    return List.of(new Way(null, START_HZ, slope, 0.01, 0.0));
  }

  private int centre(int step) {
    return LENGTH + step * LENGTH / 2;
  }

  @Test
  void staysOnACombAndKnowsHowWell() {
    for (double slope : new double[] {-35.0, 0.0, 60.0, 150.0}) {
      addNoise();
      addComb(slope, Double.POSITIVE_INFINITY, 27.0);
      List<Way> ways = startAt(slope);
      for (int step = 1; step <= STEPS; step++) {
        ways = search.onward(centre(step), ways, HALF_S);
        Way best = ways.get(0);
        double truth = hz(step * HALF_S, slope, Double.POSITIVE_INFINITY);
        String name = slope + " Hz/s, step " + step;
        assertTrue(search.nats() > 5.0, name + ": " + search.nats());
        assertEquals(truth, best.hz(), 4.0 * Math.sqrt(best.variance()), name);
        assertEquals(truth, best.hz(), 0.003 * truth, name);
        assertEquals(slope, best.slope(), 0.25 * truth, name);
      }
    }
  }

  @Test
  void goesRoundABend() {
    double until = 5.3 * HALF_S;
    addComb(120.0, until, 30.0);
    List<Way> ways = startAt(120.0);
    for (int step = 1; step <= STEPS; step++) {
      ways = search.onward(centre(step), ways, HALF_S);
    }
    double truth = hz(STEPS * HALF_S, 120.0, until);
    assertEquals(truth, ways.get(0).hz(), 0.003 * truth);
    assertEquals(0.0, ways.get(0).slope(), 0.05 * truth);
  }

  @Test
  void noiseIsNoLikelierACombThanNoise() {
    double sum = 0.0;
    List<Way> ways = startAt(0.0);
    for (int step = 1; step <= STEPS; step++) {
      ways = search.onward(centre(step), ways, HALF_S);
      sum += search.nats();
    }
    // The mean of a likelihood ratio under noise is 1, of its logarithm less (Jensen).
    assertTrue(sum / STEPS < 0.5, "mean " + sum / STEPS);
  }

  @Test
  void aPlaceIsReadAgainWhereTheCombIs() {
    addComb(60.0, Double.POSITIVE_INFINITY, 27.0);
    startAt(60.0);
    double truth = hz(6 * HALF_S, 60.0, Double.POSITIVE_INFINITY);
    Way again = search.refined(centre(6), truth + 0.8, 60.0, 0.6);
    assertTrue(again.weight() > 5.0, "" + again.weight());
    assertEquals(truth, again.hz(), 4.0 * Math.sqrt(again.variance()));
    assertTrue(Math.sqrt(again.variance()) < 0.3, "" + again.variance());
  }

  @Test
  void noiseTellsNoPlaceWithinReach() {
    startAt(0.0);
    double deviation = 2.0;
    int wide = 0;
    for (int step = 1; step <= STEPS; step++) {
      Way again = search.refined(centre(step), START_HZ, 0.0, deviation);
      // Evenly likely within ±3 deviations: a deviation of 3/√3 of one.
      wide += Math.sqrt(again.variance()) > 0.5 * deviation ? 1 : 0;
    }
    assertTrue(wide >= STEPS - 2, "wide in " + wide);
  }
}
