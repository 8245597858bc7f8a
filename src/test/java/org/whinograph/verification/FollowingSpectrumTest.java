package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.whinograph.measurement.Measurement;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.order.FollowingTone;

/**
 * Ratios in the spectrum that follows the shaft, against those that the levels and densities of the
 * simulated sound give: 10 lg(W_t/W_n) with W_n = density · critical bandwidth (ECMA-418-1, clause
 * 11). A mean over five recordings takes the scatter of the noise out; the tolerance is 0.2 dB.
 *
 * <p>The negative control is the plain spectrum of the same recordings: by ±2 % of drift it must
 * lose 10 dB and more.
 */
class FollowingSpectrumTest {
  private static final double TOLERANCE_DB = 0.2;
  private static final int RECORDINGS = 5;
  private static final double DENSITY_DB = 5.0;
  private static final double RPM = 8400.0;

  /** Orders, and their levels [dB]. */
  private static final int[] ORDERS = {7, 14};

  private static final double[] LEVELS_DB = {40.0, 38.0};

  private static Device drifting(double percent, double jitterPercent) {
    Device.Builder builder =
        Device.builder("drifting fan")
            .duration(30)
            .fan(
                7,
                SpeedProfile.steady(RPM).withDrift(percent, 30).withJitter(jitterPercent, 0.3),
                RPM)
            .background(NoiseShape.flat(DENSITY_DB));
    for (int i = 0; i < ORDERS.length; i++) {
      builder.line(Line.order(LineCause.BLADE_PASS, 0, ORDERS[i], LEVELS_DB[i]).withSlope(0));
    }
    for (int order = 1; order <= 3; order++) {
      builder.line(Line.order(LineCause.SHAFT, 0, order, 26).withSlope(0));
    }
    return builder.build();
  }

  private static double criticalBandwidthHz(double f) {
    // ECMA-418-1, clause 9: 25 + 75 (1 + 1.4 (f/1000)²)^0.69.
    return 25.0 + 75.0 * Math.pow(1.0 + 1.4 * f * f / 1e6, 0.69);
  }

  @Test
  void driftingTonesReadAsTheyAreAndThePlainSpectrumDoesNot() throws RefusedException {
    VerificationReport report =
        new VerificationReport(
            "following-spectrum",
            "Tone-to-noise ratio of a drifting fan, speed-following and plain",
            "levels and densities of the simulated sound, ECMA-418-1 clause 11 (mean of "
                + RECORDINGS
                + " recordings of 30 s)",
            "drift ±%",
            "order",
            "truth dB",
            "following dB",
            "plain dB");
    List<String> failures = new ArrayList<>();
    double plainLoss = 0.0;
    for (double drift : new double[] {0.0, 0.5, 2.0}) {
      double[] sums = new double[ORDERS.length];
      double[] plain = new double[ORDERS.length];
      for (int seed = 1; seed <= RECORDINGS; seed++) {
        Measurement measurement = DeviceBench.measured(drifting(drift, 0.01), seed);
        for (int i = 0; i < ORDERS.length; i++) {
          double f = ORDERS[i] * RPM / 60.0;
          int tone = strongestOf(measurement, ORDERS[i], 0.025 * f, f);
          assertTrue(tone >= 0, "order " + ORDERS[i] + " isn't found");
          FollowingTone following = DeviceBench.following(measurement, tone);
          assertTrue(following.toneToNoise().known(), following.toneToNoise().reason());
          sums[i] += following.toneToNoise().value() / RECORDINGS;
          plain[i] += DeviceBench.tone(measurement, tone).toneToNoise().value() / RECORDINGS;
        }
      }
      for (int i = 0; i < ORDERS.length; i++) {
        double f = ORDERS[i] * RPM / 60.0;
        double truth = LEVELS_DB[i] - DENSITY_DB - 10.0 * Math.log10(criticalBandwidthHz(f));
        report.row(drift, ORDERS[i], truth, sums[i], plain[i]);
        if (Math.abs(sums[i] - truth) > TOLERANCE_DB) {
          failures.add("±" + drift + " %, order " + ORDERS[i] + ": " + sums[i] + " for " + truth);
        }
        if (drift == 2.0 && i == 0) {
          plainLoss = truth - plain[i];
        }
      }
    }
    report.save();
    assertEquals(List.of(), failures);
    assertTrue(plainLoss >= 10.0, "the plain ratio loses " + plainLoss + " dB only");
  }

  /** Of the places where a smeared order peaks, the one with the greatest plain ratio. */
  private static int strongestOf(Measurement measurement, int order, double within, double f) {
    int best = -1;
    for (int i = 0; i < measurement.tones().tones().size(); i++) {
      Double heard = DeviceBench.origin(measurement, i).order();
      boolean here = Math.abs(DeviceBench.tone(measurement, i).frequencyHz() - f) <= within;
      if (here
          && heard != null
          && heard == order
          && (best < 0
              || DeviceBench.tone(measurement, i).toneToNoise().value()
                  > DeviceBench.tone(measurement, best).toneToNoise().value())) {
        best = i;
      }
    }
    return best;
  }
}
