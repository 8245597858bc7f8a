package org.whinograph.weighting;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.junit.jupiter.params.provider.ValueSource;

class FrequencyWeightingTest {
  /** IEC 61672-1:2013, Annex E: the poles as the standard prints them. */
  @Test
  void polesAreThePublishedDecimals() {
    assertEquals(20.598_997, FrequencyWeighting.F1_HZ, 5e-7);
    assertEquals(107.652_65, FrequencyWeighting.F2_HZ, 5e-6);
    assertEquals(737.862_23, FrequencyWeighting.F3_HZ, 5e-6);
    assertEquals(12_194.217, FrequencyWeighting.F4_HZ, 5e-4);
  }

  /** Annex E: C is 3 dB down (a half of the energy) at 10^1.5 and 10^3.9 Hz. */
  @Test
  void weightingCIsHalfTheEnergyWhereAnnexESaysSo() {
    assertEquals(0.5, FrequencyWeighting.C.energyRatioAt(Math.pow(10, 1.5)), 1e-12);
    assertEquals(0.5, FrequencyWeighting.C.energyRatioAt(Math.pow(10, 3.9)), 1e-12);
  }

  @ParameterizedTest
  @EnumSource
  void everyWeightingIsZeroAtOneKilohertz(FrequencyWeighting weighting) {
    assertEquals(0.0, weighting.levelAt(1000.0), 0.0);
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.0, -1.0, Double.NaN, Double.POSITIVE_INFINITY})
  void refusesWhatIsNoFrequency(double frequencyHz) {
    IllegalArgumentException refusal =
        assertThrows(
            IllegalArgumentException.class, () -> FrequencyWeighting.A.levelAt(frequencyHz));
    assertTrue(refusal.getMessage().startsWith("frequencyHz: above 0"), refusal.getMessage());
  }
}
