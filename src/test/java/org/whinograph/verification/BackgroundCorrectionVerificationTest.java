package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.whinograph.floor.BackgroundCorrection;
import org.whinograph.floor.Quantisation;
import org.whinograph.quantity.Decibels;

/** Background correction and noise of rounding against published and closed figures. */
class BackgroundCorrectionVerificationTest {

  /** Every row of the K1 table, with the rule of its range (ISO 3744:2010, limits from memory). */
  @Test
  void k1OfIso3744() {
    VerificationReport report =
        new VerificationReport(
            "background-correction",
            "Background correction K1",
            "ISO 3744:2010 (formula; limits 6 dB and 15 dB from memory); tolerance 0.0005 dB, the"
                + " rounding of the table",
            "difference [dB]",
            "table [dB]",
            "K1 [dB]",
            "error if left out [dB]");
    double limit = 1.256;
    for (Map<String, String> row :
        ReferenceTable.read("iso3744/background-correction.csv").rows()) {
      double difference = ReferenceTable.number(row, "delta_L_dB");
      double table = ReferenceTable.number(row, "K1_dB");
      String rule = row.get("engineering_grade_rule");
      double wanted =
          rule.startsWith("apply") ? table : rule.startsWith("no correction") ? 0 : limit;
      double k1 = BackgroundCorrection.k1(difference);
      // Negative control: device and background together read high by the whole of K1.
      double device = Decibels.ofEnergyRatio(Decibels.toEnergyRatio(difference) - 1);
      report.row(difference, table, k1, difference - device);
      assertEquals(table, difference - device, 0.0005);
      assertEquals(wanted, k1, 0.0005, "K1 at " + difference);
    }
    report.save();
    // The limiting corrections that ECMA TR/107, 3rd edition 2017, states: 0.46 and 1.26 dB.
    assertEquals(0.46, BackgroundCorrection.k1(10), 0.005);
    assertEquals(1.26, BackgroundCorrection.k1(6), 0.005);
    assertEquals(1.26, BackgroundCorrection.k1(-3), 0.005);
    assertTrue(BackgroundCorrection.k1(15) > 0.13 && BackgroundCorrection.k1(15.001) == 0);
  }

  /**
   * 16 bits with 94 dB at −18, −26 and −37 dB re full scale: 13.9, 21.9 and 32.9 dB re 20 µPa, from
   * q²/12 (common practice; computed).
   */
  @ParameterizedTest
  @CsvSource({"-18, 13.9", "-26, 21.9", "-37, 32.9"})
  void roundingTo16Bits(double toneDb, double floorDb) {
    Quantisation quantisation = new Quantisation(48_000, 16, false, 94 - toneDb);
    assertEquals(floorDb, quantisation.level().value(), 0.05);
    // Negative control: 24 bits lie 8 · 6.02 dB lower.
    assertEquals(
        floorDb - 48.16, new Quantisation(48_000, 24, false, 94 - toneDb).level().value(), 0.06);
  }

  /** Rounding done in fact: the noise has the stated level and is white. */
  @Test
  void roundingIsAsLoudAsStated() {
    int length = 1 << 17;
    org.whinograph.calibration.ToneBench exact =
        new org.whinograph.calibration.ToneBench(48_000, length / 48_000.0)
            .tone(997.13, 0.21)
            .noise(1e-3, 8);
    double[] before = exact.samples.clone();
    double[] after = exact.quantise(16).samples;
    double sum = 0;
    for (int i = 0; i < before.length; i++) {
      sum += Math.pow(after[i] - before[i], 2);
    }
    double level = Decibels.ofEnergyRatio(sum / before.length / 0.5);
    assertEquals(new Quantisation(48_000, 16, false, 0).level().value(), level, 0.05);
  }
}
