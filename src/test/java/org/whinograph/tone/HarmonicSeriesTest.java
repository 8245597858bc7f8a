package org.whinograph.tone;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.Random;
import org.junit.jupiter.api.Test;

class HarmonicSeriesTest {
  private static Tone.Harmonic[] group(double uncertainty, double... frequencies) {
    double[] uncertainties = new double[frequencies.length];
    Arrays.fill(uncertainties, uncertainty);
    return HarmonicSeries.group(frequencies, uncertainties);
  }

  @Test
  void aSeriesAndAStranger() {
    Tone.Harmonic[] places = group(2e-4, 280.01, 437.3, 560.02, 840.03);
    assertEquals(1, places[0].number());
    assertNull(places[1]);
    assertEquals(2, places[2].number());
    assertEquals(3, places[3].number());
    assertEquals(280.01, places[3].fundamentalHz(), 1e-3);
  }

  @Test
  void theFundamentalMayBeMissing() {
    Tone.Harmonic[] places = group(2e-4, 600.04, 900.06, 1200.08, 1500.10);
    for (int i = 0; i < 4; i++) {
      assertEquals(i + 2, places[i].number());
      assertEquals(300.02, places[i].fundamentalHz(), 1e-3);
    }
  }

  @Test
  void twoSeriesAreToldApart() {
    Tone.Harmonic[] places = group(2e-4, 173.2, 250.7, 346.4, 501.4, 519.6, 752.1);
    assertEquals(173.2, places[0].fundamentalHz(), 1e-3);
    assertEquals(250.7, places[1].fundamentalHz(), 1e-3);
    assertEquals(3, places[4].number());
    assertEquals(3, places[5].number());
  }

  /** Ten tones anywhere: a grouping by chance no more often than stated, times a margin of 3. */
  @Test
  void chanceCoincidencesAreRare() {
    Random random = new Random(11);
    int trials = 2_000;
    int grouped = 0;
    for (int t = 0; t < trials; t++) {
      double[] frequencies = random.doubles(10, 100, 8_000).sorted().toArray();
      Tone.Harmonic[] places = group(2e-3, frequencies);
      grouped += Arrays.stream(places).anyMatch(place -> place != null) ? 1 : 0;
    }
    assertTrue(grouped <= 3 * HarmonicSeries.CHANCE * trials, grouped + " of " + trials);
  }

  @Test
  void vagueFrequenciesProveNothing() {
    assertNull(group(20.0, 300.0, 610.0, 890.0)[0]);
    assertEquals(0, group(1.0).length);
    assertThrows(
        IllegalArgumentException.class,
        () -> HarmonicSeries.group(new double[] {1}, new double[] {}));
  }
}
