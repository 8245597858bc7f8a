package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** What the analyser does with simple recordings; rates over many are in the verification. */
class SpeedAnalyserTest {
  private static SimulatedFan sevenBlades() {
    return new SimulatedFan(7, 0, 2431)
        .bladePass(22, 16, 12)
        .order(1, 14)
        .order(2, 10)
        .make(20, 11);
  }

  @Test
  void aSteadyFanWithShaftOrdersIsKnownToATenthOfAPercent() {
    SpeedResult result = sevenBlades().analyse(SpeedHints.none(), 4096);
    assertEquals(2431.0, result.medianRpm().value(), 2.431);
    assertEquals(7, result.blades());
    assertTrue(result.track().knownFraction() > 0.9);
  }

  @Test
  void blocksDoNotChangeAnything() {
    SimulatedFan fan = sevenBlades();
    SpeedResult one = fan.analyse(SpeedHints.none(), 1 << 20);
    SpeedResult other = fan.analyse(SpeedHints.none(), 997);
    assertArrayEquals(one.track().rpm(), other.track().rpm());
    assertArrayEquals(one.track().highRpm(), other.track().highRpm());
    assertEquals(one.candidates(), other.candidates());
  }

  @Test
  void bladePassAloneNamesNoNumberOfBlades() {
    SimulatedFan fan = new SimulatedFan(7, 0, 2431).bladePass(25, 19, 15).make(20, 12);
    SpeedResult free = fan.analyse(SpeedHints.none(), 4096);
    assertEquals(null, free.blades());
    assertFalse(free.medianRpm().known());
    assertTrue(free.candidates().size() >= 3);
    SpeedResult pinned = fan.analyse(SpeedHints.ofBlades(7), 4096);
    assertEquals(2431.0, pinned.medianRpm().value(), 2.431);
    SpeedResult near = fan.analyse(SpeedHints.ofRpmNear(2400), 4096);
    assertEquals(2431.0, near.medianRpm().value(), 2.431);
    SpeedResult tagged = fan.analyse(SpeedHints.ofTaggedLine(2 * 283.6, 14), 4096);
    assertEquals(2431.0, tagged.medianRpm().value(), 2.431);
  }

  /** Lines alone fit every number of blades; noise that swells once a turn tells the shaft. */
  @Test
  void noiseThatSwellsWithTheShaftTellsTheSpeed() {
    for (int seed = 0; seed < 3; seed++) {
      int blades = new int[] {7, 9, 37}[seed];
      SpeedResult told = swelling(blades, 1.0, seed).analyse(SpeedHints.none(), 4096);
      assertEquals(2431.0, told.medianRpm().value(), 2.431);
      assertTrue(told.blades() == null || told.blades() == blades);
      // Something else's swell, and each blade's own, say nothing of the shaft.
      for (double order : new double[] {1.73, blades}) {
        SpeedResult other = swelling(blades, order, seed).analyse(SpeedHints.none(), 4096);
        assertFalse(other.medianRpm().known(), blades + " blades, order " + order);
        assertEquals(null, other.blades());
      }
    }
  }

  private static SimulatedFan swelling(int blades, double order, long seed) {
    return new SimulatedFan(blades, 0, 2431)
        .bladePass(25, 19, 15)
        .jitter(0.05, 0.4)
        .swell(order, 0.04)
        .make(20, 30 + seed);
  }

  /**
   * The comb is the shaft's own here; read as blade-pass, its multiples 3 to 6 would be missing.
   */
  @Test
  void imbalanceAndASingleBladePassLineTellTheSpeed() {
    for (int seed = 0; seed < 3; seed++) {
      SpeedResult result =
          new SimulatedFan(7, 0, 4957)
              .bladePass(24)
              .order(1, 20)
              .order(2, 21)
              .jitter(0.1, 0.4)
              .make(20, 40 + seed)
              .analyse(SpeedHints.none(), 4096);
      assertEquals(4957.0, result.medianRpm().value(), 0.004 * 4957.0);
      assertTrue(result.blades() == null || result.blades() == 7);
    }
  }

  @Test
  void noiseAndSilenceAreNoFan() {
    assertFalse(new SimulatedFan(1).make(20, 13).analyse(SpeedHints.none(), 4096).heard());
    SpeedAnalyser silent = new SpeedAnalyser(48_000, SpeedHints.none());
    assertFalse(silent.result().heard());
  }

  /** 56 blades at nearly 3000 rpm would have their first three shaft orders where the hum is. */
  @Test
  void faintHumIsNoShaftOrder() {
    for (int seed = 14; seed < 17; seed++) {
      SpeedResult result =
          new SimulatedFan(43, 0, 3897)
              .bladePass(29, 19)
              .jitter(0.3, 0.5)
              .fixed(50, 12)
              .fixed(100, 10)
              .fixed(150, 13)
              .make(30, seed)
              .analyse(SpeedHints.none(), 4096);
      assertFalse(result.medianRpm().known(), () -> "seed: " + result.candidates());
    }
  }

  @Test
  void wrongArgumentsAreNamed() {
    assertThrows(IllegalArgumentException.class, () -> new SpeedAnalyser(100, SpeedHints.none()));
    assertThrows(IllegalArgumentException.class, () -> SpeedHints.ofBlades(0));
    assertThrows(IllegalArgumentException.class, () -> SpeedHints.ofRpmNear(10));
    assertThrows(IllegalArgumentException.class, () -> SpeedHints.ofTaggedLine(-1, 7));
  }
}
