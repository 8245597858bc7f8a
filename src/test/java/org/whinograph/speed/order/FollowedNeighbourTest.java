package org.whinograph.speed.order;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.ToneBand;

/**
 * A second fan beside the first where the speed is followed. That orders of two fans lie apart by
 * the ratio of their speeds, whatever the order, is an identity.
 */
class FollowedNeighbourTest {
  private static final double SHAFT_HZ = 50.0;

  private static SpeedBin bin(double... frequenciesHz) {
    List<ToneBand> bands = new ArrayList<>();
    for (double f : frequenciesHz) {
      bands.add(new ToneBand(f, f - 2.0, f + 2.0, Math.rint(f / 50.0) * 50.0 == f ? 1.0 : 0.25));
    }
    Spectrum spectrum = new Spectrum(new double[4096], 1.2, 1.5, 40, 39.0, LevelUnit.FULL_SCALE);
    return new SpeedBin(SHAFT_HZ, spectrum.frames(), spectrum, bands);
  }

  @Test
  void twoOrdersByOneFactorAreASecondFan() {
    FollowedNeighbour found =
        new FollowedNeighbour(List.of(bin(550.0, 550.0 * 1.02, 1100.0, 1100.0 * 1.02)));
    assertEquals(0.02, found.shift(), 1e-9);
    assertEquals(-6.02, found.levelDb(11), 0.01);
    assertTrue(found.deviation() > 0.0 && found.deviation() < 3e-4, "" + found.deviation());
  }

  @Test
  void linesByDifferentFactorsOrOneAloneAreNone() {
    assertTrue(
        Double.isNaN(
            new FollowedNeighbour(List.of(bin(550.0, 550.0 * 1.02, 1100.0, 1100.0 * 1.013)))
                .shift()));
    FollowedNeighbour alone = new FollowedNeighbour(List.of(bin(550.0, 561.0)));
    assertTrue(Double.isNaN(alone.shift()));
    assertNull(alone.levelDb(11));
    assertTrue(Double.isNaN(new FollowedNeighbour(List.of()).shift()));
  }
}
