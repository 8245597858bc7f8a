package org.whinograph.floor;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.band.Band;
import org.whinograph.band.BandLevel;
import org.whinograph.band.BandResult;
import org.whinograph.level.LevelHistory;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;

class FloorMapTest {
  private static final LevelUnit PA = LevelUnit.SOUND_PRESSURE;

  private static LevelResult levels(double laeq, double[] laeq1s) {
    Reading a = Reading.of(laeq);
    Reading none = Reading.unknown("not measured here");
    return new LevelResult(
        a,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        new LevelHistory(laeq1s, laeq1s, laeq1s, 1));
  }

  /** Bands of one level, steady or swinging by some dB at each second. */
  private static BandResult bands(double level, double swing, int seconds) {
    List<BandLevel> thirds = new ArrayList<>();
    for (Band band : Band.thirdOctaves()) {
      thirds.add(
          new BandLevel(band.nominalHz(), band.midbandHz(), Reading.of(level), Reading.of(level)));
    }
    float[][] through = new float[seconds][thirds.size()];
    for (int i = 0; i < seconds; i++) {
      Arrays.fill(through[i], (float) (level + (i % 2 == 0 ? swing : -swing)));
    }
    return new BandResult(List.of(), thirds, through);
  }

  private static NoiseRecording noise(double level, double swing) {
    double[] seconds = new double[30];
    for (int i = 0; i < seconds.length; i++) {
      seconds[i] = level + (i % 2 == 0 ? swing : -swing);
    }
    return new NoiseRecording(
        "background.wav", PA, levels(level, seconds), bands(level, swing, 30));
  }

  @Test
  void theHighestPartCounts() throws RefusedException {
    Quantisation coarse = new Quantisation(48_000, 16, false, 131);
    FloorMap map = FloorMap.of(PA, coarse, noise(12, 0), noise(9, 0));
    FloorBand low = map.thirdOctaves().get(0);
    FloorBand high = map.thirdOctaves().get(30);
    assertEquals(FloorPart.SELF_NOISE, low.part());
    assertEquals(12, low.highest().value());
    // 32.9 dB over 24 kHz, of which the band at 20 kHz holds 4.6 kHz.
    assertEquals(FloorPart.QUANTISATION, high.part());
    assertEquals(32.9 + Decibels.ofEnergyRatio(4619 / 24_000.0), high.highest().value(), 0.05);
    assertEquals(FloorPart.QUANTISATION, map.aWeighted().part());
    assertTrue(map.warnings().isEmpty());
  }

  @Test
  void unknownPartsAreLeftOut() throws RefusedException {
    FloorMap none = FloorMap.of(PA, null, null, null);
    assertNull(none.aWeighted().part());
    assertTrue(!none.thirdOctaves().get(5).highest().known());
    FloorMap floating =
        FloorMap.of(PA, new Quantisation(48_000, 32, true, 100), null, noise(20, 0));
    assertTrue(!floating.thirdOctaves().get(5).quantisation().known());
    assertEquals(FloorPart.BACKGROUND, floating.thirdOctaves().get(5).part());
  }

  @Test
  void gradesFollowTheLimits() throws RefusedException {
    FloorMap map = FloorMap.of(PA, null, null, noise(20, 0));
    GradedLevels far =
        BackgroundCorrection.grade(map, levels(35.1, new double[0]), bands(35.1, 0, 1));
    assertEquals(Grade.MEASURED, far.laeq().grade());
    assertEquals(35.1, far.laeq().corrected().value());
    GradedLevels near = BackgroundCorrection.grade(map, levels(30, new double[0]), bands(26, 0, 1));
    assertEquals(Grade.CORRECTED, near.laeq().grade());
    assertEquals(30 - 0.458, near.laeq().corrected().value(), 0.001);
    assertEquals(Grade.CORRECTED, near.thirdOctaves().get(3).grade());
    assertEquals(26 - 1.256, near.thirdOctaves().get(3).corrected().value(), 0.001);
    GradedLevels under =
        BackgroundCorrection.grade(map, levels(25.9, new double[0]), bands(19, 0, 1));
    assertEquals(Grade.UPPER_BOUND, under.laeq().grade());
    assertEquals(25.9 - 1.256, under.laeq().corrected().value(), 0.001);
    assertEquals(19 - 1.256, under.thirdOctaves().get(0).corrected().value(), 0.001);
    assertEquals("upper-bound-levels", under.warnings().get(0).code());
  }

  @Test
  void anUnsteadyBackgroundAllowsNoCorrection() throws RefusedException {
    FloorMap map = FloorMap.of(PA, null, null, noise(20, 4));
    assertEquals("unsteady-background", map.warnings().get(0).code());
    GradedLevels near = BackgroundCorrection.grade(map, levels(30, new double[0]), bands(40, 0, 1));
    assertEquals(Grade.UPPER_BOUND, near.laeq().grade());
    assertEquals(30, near.laeq().corrected().value());
    assertEquals(Grade.MEASURED, near.thirdOctaves().get(20).grade());
  }

  @Test
  void chanceIsntUnsteadiness() {
    // Seconds of a 20 Hz third octave (4.6 Hz wide) spread by 2 dB by chance alone.
    Random random = new Random(3);
    double[] levels = random.doubles(60).map(x -> 20).toArray();
    for (int i = 0; i < levels.length; i++) {
      levels[i] += 4.34 / Math.sqrt(4.6) * random.nextGaussian();
    }
    assertTrue(Steadiness.steady(levels, 4.6));
    assertTrue(!Steadiness.steady(levels, 4600));
  }

  @Test
  void unknownLevelsStayUnknown() throws RefusedException {
    FloorMap map = FloorMap.of(PA, null, null, null);
    GradedLevels graded =
        BackgroundCorrection.grade(map, levels(30, new double[0]), bands(30, 0, 1));
    assertNull(graded.laeq().grade());
    assertTrue(!graded.laeq().corrected().known());
  }

  @Test
  void refusesMixedUnits() {
    String message =
        assertThrows(
                RefusedException.class,
                () -> FloorMap.of(LevelUnit.FULL_SCALE, null, null, noise(20, 0)))
            .getMessage();
    assertTrue(message.contains("background.wav") && message.contains("calibration"), message);
  }
}
