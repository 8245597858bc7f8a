package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Map;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.level.LevelHistory;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.Decibels;
import org.whinograph.signal.RealTransform;
import org.whinograph.weighting.FrequencyWeighting;
import org.whinograph.weighting.TimeWeighting;
import org.whinograph.weighting.WeightingFilter;

/**
 * Time weightings, tonebursts and C-peak against IEC 61672-1:2013, 5.8 (decay), 5.9 and table 4
 * (tonebursts), 5.10 (repeated tonebursts), 5.13 and table 5 (C-weighted peak).
 */
class TimeWeightingVerificationTest {
  private static final double BURST_HZ = 4000.0;

  /** Asked of the responses against the references. */
  private static final double ASKED_DB = 0.1;

  /** Level of the steady tone, from the analogue weighting; amplitude 0.5 is −6.02 dB. */
  private static final double STEADY_DB =
      Decibels.ofEnergyRatio(0.25) + FrequencyWeighting.A.levelAt(BURST_HZ);

  @ParameterizedTest
  @ValueSource(doubles = {48_000, 96_000})
  void everyToneburstOfTable4(double rate) {
    VerificationReport report =
        new VerificationReport(
            "tonebursts-" + Math.round(rate / 1000),
            "4 kHz tonebursts at " + Math.round(rate) + " Hz",
            "IEC 61672-1:2013, 5.9 and table 4; the reference column of each is 10 lg(1 − e^(−T/τ))"
                + " or 10 lg(T/1 s)",
            "T [ms]",
            "LAFmax − LA [dB]",
            "error [dB]",
            "LASmax − LA [dB]",
            "error [dB]",
            "LAE − LA [dB]",
            "error [dB]",
            "LAE analogue A of this burst [dB]");
    double worst = 0.0;
    boolean inside = true;
    for (Map<String, String> row : ReferenceTable.read("iec61672-1/tonebursts.csv").rows()) {
      double seconds = ReferenceTable.number(row, "Tb_ms") / 1000.0;
      double[] x = new double[(int) (8 * rate)];
      Metering.addBurst(x, BURST_HZ, 0.5, 2.0, seconds, rate);
      LevelResult levels = Metering.levels(x, rate);
      double fast = levels.lafMax().value() - STEADY_DB;
      double exposure = levels.lae().value() - STEADY_DB;
      double slow = levels.lasMax().value() - STEADY_DB;
      double fastError = fast - ReferenceTable.number(row, "F_formula");
      double exposureError = exposure - ReferenceTable.number(row, "E_formula");
      double slowError = slow - ReferenceTable.number(row, "S_formula");
      double analogue = exposureOfAnalogue(seconds, rate);
      boolean hasSlow = !row.get("LASmax_minus_LA_dB").isBlank();
      report.row(
          1000 * seconds,
          fast,
          fastError,
          hasSlow ? slow : "not in the table",
          hasSlow ? slowError : "",
          exposure,
          exposureError,
          analogue);
      inside &= inside(row, "F_E_class1_", fast, "LAFmax_minus_LA_dB");
      inside &= inside(row, "F_E_class1_", exposure, "LAE_minus_LA_dB");
      // What a short burst loses by its wide spectrum in the analogue A weighting too: 0.12 dB at
      // 0.25 ms. The references leave it out.
      double loss = analogue - ReferenceTable.number(row, "E_formula");
      worst = Math.max(worst, Math.abs(fastError - loss));
      worst = Math.max(worst, Math.abs(exposureError - loss));
      if (seconds >= 1e-3) {
        worst = Math.max(worst, Math.max(Math.abs(fastError), Math.abs(exposureError)));
      }
      if (hasSlow) {
        inside &= inside(row, "S_class1_", slow, "LASmax_minus_LA_dB");
        worst = Math.max(worst, Math.abs(slowError));
      }
    }
    report.save();
    assertTrue(inside, "within the class 1 limits");
    assertTrue(worst <= ASKED_DB, "error " + worst + " dB");
  }

  private static boolean inside(
      Map<String, String> row, String limits, double measured, String reference) {
    double deviation = measured - ReferenceTable.number(row, reference);
    return deviation <= ReferenceTable.number(row, limits + "upper")
        && deviation >= ReferenceTable.number(row, limits + "lower");
  }

