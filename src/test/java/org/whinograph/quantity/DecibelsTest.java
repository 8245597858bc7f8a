package org.whinograph.quantity;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;

import org.junit.jupiter.api.Test;

class DecibelsTest {
  @Test
  void onePascalIs93Point98DecibelsAsIso1683Says() {
    assertEquals(93.9794, LevelUnit.SOUND_PRESSURE.levelOf(1.0), 5e-5);
    assertEquals(1.0, LevelUnit.SOUND_PRESSURE.meanSquareOf(93.97940008672037), 1e-12);
  }

  @Test
  void fullScaleSineReadsZero() {
    assertEquals(0.0, LevelUnit.FULL_SCALE.levelOf(0.5), 1e-12);
  }

  @Test
  void twoEqualIncoherentSourcesAddThreeDecibels() {
    assertEquals(43.0103, Decibels.sum(40.0, 40.0), 1e-4);
    assertEquals(40.0, Decibels.mean(40.0, 40.0), 1e-12);
  }

  @Test
  void meanIsOfEnergyNotOfDecibels() {
    assertEquals(57.0329, Decibels.mean(40.0, 60.0), 1e-4);
    assertThrows(IllegalArgumentException.class, Decibels::mean);
  }

  @Test
  void readingNeverHoldsNaN() {
    assertThrows(IllegalArgumentException.class, () -> Reading.of(Double.NaN));
    Reading silent = Reading.ofFinite(Double.NEGATIVE_INFINITY, "The recording is silent.");
    assertFalse(silent.known());
    assertNull(silent.orNull());
  }
}
