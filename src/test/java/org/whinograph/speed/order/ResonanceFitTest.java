package org.whinograph.speed.order;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.DeviceSource;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.signal.SampleBlock;
import org.whinograph.speed.SpeedTrack;

/**
 * The frequency of a resonance against levels by formula, and its 95 % interval against sweeps of
 * known truth. The formula is the transmission of an oscillator, |H|² = (r² + g x²)/(r² + x²) with
 * r = f₀² − f² and x = f₀ f/Q, as mechanics textbooks have it (from memory).
 */
class ResonanceFitTest {
  private static double gain(double f, double f0, double quality, double gainDb) {
    double g = Math.pow(10.0, 0.1 * gainDb);
    double r2 = Math.pow(f0 * f0 - f * f, 2);
    double x2 = Math.pow(f0 * f / quality, 2);
    return (r2 + g * x2) / (r2 + x2);
  }

  /** Levels of orders 8 and 11 by formula, of order 9 without the resonance, at steps of 1.5 %. */
  private static List<SpeedLevels> exact(double f0, double quality, double gainDb) {
    List<SpeedLevels> levels = new ArrayList<>();
    for (double hz = 60.0; hz < 190.0; hz *= 1.015) {
      double[] tone = new double[SpeedLevels.MOST_ORDERS + 1];
      double[] noise = new double[SpeedLevels.MOST_ORDERS + 1];
      for (int order : new int[] {8, 9, 11}) {
        double rise = Math.pow(hz / 100.0, 6.0);
        tone[order] = rise * (order == 9 ? 1.0 : gain(order * hz, f0, quality, gainDb));
        noise[order] = 1e-6;
      }
      levels.add(new SpeedLevels(hz, 0.0, 2, tone, noise));
    }
    return levels;
  }

  @Test
  void levelsByFormulaGiveTheFrequencyThatTheyWereMadeWith() {
    for (double quality : new double[] {6.0, 15.0, 35.0}) {
      List<SpeedLevels> levels = exact(1000.0, quality, 12.0);
      ResonanceFit fit = ResonanceFit.of(levels, List.of(8, 11), 1030.0, SteadyLines.NONE);
      assertEquals(1000.0, fit.frequencyHz(), 0.5, "Q " + quality);
      assertTrue(fit.lowHz() <= 1000.0 && fit.highHz() >= 1000.0, fit.toString());
      assertTrue(fit.passesWithoutPeak(levels, 9, SteadyLines.NONE), "order 9 has no peak");
      assertFalse(fit.passesWithoutPeak(levels, 8, SteadyLines.NONE), "order 8 has one");
      assertFalse(
          fit.passesWithoutPeak(levels, 20, SteadyLines.NONE),
          "order 20 isn't heard: nothing is known");
    }
    assertNull(
        ResonanceFit.of(
            exact(1000.0, 10.0, 12.0).subList(0, 4), List.of(8), 1000.0, SteadyLines.NONE));
  }

  /** One sweep of a fan with a resonance, followed with a track that errs by 0.03 %. */
  private static final class Sweep {
    final double truthHz;
    final SpeedSweep found;

    Sweep(int seed) {
      Random random = new Random(7919L * seed);
      double slow = 1800.0 * Math.exp(random.nextDouble() * Math.log(3.0));
      double fast = slow * (1.8 + 0.7 * random.nextDouble());
      List<Integer> orders = new ArrayList<>();
      double f0 = 0.0;
      while (orders.size() < 2) {
        f0 = 300.0 * Math.exp(random.nextDouble() * Math.log(10.0));
        orders.clear();
        for (int k = 1; k <= 60; k++) {
          double rpm = 60.0 * f0 / k;
          if (rpm > 1.12 * slow && rpm < fast / 1.12) {
            orders.add(k);
          }
        }
      }
      truthHz = f0;
      Collections.shuffle(orders, random);
      int count = Math.min(orders.size(), 2 + random.nextInt(5));
      double quality = 5.0 * Math.exp(random.nextDouble() * Math.log(8.0));
      double seconds = 10.0 + 8.0 * random.nextDouble();
      Device.Builder builder =
          Device.builder("sweep")
              .duration(seconds + 4.0)
              .fan(7, SpeedProfile.of(2.0, slow, 2.0 + seconds, fast).withJitter(0.02, 1.0), fast)
              .resonance(f0, quality, 8.0 + 8.0 * random.nextDouble())
              .background(NoiseShape.flat(0.0));
      for (int k : orders.subList(0, count)) {
        // 15 to 40 dB over the noise in 1 Hz where it crosses, before the resonance lifts it.
        double level = 15.0 + 25.0 * random.nextDouble();
        double slope = 40.0 + 35.0 * random.nextDouble();
        double below = slope * Math.log10(60.0 * f0 / k / fast);
        builder.line(Line.order(LineCause.SHAFT, 0, k, level - below).withSlope(slope));
      }
      found = followed(builder.build(), seed, random);
    }

    private static SpeedSweep followed(Device device, int seed, Random random) {
      org.whinograph.rehearsal.SpeedTrack truth =
          org.whinograph.rehearsal.SpeedTrack.of(device, seed, 0, 0.02);
      int frames = (int) (device.durationS() / 0.125);
      double[] time = new double[frames];
      double[] rpm = new double[frames];
      for (int i = 0; i < frames; i++) {
        time[i] = 0.125 * (i + 0.5);
        rpm[i] = truth.rpmAt(time[i]) * (1.0 + 3e-4 * random.nextGaussian());
      }
      FollowingSpectrum following =
          new FollowingSpectrum(
              device.sampleRateHz(), LevelUnit.FULL_SCALE, new SpeedTrack(time, rpm, rpm, rpm));
      try (DeviceSource source = new DeviceSource(device, seed)) {
        for (SampleBlock block = source.read(4096); block != null; block = source.read(4096)) {
          following.accept(block);
        }
      }
      return SweepJudge.judge(
          following.bins(SweepJudge.FEWEST_FRAMES), following.levels(), SteadyLines.NONE);
    }

    ResonanceCrossing nearest() {
      return found.resonances().stream()
          .filter(each -> each.lowHz().known() && Math.abs(each.frequencyHz() / truthHz - 1) < 0.1)
          .findFirst()
          .orElse(null);
    }
  }

  /**
   * Of 12 sweeps an honest 95 % interval holds fewer than 10 in 2 % of cases; the seeds are the
   * first twelve. Negative control: 1.5 % beside the truth, an interval as narrow as this must not
   * hold.
   */
  @Test
  void theIntervalHoldsTheTruthAndNotWhatLiesBeside() {
    int stated = 0;
    int inside = 0;
    int beside = 0;
    for (int seed = 1; seed <= 12; seed++) {
      Sweep sweep = new Sweep(seed);
      ResonanceCrossing crossing = sweep.nearest();
      if (crossing != null) {
        stated++;
        inside += holds(crossing, sweep.truthHz) ? 1 : 0;
        beside += holds(crossing, 1.015 * sweep.truthHz) ? 1 : 0;
      }
    }
    assertTrue(stated >= 8, stated + " of 12 resonances are found");
    assertTrue(inside >= stated - 2, inside + " of " + stated + " intervals hold the truth");
    assertTrue(beside <= 1, beside + " intervals hold 1.5 % beside it");
  }

  private static boolean holds(ResonanceCrossing crossing, double hz) {
    return crossing.lowHz().value() <= hz && hz <= crossing.highHz().value();
  }
}