  /**
   * Exposure of the burst by Parseval's theorem with the analogue A weighting, re the steady tone:
   * a second way that shares no filter with the meter.
   */
  private static double exposureOfAnalogue(double seconds, double rate) {
    int length = 1 << 19;
    double[] x = new double[length];
    Metering.addBurst(x, BURST_HZ, 0.5, 0.0, seconds, rate);
    new RealTransform(length).forward(x);
    double energy = 0.0;
    for (int k = 1; k < length / 2; k++) {
      energy +=
          2.0
              / length
              * (x[2 * k] * x[2 * k] + x[2 * k + 1] * x[2 * k + 1])
              * FrequencyWeighting.A.energyRatioAt(k * rate / length);
    }
    double steady = 0.5 * 0.5 * 0.5 * FrequencyWeighting.A.energyRatioAt(BURST_HZ);
    return Decibels.ofEnergyRatio(energy / rate / steady);
  }

  /** Every row for F and S by the time weighting alone (Z): table 4 holds for A, C and Z. */
  @Test
  void timeWeightingAloneGivesEveryRowOfTable4() {
    double rate = 48_000;
    for (Map<String, String> row : ReferenceTable.read("iec61672-1/tonebursts.csv").rows()) {
      double[] x = new double[2 * (int) rate];
      Metering.addBurst(x, BURST_HZ, 0.5, 0.0, ReferenceTable.number(row, "Tb_ms") / 1000.0, rate);
      for (TimeWeighting weighting : TimeWeighting.values()) {
        double average = 0.0;
        double most = 0.0;
        for (double sample : x) {
          average += weighting.coefficient(rate) * (sample * sample - average);
          most = Math.max(most, average);
        }
        assertEquals(
            ReferenceTable.number(row, weighting + "_formula"),
            Decibels.ofEnergyRatio(most / (0.5 * 0.5 * 0.5)),
            0.01);
      }
    }
  }

  /** Negative control: a plain mean over 125 ms in the place of F misses table 4. */
  @Test
  void plainMeanInsteadOfFailsTable4() {
    double rate = 48_000;
    double[] x = new double[(int) rate];
    Metering.addBurst(x, BURST_HZ, 0.5, 0.2, 0.2, rate);
    double[] c = new double[x.length];
    double[] a = new double[x.length];
    new WeightingFilter(rate).process(x, 0, x.length, c, a);
    int window = (int) (0.125 * rate);
    double sum = 0.0;
    double most = 0.0;
    for (int i = 0; i < a.length; i++) {
      sum += a[i] * a[i] - (i >= window ? a[i - window] * a[i - window] : 0.0);
      most = Math.max(most, sum / window);
    }
    double steady = 0.5 * 0.5 * 0.5 * FrequencyWeighting.A.energyRatioAt(BURST_HZ);
    // Table 4: −1.0 ± 0.5 dB for 200 ms. A mean over 125 ms is full after 125 ms: 0 dB.
    assertEquals(0.0, Decibels.ofEnergyRatio(most / steady), 0.02);
  }

  @Test
  void repeatedTonebursts() {
    VerificationReport report =
        new VerificationReport(
            "repeated-tonebursts",
            "Trains of 4 kHz tonebursts, LAeq",
            "IEC 61672-1:2013, 5.10: 10 lg(N·T/Tm)",
            "burst [ms]",
            "pause [ms]",
            "LAeq − LA [dB]",
            "reference [dB]");
    double worst = 0.0;
    double[][] trains = {{200, 800}, {10, 90}, {1, 9}};
    for (double[] train : trains) {
      double period = (train[0] + train[1]) / 1000.0;
      double[] x = new double[8 * 48_000];
      int bursts = 0;
      for (double at = 1.0; at + period < 7.0 - 1e-9; at += period) {
        Metering.addBurst(x, BURST_HZ, 0.5, at, train[0] / 1000.0, 48_000);
        bursts++;
      }
      double reference = Decibels.ofEnergyRatio(bursts * train[0] / 1000.0 / 8.0);
      double measured = Metering.levels(x, 48_000).laeq().value() - STEADY_DB;
      report.row(train[0], train[1], measured, reference);
      worst = Math.max(worst, Math.abs(measured - reference));
    }
    report.save();
    // Class 1 limits are those of the single burst, ±0.5 dB at the narrowest.
    assertTrue(worst <= ASKED_DB, "error " + worst + " dB");
  }

