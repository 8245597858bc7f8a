package org.whinograph.weighting;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.apache.commons.math3.analysis.solvers.LaguerreSolver;
import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;

class WeightingDesignTest {
  /** Asked from 10 Hz to 20 kHz or 0.45 of the rate. */
  private static final double ASKED_DB = 0.02;

  @Test
  void anyRateIsAccurateAndStable() {
    for (double rate = 32_000; rate <= 768_000; rate *= 1.0137) {
      WeightingDesign design = WeightingDesign.forRate(rate);
      assertStable(design);
      for (double f = 10.0; f <= design.topHz(); f *= 1.02) {
        for (FrequencyWeighting weighting : FrequencyWeighting.values()) {
          assertEquals(
              weighting.levelAt(f), design.levelAt(weighting, f), ASKED_DB, rate + " Hz at " + f);
        }
      }
    }
  }

  /** Poles and zeros by the root finder of Commons Math, as a second opinion. */
  private static void assertStable(WeightingDesign design) {
    LaguerreSolver solver = new LaguerreSolver(1e-12);
    double[] poles = design.section().poles();
    double[] zeros = design.section().zeros();
    // Polynomials in z, lowest power first.
    for (Complex pole : solver.solveAllComplex(new double[] {poles[1], poles[0], 1.0}, 0.1)) {
      assertTrue(pole.abs() < 0.95, design.sampleRateHz() + " Hz: pole at " + pole);
    }
    for (Complex zero :
        solver.solveAllComplex(new double[] {zeros[2], zeros[1], zeros[0], 1.0}, 0.1)) {
      assertTrue(zero.abs() < 1.0, design.sampleRateHz() + " Hz: zero at " + zero);
    }
  }

  @Test
  void oneKilohertzIsExact() {
    for (double rate : new double[] {32_000, 44_100, 48_000, 192_000}) {
      WeightingDesign design = WeightingDesign.forRate(rate);
      assertEquals(0.0, design.levelAt(FrequencyWeighting.A, 1000.0), 1e-12);
      assertEquals(0.0, design.levelAt(FrequencyWeighting.C, 1000.0), 1e-12);
    }
  }

  @Test
  void sameRateGivesTheSameDesign() {
    assertSame(WeightingDesign.forRate(48_000), WeightingDesign.forRate(48_000));
    HighFrequencySection one = HighFrequencySection.fit(48_000, f -> 1.0 / (1.0 + f * f / 1e8));
    HighFrequencySection two = HighFrequencySection.fit(48_000, f -> 1.0 / (1.0 + f * f / 1e8));
    assertArrayEquals(one.zeros(), two.zeros());
    assertArrayEquals(one.poles(), two.poles());
  }

  @ParameterizedTest
  @ValueSource(doubles = {31_999.0, 0.0, -48_000.0, 768_001.0, Double.NaN})
  void refusesOtherRates(double rate) {
    IllegalArgumentException refusal =
        assertThrows(IllegalArgumentException.class, () -> WeightingDesign.forRate(rate));
    assertTrue(refusal.getMessage().startsWith("sampleRateHz: 32000"), refusal.getMessage());
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.0, 24_000.0, Double.NaN})
  void refusesFrequenciesOutsideTheRate(double frequencyHz) {
    WeightingDesign design = WeightingDesign.forRate(48_000);
    assertThrows(
        IllegalArgumentException.class, () -> design.levelAt(FrequencyWeighting.A, frequencyHz));
  }
}
