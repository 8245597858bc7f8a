package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
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

  /**
   * A faint fixed line that is there all the time is no comb to leap to while the fan stops, and
   * who follows the fan through a run-down knows that it is one.
   */
  @Test
  void aFaintLineIsNotVisitedWhileTheFanStops() {
    int known = 0;
    for (int seed = 0; seed < 4; seed++) {
      SimulatedFan fan =
          new SimulatedFan(5, 6.0, 3255.0, 8.7, 0.0, 10.7, 0.0, 11.8, 4065.0)
              .bladePass(19, 13, 16)
              .order(1, 12)
              .order(2, 12)
              .jitter(0.15, 0.5)
              .fixed(1477.2, 25)
              .fixed(1936.8, 13)
              .fixed(403.0, 19)
              .make(24, 60 + seed);
      known += onTheFan(fan, SpeedHints.ofBlades(5), seed);
    }
    assertTrue(known > 4 * 70, "known: " + known);
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

  /**
   * Of two lines that stand still either may be the fan's. One that is alone or far stronger than
   * all others is told, and one that lies where the speed is said to be.
   */
  @Test
  void oneOfSeveralStandingLinesIsToldOnlyWithEvidence() {
    SpeedHints blades = SpeedHints.ofBlades(7);
    SpeedHints near = new SpeedHints(7, 2400.0, null, null);
    SimulatedFan alone = oneLine(18).make(20, 21);
    assertEquals(2431.0, alone.analyse(blades, 4096).medianRpm().value(), 2.431);
    SimulatedFan beneath = oneLine(18).fixed(733.1, 23).make(20, 22);
    assertFalse(beneath.analyse(blades, 4096).medianRpm().known());
    assertEquals(2431.0, beneath.analyse(near, 4096).medianRpm().value(), 2.431);
    SimulatedFan above = oneLine(24).fixed(733.1, 20).make(20, 23);
    assertFalse(above.analyse(blades, 4096).medianRpm().known());
    assertEquals(2431.0, above.analyse(near, 4096).medianRpm().value(), 2.431);
    SimulatedFan farAbove = oneLine(33).fixed(733.1, 15).make(20, 24);
    assertEquals(2431.0, farAbove.analyse(blades, 4096).medianRpm().value(), 2.431);
  }

  /** The line of a fan is told from a louder one by what it moves. */
  @Test
  void aFaintLineThatMovesIsPreferredToALoudOneThatStands() {
    SimulatedFan fan =
        new SimulatedFan(61, 3, 1180, 17, 1230)
            .bladePass(13)
            .jitter(0.1, 0.3)
            .fixed(668.3, 20)
            .rate(16_000)
            .make(20, 25);
    SpeedResult result = fan.analyse(SpeedHints.ofBlades(61), 4096);
    assertEquals(1205.0, result.medianRpm().value(), 25.0);
  }

  /** A fan that wanders by 3 Hz beneath the noise of half a second is still heard in 20 s. */
  @Test
  void aToneIsNotToldBesideAFanTooFaintToFollow() {
    for (int seed = 41; seed < 44; seed++) {
      SimulatedFan fan =
          new SimulatedFan(9, 0, 9429)
              .bladePass(12.2)
              .jitter(0.22, 0.3)
              .fixed(2911.1, 20)
              .rate(16_000)
              .make(20, seed);
      SpeedResult result = fan.analyse(SpeedHints.ofBlades(9), 4096);
      assertTrue(
          !result.medianRpm().known() || Math.abs(result.medianRpm().value() / 9429 - 1.0) < 0.02,
          "seed " + seed + ": " + result.medianRpm());
    }
  }

  /**
   * Two fixed tones at 7/2 and 12/2 or 7/2 and 9/2 of blade-pass make a comb of its half together
   * with it, on which no line lies; two alone make one of any two numbers.
   */
  @Test
  void aCombWithoutItsFirstLineIsNotClaimed() {
    double bladePass = 37 * 1302.2 / 60;
    for (double[] tones : new double[][] {{3.5, 6}, {3.5, 4.5}}) {
      for (int seed = 31; seed < 34; seed++) {
        SimulatedFan fan =
            new SimulatedFan(37, 0, 1302.2)
                .bladePass(16, 10)
                .jitter(0.1, 0.5)
                .fixed(tones[0] * bladePass, 21)
                .fixed(tones[1] * bladePass, 19)
                .rate(16_000)
                .make(20, seed);
        assertRightOrUnknown(1302.2, fan.analyse(SpeedHints.none(), 4096));
        assertRightOrUnknown(1302.2, fan.analyse(SpeedHints.ofBlades(37), 4096));
      }
    }
  }

  /** A fixed tone lies on the second multiple of blade-pass at the speed after a stop. */
  @Test
  void aFixedLineDoesNotHoldTheCombThroughAStop() {
    for (int seed = 41; seed < 44; seed++) {
      SimulatedFan fan =
          new SimulatedFan(9, 0, 1946, 8, 1946, 10, 0, 13, 0, 16, 1304)
              .bladePass(20, 17, 13)
              .jitter(0.05, 0.3)
              .fixed(2 * 9 * 1304 / 60.0, 22)
              .rate(16_000)
              .make(26, seed);
      SpeedTrack track = fan.analyse(SpeedHints.ofBlades(9), 4096).track();
      int right = 0;
      for (int i = 0; i < track.frames(); i++) {
        double rpm = track.rpm()[i];
        double truth = fan.meanRpm(track.timeS()[i], 0.25);
        if (!Double.isNaN(rpm)) {
          assertEquals(truth, rpm, 0.05 * truth, "at " + track.timeS()[i] + " s");
          right++;
        }
      }
      assertTrue(right > 0.6 * track.frames(), right + " of " + track.frames());
    }
  }

  /** Above 4 kHz a cell of the search is wider than a line, so that a path hits none exactly. */
  @Test
  void aHighFixedLineIsNotTakenForAPartOfTheRun() {
    for (int seed = 0; seed < 2; seed++) {
      SimulatedFan fan =
          new SimulatedFan(11, 40, 4115, 60, 7750)
              .bladePass(17, 15, 12)
              .order(1, 8)
              .jitter(0.1, 0.5)
              .fixed(6200, 23)
              .rate(16_000)
              .make(80, 140 + seed);
      int known = onTheFan(fan, SpeedHints.none(), seed);
      assertTrue(known > 0.9 * 80 / 0.256, "known: " + known);
    }
  }

  /** A run-up that bends, 1 − exp(−t/τ), has frames whose mean lies beneath their middle. */
  @Test
  void aBendingRunUpIsWithinItsInterval() {
    double[] course = new double[84];
    course[0] = 8;
    course[2] = 10;
    for (int k = 0; k < 40; k++) {
      course[4 + 2 * k] = 10 + 0.1 * (k + 1);
      course[5 + 2 * k] = 2400 * (1.0 - Math.exp(-(k + 1) / 6.0));
    }
    int inside = 0;
    int count = 0;
    for (int seed = 51; seed < 55; seed++) {
      SimulatedFan fan =
          new SimulatedFan(9, course).bladePass(28, 24, 20).rate(16_000).make(22, seed);
      SpeedTrack track = fan.analyse(SpeedHints.ofBlades(9), 4096).track();
      for (int i = 0; i < track.frames(); i++) {
        double truth = fan.meanRpm(track.timeS()[i], 0.256);
        double off = track.rpm()[i] / truth - 1.0;
        if (truth > 1200 && truth < 2200 && Math.abs(off) < 0.05) {
          inside += track.lowRpm()[i] <= truth && truth <= track.highRpm()[i] ? 1 : 0;
          count++;
        }
      }
    }
    assertTrue(count >= 10, count + " frames");
    assertTrue(inside >= 0.9 * count, inside + " of " + count + " inside");
  }

  /**
   * The shaft's own lines make the better comb here, but only blade-pass tells the speed sharply
   * enough for orders as high as itself.
   */
  @Test
  void manyBladesAreFoundBehindLoudShaftOrders() {
    for (int seed = 0; seed < 3; seed++) {
      SimulatedFan fan =
          new SimulatedFan(43, 0, 3052)
              .bladePass(25, 17)
              .order(1, 20)
              .order(2, 19)
              .jitter(0.2, 0.5)
              .fixed(2337.0, 21)
              .make(20, 80 + seed);
      SpeedResult result = fan.analyse(SpeedHints.none(), 4096);
      assertEquals(3052.0, result.medianRpm().value(), 0.002 * 3052.0, "seed " + seed);
      assertEquals(43, result.blades());
    }
  }

  /** Without blade-pass a fixed line isn't taken for it, near a multiple of the shaft or not. */
  @Test
  void aFixedLineIsNoBladePassOfShaftOrders() {
    for (int seed = 0; seed < 4; seed++) {
      SpeedResult result =
          new SimulatedFan(43, 0, 3052)
              .order(1, 20)
              .order(2, 19)
              .jitter(0.2, 0.5)
              .fixed(3052.0 / 60.0 * (40.0 + 0.25 * seed), 26)
              .make(20, 90 + seed)
              .analyse(SpeedHints.none(), 4096);
      assertRightOrUnknown(3052.0, result);
      assertEquals(null, result.blades(), "seed " + seed);
    }
  }

  /** A motor's order beside blade-pass, as loud as it. */
  @Test
  void aLoudMotorOrderIsNoBladePass() {
    int right = 0;
    for (int seed = 0; seed < 4; seed++) {
      SpeedResult result =
          new SimulatedFan(7, 0, 4310)
              .bladePass(22, Double.NaN, 14)
              .order(1, 17)
              .order(2, 19)
              .order(12, 22)
              .jitter(0.12, 0.5)
              .make(20, 100 + seed)
              .analyse(SpeedHints.none(), 4096);
      assertRightOrUnknown(4310.0, result);
      right += result.medianRpm().known() ? 1 : 0;
      assertTrue(result.blades() == null || result.blades() == 7);
    }
    assertTrue(right >= 3, "right: " + right);
  }

  /** Where a fan rests, the mains may be all that is left near its comb. */
  @Test
  void humIsNotFollowedThroughAStop() {
    int known = 0;
    for (int seed = 0; seed < 3; seed++) {
      SimulatedFan fan =
          new SimulatedFan(37, 7.0, 3547.0, 8.3, 0.0, 12.0, 0.0, 14.0, 4297.0)
              .bladePass(22, 18, 19)
              .order(1, 14)
              .order(2, 19)
              .order(4, 21)
              .jitter(0.07, 0.5)
              .fixed(50.01, 14)
              .fixed(100.02, 15)
              .fixed(150.03, 20)
              .fixed(200.04, 19)
              .fixed(300.06, 12)
              .make(24, 110 + seed);
      known += onTheFan(fan, SpeedHints.none(), seed);
    }
    assertTrue(known > 3 * 60, "known: " + known);
  }

  /** After a silence the search may take up another multiple: orders tell which one. */
  @Test
  void aRestartIsToldOnTheSameMultiple() {
    int known = 0;
    for (int seed = 0; seed < 4; seed++) {
      SimulatedFan fan =
          new SimulatedFan(7, 8.0, 5910.0, 9.5, 0.0, 12.0, 0.0, 13.5, 6160.0)
              .bladePass(25, Double.NaN, 22)
              .order(1, 18)
              .order(2, 23)
              .order(12, 24)
              .jitter(0.14, 0.5)
              .fixed(333.3, 27)
              .fixed(283.2, 20)
              .make(24, 130 + seed);
      known += onTheFan(fan, SpeedHints.none(), seed);
    }
    assertTrue(known > 3 * 60, "known: " + known);
  }

  /**
   * A fixed line lies next to the fifth order of the shaft before a stop, and next to the fourth
   * after it: it goes along with neither.
   */
  @Test
  void aFixedLineBesideOtherOrdersAfterAStopDrawsNothing() {
    for (int seed = 0; seed < 4; seed++) {
      SimulatedFan fan =
          new SimulatedFan(37, 5.5, 3060.0, 7.7, 0.0, 9.3, 0.0, 11.0, 3774.0)
              .bladePass(26)
              .order(1, 20)
              .order(2, 23)
              .order(8, 22)
              .jitter(0.15, 0.5)
              .fixed(256.3, 31)
              .make(24, 150 + seed);
      SpeedTrack comb = fan.analyse(SpeedHints.ofRpmNear(3774), 4096).comb();
      int right = 0;
      for (int i = 4; i < 20; i++) {
        double ratio = comb.rpm()[i] / fan.meanRpm(comb.timeS()[i], 0.256);
        right += Math.abs(ratio / Math.rint(ratio) - 1.0) < 0.002 ? 1 : 0;
      }
      assertTrue(right >= 14, "seed " + seed + ": " + right + " of 16");
    }
  }

  /** While a fan rests, another machine is heard at a speed that the fan could not have got to. */
  @Test
  void whatIsHeardWhileTheFanRestsIsNotIts() {
    for (int seed = 0; seed < 3; seed++) {
      SimulatedFan fan =
          new SimulatedFan(7, 7.0, 4210.0, 8.0, 0.0, 17.0, 0.0, 18.0, 4320.0)
              .bladePass(26, 20, 15)
              .order(1, 18)
              .jitter(0.1, 0.5)
              .make(26, 160 + seed);
      SimulatedFan other =
          new SimulatedFan(1, 9.5, 0.0, 9.6, 5050.0, 15.4, 5150.0, 15.5, 0.0)
              .bladePass(27, 25, 25, 20)
              .jitter(0.1, 0.5)
              .make(26, 170 + seed);
      for (int i = 0; i < fan.samples().length; i++) {
        fan.samples()[i] += other.samples()[i];
      }
      assertTrue(onTheFan(fan, SpeedHints.ofBlades(7), seed) > 30);
    }
  }

  /**
   * Of two fans alike in blades one stops and starts again. Its track mustn't go over to the other
   * meanwhile, which is heard all along and told as a second comb.
   */
  @Test
  void theTrackStaysWithItsFanWhileThatRests() {
    SimulatedFan fan =
        new SimulatedFan(9, 22.0, 3000.0, 27.0, 0.0, 42.0, 0.0, 46.0, 2100.0)
            .bladePass(26, 21, 17)
            .order(1, 19)
            .jitter(0.05, 0.5)
            .rate(16_000)
            .make(64, 210);
    SimulatedFan other =
        new SimulatedFan(9, 0, 3740.0, 64, 3500.0)
            .bladePass(25, 21)
            .order(1, 17)
            .order(2, 17)
            .jitter(0.05, 0.5)
            .rate(16_000)
            .make(64, 211);
    for (int i = 0; i < fan.samples().length; i++) {
      fan.samples()[i] += other.samples()[i];
    }
    SpeedResult result = fan.analyse(SpeedHints.ofBlades(9), 4096);
    SpeedTrack track = result.track();
    int known = 0;
    for (int i = 0; i < track.frames(); i++) {
      if (!Double.isNaN(track.rpm()[i])) {
        known++;
        double rpm = fan.meanRpm(track.timeS()[i], 0.256);
        assertEquals(1.0, track.rpm()[i] / rpm, 0.02, "at " + track.timeS()[i] + " s");
      }
    }
    assertTrue(known > 130, known + " frames");
    assertNotNull(result.rival());
    int beside = 0;
    for (int i = 0; i < track.frames(); i++) {
      double ratio = result.rival().rpm()[i] / other.meanRpm(track.timeS()[i], 0.256);
      beside += Math.abs(ratio / Math.rint(ratio) - 1.0) < 0.005 ? 1 : 0;
    }
    assertTrue(beside > 200, beside + " frames");
  }

  /**
   * A motor's twelfth order is stronger than blade-pass by 9 dB. Who gives eleven blades mustn't be
   * told that it is the eleventh.
   */
  @Test
  void aStrongOrderOfTheMotorIsNotBladePass() {
    for (int seed = 0; seed < 3; seed++) {
      SimulatedFan fan =
          new SimulatedFan(11, 10.0, 2960.0, 17.0, 1780.0)
              .bladePass(21, 15, 9)
              .order(12, 30)
              .order(24, 17)
              .jitter(0.2, 0.3)
              .rate(16_000)
              .make(30, 400 + seed);
      assertTrue(onTheFan(fan, SpeedHints.ofBlades(11), seed, 0.04) > 60);
    }
  }

  /**
   * Two fans of nearly one speed, each about as strong as the other. A search that goes to and fro
   * between them mustn't take that for motion, nor the lines of one for fixed ones. Nearly all of
   * the pairs 3.5 % apart are told, hardly any of those of half the speed.
   */
  @Test
  void oneOfTwoFansIsToldThoughTheOtherIsNear() {
    int right = 0;
    for (int seed = 0; seed < 24; seed++) {
      int first = seed < 6 ? 180 : 1174;
      int blades = seed % 6 < 3 ? 13 : 11;
      double rpm = seed % 6 < 3 ? 2101.0 : 3962.0;
      double other = seed % 6 < 3 ? 2161.0 : 3827.0;
      SimulatedFan fan =
          new SimulatedFan(blades, 0, rpm)
              .bladePass(20, 15)
              .order(1, 13)
              .order(2, 15)
              .jitter(0.06, 0.3)
              .rate(16_000)
              .make(24, first + seed);
      SimulatedFan near =
          new SimulatedFan(blades, 0, other)
              .bladePass(18, 13)
              .order(1, 13)
              .order(2, 13)
              .jitter(0.06, 0.3)
              .rate(16_000)
              .make(24, first + 10 + seed);
      for (int i = 0; i < fan.samples().length; i++) {
        fan.samples()[i] += near.samples()[i];
      }
      SpeedResult result = fan.analyse(SpeedHints.none(), 4096);
      if (result.medianRpm().known()) {
        double told = result.medianRpm().value();
        assertEquals(0.0, Math.min(Math.abs(told - rpm), Math.abs(told - other)), 4.0);
        right++;
      }
    }
    assertTrue(right >= 10, right + " of 24 told");
  }

  /** Imbalance of another fan lies a third of a percent from a tenth of blade-pass. */
  @Test
  void theTurnsOfAnotherFanAreNoOrdersOfThisOne() {
    for (int seed = 0; seed < 3; seed++) {
      SimulatedFan fan =
          new SimulatedFan(9, 0, 3064.0)
              .bladePass(29, 21, 23)
              .jitter(0.1, 0.3)
              .rate(16_000)
              .make(24, 200 + seed);
      SimulatedFan other =
          new SimulatedFan(9, 0, 2766.0)
              .bladePass(21, 17)
              .order(1, 18)
              .order(2, 13)
              .jitter(0.1, 0.3)
              .rate(16_000)
              .make(24, 210 + seed);
      for (int i = 0; i < fan.samples().length; i++) {
        fan.samples()[i] += other.samples()[i];
      }
      assertRightOrUnknown(3064.0, fan.analyse(SpeedHints.none(), 4096));
    }
  }

  /** One line of the hum is loud, the others are too faint to be seen at once. */
  @Test
  void oneLoudLineOfTheHumIsNoComb() {
    int right = 0;
    for (int seed = 0; seed < 4; seed++) {
      SpeedResult result =
          new SimulatedFan(23, 0, 2606)
              .bladePass(21, Double.NaN, 14, 16)
              .order(1, 15)
              .order(2, 13)
              .jitter(0.2, 0.5)
              .fixed(99.98, 23)
              .fixed(199.96, 11)
              .fixed(299.94, 10)
              .make(24, 120 + seed)
              .analyse(SpeedHints.none(), 4096);
      assertRightOrUnknown(2606.0, result);
      right += result.medianRpm().known() ? 1 : 0;
    }
    assertTrue(right >= 2, "right: " + right);
  }

  /** Number of frames in which the speed is told; in all of them it is the fan's. */
  private static int onTheFan(SimulatedFan fan, SpeedHints hints, int seed) {
    return onTheFan(fan, hints, seed, 0.1);
  }

  private static int onTheFan(SimulatedFan fan, SpeedHints hints, int seed, double tolerance) {
    SpeedTrack track = fan.analyse(hints, 4096).track();
    int known = 0;
    for (int i = 0; i < track.frames(); i++) {
      double rpm = track.rpm()[i];
      if (!Double.isNaN(rpm)) {
        known++;
        double truth = fan.meanRpm(track.timeS()[i], 0.512);
        assertEquals(1.0, rpm / truth, tolerance, "seed " + seed + ", " + track.timeS()[i] + " s");
      }
    }
    return known;
  }

  private static void assertRightOrUnknown(double rpm, SpeedResult result) {
    if (result.medianRpm().known()) {
      assertEquals(rpm, result.medianRpm().value(), 0.01 * rpm);
    }
  }

  private static SimulatedFan oneLine(double carrierDb) {
    return new SimulatedFan(7, 0, 2431).bladePass(carrierDb).rate(16_000);
  }

  @Test
  void wrongArgumentsAreNamed() {
    assertThrows(IllegalArgumentException.class, () -> new SpeedAnalyser(100, SpeedHints.none()));
    assertThrows(IllegalArgumentException.class, () -> SpeedHints.ofBlades(0));
    assertThrows(IllegalArgumentException.class, () -> SpeedHints.ofRpmNear(10));
    assertThrows(IllegalArgumentException.class, () -> SpeedHints.ofTaggedLine(-1, 7));
  }
}