  @Test
  void cWeightedPeakOfTable5() {
    VerificationReport report =
        new VerificationReport(
            "c-peak",
            "C-weighted peak at 48 kHz, least and most over 16 places between samples",
            "IEC 61672-1:2013, 5.13 and table 5",
            "signal",
            "f [Hz]",
            "LCpeak − LC least [dB]",
            "most [dB]",
            "reference [dB]",
            "class 1 [dB]");
    boolean inside = true;
    for (Map<String, String> row : ReferenceTable.read("iec61672-1/c-peak.csv").rows()) {
      double f = ReferenceTable.number(row, "f_Hz");
      String cycles = row.get("cycles");
      double reference = ReferenceTable.number(row, "LCpeak_minus_LC_dB");
      double limit = ReferenceTable.number(row, "class1_pm_dB");
      double length = (cycles.endsWith("half") ? 0.5 : 1.0) / f;
      double sign = cycles.startsWith("negative") ? -1.0 : 1.0;
      double steady = Metering.levels(Metering.sine(f, 0.5, 4.0, 48_000), 48_000).lceq().value();
      double least = Double.POSITIVE_INFINITY;
      double most = Double.NEGATIVE_INFINITY;
      for (int place = 0; place < 16; place++) {
        double[] x = new double[48_000];
        double start = 0.5 + place / 16.0 / 48_000;
        for (int i = 24_000; i < x.length && i / 48_000.0 < start + length; i++) {
          double t = Math.max(0.0, i / 48_000.0 - start);
          x[i] = sign * 0.5 * Math.sin(2 * Math.PI * f * t);
        }
        double peak = Metering.levels(x, 48_000).lcPeak().value() - steady;
        least = Math.min(least, peak);
        most = Math.max(most, peak);
      }
      report.row(cycles, f, least, most, reference, limit);
      inside &= least >= reference - limit && most <= reference + limit;
    }
    report.save();
    assertTrue(inside, "within the class 1 limits");
  }

  /** 5.8: 10 lg(e)/τ = 34.7 dB/s for F and 4.34 dB/s for S after a 4 kHz tone has stopped. */
  @Test
  void decayRates() {
    assertEquals(34.7, TimeWeighting.F.decayRateDbPerS(), 0.05);
    assertEquals(4.34, TimeWeighting.S.decayRateDbPerS(), 0.005);
    double[] x = new double[12 * 48_000];
    Metering.addBurst(x, BURST_HZ, 0.5, 0.0, 6.0, 48_000);
    LevelHistory history = Metering.levels(x, 48_000).history();
    for (int i = 60; i < 118; i++) {
      double rate = (history.laf()[i] - history.laf()[i + 1]) / history.intervalS();
      assertEquals(34.744, rate, 0.01);
    }
    double slowAfter2 =
        Metering.levels(java.util.Arrays.copyOf(x, 8 * 48_000), 48_000).lasMin().value();
    double slowAfter5 =
        Metering.levels(java.util.Arrays.copyOf(x, 11 * 48_000), 48_000).lasMin().value();
    assertEquals(4.343, (slowAfter2 - slowAfter5) / 3.0, 0.001);
  }

  /** F, S and the equivalent level of a steady 1 kHz tone agree within 0.1 dB, A, C, Z in 0.2. */
  @Test
  void steadyToneReadsTheSameThroughout() {
    LevelResult levels = Metering.levels(Metering.sine(1000, 0.5, 20.0, 48_000), 48_000);
    double steady = levels.laeq().value();
    assertEquals(-6.0206, steady, 1e-3);
    assertEquals(steady, levels.lafMax().value(), 0.01);
    assertEquals(steady, levels.lasMax().value(), 0.01);
    assertEquals(steady, levels.lafMin().value(), 0.04);
    assertEquals(steady, levels.lasMin().value(), 0.04);
    assertEquals(steady, levels.lceq().value(), 1e-3);
    assertEquals(steady, levels.lzeq().value(), 1e-3);
  }
}
