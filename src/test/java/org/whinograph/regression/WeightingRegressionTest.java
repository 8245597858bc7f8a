package org.whinograph.regression;

import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.whinograph.weighting.FrequencyWeighting;
import org.whinograph.weighting.WeightingDesign;

/** The accuracy that the weighting design once reached, so that no change loses it unseen. */
class WeightingRegressionTest {
  @ParameterizedTest
  @CsvSource({
    "32000, 0.0044",
    "44100, 0.0058",
    "48000, 0.0036",
    "88200, 7e-5",
    "96000, 5e-5",
    "192000, 3e-6"
  })
  void largestErrorUpToTheTop(double rate, double mostDb) {
    WeightingDesign design = WeightingDesign.forRate(rate);
    double worst = 0.0;
    for (double f = 10.0; f <= design.topHz(); f *= 1.001) {
      for (FrequencyWeighting weighting : FrequencyWeighting.values()) {
        worst = Math.max(worst, Math.abs(design.levelAt(weighting, f) - weighting.levelAt(f)));
      }
    }
    assertTrue(worst <= mostDb, "error " + worst + " dB");
  }
}
