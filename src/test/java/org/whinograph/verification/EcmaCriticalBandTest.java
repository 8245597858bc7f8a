package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.whinograph.verification.ReferenceTable.number;

import java.util.Map;
import org.junit.jupiter.api.Test;
import org.whinograph.tone.CriticalBands;

/**
 * Critical bands, band edges and limits of ECMA-418-1:2022, clauses 10 to 12. The rows are computed
 * from the document's formulas, which are from memory; their header says so.
 */
class EcmaCriticalBandTest {
  /** Rows are printed with two decimals. */
  private static final double ROUNDING = 0.00501;

  @Test
  void bandsEdgesAndLimitsFollowTheTable() {
    VerificationReport report =
        new VerificationReport(
            "ecma418-1-critical-bands",
            "Critical bands and limits",
            "ECMA-418-1:2022, clauses 10 to 12 (reference/ecma418-1/tones.csv)",
            "tone [Hz]",
            "bandwidth [Hz]",
            "lower edge [Hz]",
            "upper edge [Hz]",
            "lowest edge [Hz]",
            "highest edge [Hz]",
            "limit of tone-to-noise [dB]",
            "limit of prominence [dB]");
    for (Map<String, String> row : ReferenceTable.read("ecma418-1/tones.csv").rows()) {
      double f = number(row, "ft_Hz");
      report.row(
          f,
          CriticalBands.widthHz(f),
          CriticalBands.lowerEdgeHz(f),
          CriticalBands.upperEdgeHz(f),
          CriticalBands.lowerBandLowerEdgeHz(f),
          CriticalBands.upperBandUpperEdgeHz(f),
          CriticalBands.toneToNoiseLimitDb(f),
          CriticalBands.prominenceLimitDb(f));
    }
    report.save();
    for (Map<String, String> row : ReferenceTable.read("ecma418-1/tones.csv").rows()) {
      double f = number(row, "ft_Hz");
      assertEquals(number(row, "critical_bandwidth_Hz"), CriticalBands.widthHz(f), ROUNDING);
      assertEquals(number(row, "f1_M_Hz"), CriticalBands.lowerEdgeHz(f), ROUNDING);
      assertEquals(number(row, "f2_M_Hz"), CriticalBands.upperEdgeHz(f), ROUNDING);
      assertEquals(number(row, "f1_L_Hz"), CriticalBands.lowerBandLowerEdgeHz(f), ROUNDING);
      assertEquals(number(row, "f2_U_Hz"), CriticalBands.upperBandUpperEdgeHz(f), ROUNDING);
      assertEquals(number(row, "TNR_criterion_dB"), CriticalBands.toneToNoiseLimitDb(f), ROUNDING);
      assertEquals(number(row, "PR_criterion_dB"), CriticalBands.prominenceLimitDb(f), ROUNDING);
      if (!row.get("proximity_spacing_Hz").isBlank() && f < 1000) {
        double spacing = number(row, "proximity_spacing_Hz");
        assertEquals(spacing, CriticalBands.proximitySpacingHz(f), ROUNDING);
        assertTrue(CriticalBands.proximate(f, f + 0.99 * spacing));
        assertTrue(!CriticalBands.proximate(f, f + 1.01 * spacing));
      }
    }
  }

  @Test
  void edgePolynomialsFollowTheTable() {
    for (Map<String, String> row : ReferenceTable.read("ecma418-1/prominence-edges.csv").rows()) {
      double from = number(row, "ft_from_Hz");
      double to = number(row, "ft_to_Hz");
      for (double part = 0.02; part < 1.0; part += 0.02) {
        double f = from + part * (to - from);
        double expected = number(row, "C0") + number(row, "C1") * f + number(row, "C2") * f * f;
        double actual =
            row.get("edge").equals("f1_L")
                ? CriticalBands.lowerBandLowerEdgeHz(f)
                : CriticalBands.upperBandUpperEdgeHz(f);
        assertEquals(expected, actual, 1e-9 * expected);
      }
    }
  }
}
