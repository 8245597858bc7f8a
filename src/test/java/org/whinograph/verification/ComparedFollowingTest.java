package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.whinograph.comparison.ComparedTone;
import org.whinograph.comparison.Comparison;
import org.whinograph.measurement.FollowedLine;
import org.whinograph.measurement.Measurement;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.report.ComparisonFindings;
import org.whinograph.report.ComparisonSummary;
import org.whinograph.report.Typeface;
import org.whinograph.signal.RefusedException;

/**
 * Two fans that differ in nothing but the drift of their speed, side by side. Truth: the
 * tone-to-noise ratio of both is 10 lg(W_t/W_n) with W_n = density · critical bandwidth
 * (ECMA-418-1, clause 11), the same for both, since drift changes no level.
 */
class ComparedFollowingTest {
  private static final double RPM = 8400;
  private static final double DENSITY_DB = 5;
  private static final int ORDER = 17;
  private static final double HZ = ORDER * RPM / 60;

  /** 2 dB above the limit of 8 dB that ECMA-418-1 sets from 1 kHz on. */
  private static final double RATIO_DB = 10;

  private static Measurement fan(String name, double driftPercent) throws RefusedException {
    // ECMA-418-1, clause 9: 25 + 75 (1 + 1.4 (f/1000)²)^0.69.
    double bandwidth = 25.0 + 75.0 * Math.pow(1.0 + 1.4 * HZ * HZ / 1e6, 0.69);
    double level = DENSITY_DB + 10 * Math.log10(bandwidth) + RATIO_DB;
    Device.Builder builder =
        Device.builder(name)
            .duration(30)
            .fan(7, SpeedProfile.steady(RPM).withDrift(driftPercent, 30).withJitter(0.01, 0.3), RPM)
            .line(Line.order(LineCause.SHAFT, 0, ORDER, level).withSlope(0))
            .background(NoiseShape.flat(DENSITY_DB));
    for (int order : new int[] {1, 2, 3, 7, 14}) {
      // Heard, so that the speed is known, and not prominent.
      double weak = order == 7 || order == 14 ? 31 : 23;
      LineCause cause = order % 7 == 0 ? LineCause.BLADE_PASS : LineCause.SHAFT;
      builder.line(Line.order(cause, 0, order, weak).withSlope(0));
    }
    return DeviceBench.measured(builder.build(), 4);
  }

  @Test
  void aDriftingToneIsProminentOnlyWhenFollowedAndTheComparisonSaysSo() throws RefusedException {
    Comparison comparison = Comparison.of(List.of(fan("steady", 0), fan("drifting", 2)), 0);
    ComparedTone row = nearest(comparison);
    assertEquals(true, row.tones().get(0).orElseThrow().prominent());
    assertNotEquals(
        Optional.of(true), row.tones().get(1).map(tone -> Boolean.TRUE.equals(tone.prominent())));
    FollowedLine steady = row.followed().get(0).orElseThrow();
    FollowedLine drifting = row.followed().get(1).orElseThrow();
    assertEquals((double) ORDER, drifting.order());
    assertFalse(steady.onlyFollowedIsProminent());
    assertTrue(drifting.onlyFollowedIsProminent());
    // One recording each: a line this strong scatters by 0.3 dB, and the range of speeds nearest
    // to it holds a part of the frames only.
    assertEquals(RATIO_DB, steady.followed().toneToNoise().value(), 1.0);
    assertEquals(RATIO_DB, drifting.followed().toneToNoise().value(), 1.2);
    assertEquals(0.0, row.followingToneToNoiseDifferences().get(1).value(), 1.5);

    List<String> findings = ComparisonFindings.of(comparison);
    assertTrue(findings.get(0).contains("steady has one prominent tone, at 2380"), findings.get(0));
    assertFalse(findings.get(0).contains("followed"), findings.get(0));
    String second = findings.get(1);
    assertTrue(second.contains("no prominent tone in the plain spectrum, but one"), second);
    assertTrue(second.contains("when followed along the speed, at 23"), second);
    String text = ComparisonSummary.of(comparison, Typeface.UNICODE);
    assertTrue(text.contains("Tones in the plain spectrum"), text);
    assertTrue(text.contains("▷ only when followed"), text);
    assertTrue(
        text.lines().anyMatch(line -> line.matches(" +23\\d\\d Hz +2 +17 .* prominent")), text);
    assertTrue(text.lines().allMatch(line -> line.length() <= 100), text);
  }

  /** Negative control: two steady fans have nothing that only following shows. */
  @Test
  void steadyFansAreJudgedAlikeBothWays() throws RefusedException {
    Measurement steady = fan("steady", 0);
    Comparison comparison = Comparison.of(List.of(steady, steady), 0);
    assertTrue(
        comparison.tones().stream()
            .flatMap(row -> row.followed().stream())
            .flatMap(Optional::stream)
            .noneMatch(FollowedLine::onlyFollowedIsProminent));
    String text = ComparisonSummary.of(comparison, Typeface.UNICODE);
    assertFalse(text.contains("▷"), text);
    assertTrue(ComparisonFindings.of(comparison).get(1).endsWith("(tone-to-noise ratio)."));
  }

  /** The row of the order: the one that the drifting fan's followed line stands in. */
  private static ComparedTone nearest(Comparison comparison) {
    return comparison.tones().stream()
        .filter(row -> row.tones().get(0).isPresent() && Math.abs(row.frequencyHz() - HZ) < 2)
        .findFirst()
        .orElseThrow();
  }
}
