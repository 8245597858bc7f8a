package org.whinograph.comparison;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.quantity.Reading;
import org.whinograph.report.InventedDevice;
import org.whinograph.signal.Warning;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.tone.Tone;

class ComparisonTest {
  private static final Measurement HERON = InventedDevice.miniComputer().build();
  private static final Measurement PLOVER = InventedDevice.quietComputer().build();

  private static List<String> codes(Comparison comparison) {
    return comparison.warnings().stream().map(Warning::code).toList();
  }

  @Test
  void levelsAndBandsStandSideBySideWithTheirDifferences() {
    Comparison comparison = Comparison.of(List.of(HERON, PLOVER), 0);
    ComparedValue laeq = comparison.values().get(0);
    assertEquals("laeq_db", laeq.field());
    assertEquals(HERON.levels().laeq(), laeq.values().get(0));
    assertEquals(0.0, laeq.differences().get(0).value());
    assertEquals(
        PLOVER.levels().laeq().value() - HERON.levels().laeq().value(),
        laeq.differences().get(1).value());
    assertEquals(16, comparison.values().size());
    assertEquals(31, comparison.thirdOctaves().size());
    ComparedBand band = comparison.thirdOctaves().get(19);
    assertEquals(1600.0, band.nominalHz());
    assertEquals(
        band.levels().get(1).value() - band.levels().get(0).value(),
        band.differences().get(1).value());
    assertTrue(codes(comparison).contains(Comparison.NO_UNCERTAINTY));
  }

  @Test
  void anotherDeviceCanBeTheOneComparedWith() {
    Comparison comparison = Comparison.of(List.of(HERON, PLOVER), 1);
    ComparedValue laeq = comparison.values().get(0);
    assertEquals(0.0, laeq.differences().get(1).value());
    assertEquals(
        HERON.levels().laeq().value() - PLOVER.levels().laeq().value(),
        laeq.differences().get(0).value());
  }

  @Test
  void calibratedIsNeverSubtractedFromUncalibrated() {
    Comparison comparison =
        Comparison.of(List.of(HERON, InventedDevice.quietComputer().uncalibrated().build()), 0);
    assertFalse(comparison.sameUnit());
    for (ComparedValue value : comparison.values()) {
      assertEquals(!value.level(), value.differences().get(1).known(), value.field());
    }
    assertTrue(
        comparison.thirdOctaves().stream().noneMatch(band -> band.differences().get(1).known()));
    assertTrue(
        comparison.tones().stream().noneMatch(tone -> tone.levelDifferences().get(1).known()));
    // Ratios need no calibration: the tone near 1738 Hz is in both.
    ComparedTone whine = near(comparison, 1736.0);
    assertEquals(3.1 - 13.3, whine.toneToNoiseDifferences().get(1).value(), 1e-9);
    assertEquals(2.4 - 12.9, whine.prominenceDifferences().get(1).value(), 1e-9);
    assertEquals(List.of(Comparison.UNITS_DIFFER, Comparison.NO_UNCERTAINTY), codes(comparison));
  }

  @Test
  void uncalibratedAmongThemselvesAreComparedWithAWarning() {
    Comparison comparison =
        Comparison.of(
            List.of(
                InventedDevice.miniComputer().uncalibrated().build(),
                InventedDevice.quietComputer().uncalibrated().build()),
            0);
    assertTrue(comparison.sameUnit());
    assertTrue(comparison.values().get(0).differences().get(1).known());
    assertTrue(codes(comparison).contains(Comparison.UNCALIBRATED));
  }

  @Test
  void anUnknownBandHasNoDifference() {
    Comparison comparison =
        Comparison.of(List.of(HERON, InventedDevice.quietComputer().rate(32_000.0).build()), 0);
    assertFalse(comparison.thirdOctaves().get(30).differences().get(1).known());
    Comparison other =
        Comparison.of(List.of(InventedDevice.quietComputer().rate(32_000.0).build(), HERON), 0);
    assertFalse(other.thirdOctaves().get(30).differences().get(1).known());
    assertTrue(other.thirdOctaves().get(30).levels().get(1).known());
  }

  private static ComparedTone near(Comparison comparison, double hz) {
    return comparison.tones().stream()
        .filter(tone -> Math.abs(tone.frequencyHz() / hz - 1.0) < 0.001)
        .findFirst()
        .orElseThrow();
  }

  @Test
  void tonesAreMatchedByFrequencyAndTheRestStandAlone() {
    Comparison comparison = Comparison.of(List.of(HERON, PLOVER), 0);
    ComparedTone whine = near(comparison, 1736.021);
    assertEquals(1741.2, whine.tones().get(1).orElseThrow().frequencyHz());
    assertEquals(10.2 - 29.1, whine.levelDifferences().get(1).value(), 1e-9);
    ComparedTone lone = near(comparison, 1204.3);
    assertTrue(lone.tones().get(0).isEmpty());
    assertFalse(lone.levelDifferences().get(1).known());
    // Six and three tones of which two are alike, and order 3, which only following shows.
    assertEquals(8, comparison.tones().size());
    for (int i = 1; i < comparison.tones().size(); i++) {
      assertTrue(
          comparison.tones().get(i).frequencyHz() > comparison.tones().get(i - 1).frequencyHz());
    }
  }

  /**
   * The whine of the first is order 7 and was followed, that of the other isn't known to be one.
   */
  @Test
  void whatWasFollowedStandsBesideThePlainTones() {
    Comparison comparison = Comparison.of(List.of(HERON, PLOVER), 0);
    ComparedTone whine = near(comparison, 1736.021);
    assertEquals(7.0, whine.followed().get(0).orElseThrow().order());
    assertEquals(13.3, whine.followed().get(0).orElseThrow().followed().toneToNoise().value());
    assertTrue(whine.followed().get(1).isEmpty());
    assertFalse(whine.followingToneToNoiseDifferences().get(1).known());
    ComparedTone third = near(comparison, 744.0);
    assertEquals(List.of(Optional.empty(), Optional.empty()), third.tones());
    assertFalse(third.levelDifferences().get(1).known());
    assertEquals(-4.5, third.followed().get(1).orElseThrow().followed().toneToNoise().value());
    assertEquals(0.0, third.followingToneToNoiseDifferences().get(1).value());
    assertEquals(0.0, third.followingProminenceDifferences().get(1).value());
  }

  private static HeardTone tone(double hz) {
    Reading some = Reading.of(1.0);
    return new HeardTone(
        new Tone(hz, 0.001, some, some, some, some, some, false, true, some, null), null, null);
  }

  @Test
  void theClosestPairIsMatchedFirstAndEachToneOnce() {
    List<List<Optional<HeardTone>>> rows =
        ToneMatcher.match(
            List.of(List.of(tone(1000.0)), List.of(tone(995.0), tone(1002.0), tone(1011.0))), 0);
    assertEquals(3, rows.size());
    assertEquals(995.0, rows.get(0).get(1).orElseThrow().frequencyHz());
    assertTrue(rows.get(0).get(0).isEmpty());
    assertEquals(1002.0, rows.get(1).get(1).orElseThrow().frequencyHz());
    assertEquals(1000.0, rows.get(1).get(0).orElseThrow().frequencyHz());
    assertEquals(1011.0, rows.get(2).get(1).orElseThrow().frequencyHz());
  }

  @Test
  void tonesMoreThanOnePercentApartDoNotBelongTogether() {
    assertEquals(
        1, ToneMatcher.match(List.of(List.of(tone(1000.0)), List.of(tone(1009.9))), 0).size());
    assertEquals(
        2, ToneMatcher.match(List.of(List.of(tone(1000.0)), List.of(tone(1010.1))), 0).size());
  }

  /** A plain spectrum shows a drifting order where its speed dwelt, 2 % off: following tells. */
  @Test
  void tonesThatAreAlikeWhenFollowedBelongTogether() {
    HeardTone steady = followed(2380.0, 2380.0);
    HeardTone drifting = followed(2427.6, 2381.0);
    HeardTone other = followed(2427.6, 2427.6);
    assertEquals(1, ToneMatcher.match(List.of(List.of(steady), List.of(drifting)), 0).size());
    assertEquals(2, ToneMatcher.match(List.of(List.of(steady), List.of(other)), 0).size());
  }

  private static HeardTone followed(double plainHz, double followedHz) {
    Tone plain = tone(plainHz).plain();
    Reading some = Reading.of(1.0);
    FollowingTone when = new FollowingTone(some, some, followedHz / 17, followedHz, some, true);
    return new HeardTone(plain, new FollowedLine(17.0, Cause.SHAFT, when, plain), null);
  }

  @Test
  void aThirdDeviceMatchesWhatOnlyTheSecondHas() {
    List<List<Optional<HeardTone>>> rows =
        ToneMatcher.match(List.of(List.of(), List.of(tone(500.0)), List.of(tone(501.0))), 0);
    assertEquals(1, rows.size());
    assertEquals(501.0, rows.get(0).get(2).orElseThrow().frequencyHz());
  }

  @Test
  void labelsAreAsShortAsTheyCanBe() {
    assertEquals(List.of("a", "b"), Labels.of(List.of("x/a.wav", "y/b.wav")));
    assertEquals(
        List.of("x/idle", "y/idle"), Labels.of(List.of("runs/x/idle.wav", "runs/y/idle.wav")));
    assertEquals(List.of("idle", "idle (2)"), Labels.of(List.of("idle.wav", "idle.wav")));
    assertEquals(
        List.of("x\\a".replace('\\', '/'), "y/a"),
        Labels.of(List.of("C:\\x\\a.wav", "D:\\y\\a.wav")));
    assertEquals(List.of(".hidden", "b"), Labels.of(List.of(".hidden", "b")));
  }

  @Test
  void aComparisonNeedsTwo() {
    assertThrows(IllegalArgumentException.class, () -> Comparison.of(List.of(HERON), 0));
    assertThrows(IllegalArgumentException.class, () -> Comparison.of(List.of(HERON, PLOVER), 2));
  }
}
