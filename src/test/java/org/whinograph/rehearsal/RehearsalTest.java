package org.whinograph.rehearsal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Clock;
import java.time.Instant;
import java.time.ZoneOffset;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.whinograph.measurement.ProgressListener;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.RefusedException;
import org.whinograph.verification.VerificationReport;

/** Rehearsals of several devices: how often the truth lies inside the stated interval. */
class RehearsalTest {
  private static final Rehearsal REHEARSAL =
      new Rehearsal(Clock.fixed(Instant.parse("2026-03-01T20:00:00Z"), ZoneOffset.UTC));

  /**
   * Six devices of about 45 quantities each. Errors of one calibration are shared by all levels of
   * a device, so the share inside scatters more than independent ones would: 90 % is asked of 95.
   */
  @Test
  void truthLiesInsideTheStatedIntervals(@TempDir Path folder) throws Exception {
    VerificationReport report =
        new VerificationReport(
            "rehearsals",
            "Rehearsals on drawn devices",
            "analytic truth of each device",
            "seed",
            "device",
            "quantities",
            "inside",
            "outside",
            "speed stated",
            "rms error of the speed %",
            "inside 95 % interval %",
            "known %",
            "wrong order %",
            "blades");
    long inside = 0;
    long all = 0;
    for (long seed = 1; seed <= 6; seed++) {
      RehearsalResult result =
          REHEARSAL.run(seed, false, folder.resolve("" + seed), false, ProgressListener.NONE);
      StringBuilder outside = new StringBuilder();
      for (Comparison row : result.comparisons()) {
        if (!row.inside()) {
          outside
              .append(row.quantity())
              .append(": ")
              .append(row.measured().known() ? row.error().value() : row.measured().reason())
              .append(" of ")
              .append(row.interval())
              .append(' ')
              .append(row.unit())
              .append("; ");
        }
      }
      report.row(
          seed,
          result.truth().description(),
          result.comparisons().size(),
          result.inside(),
          outside,
          result.speed().stated(),
          result.speed().rmsPercent().value(),
          result.speed().insidePercent().value(),
          result.speed().knownPercent().value(),
          result.speed().wrongPercent().value(),
          result.speed().blades());
      inside += result.inside();
      all += result.comparisons().size();
      DeviceTruth.Levels levels = result.truth().levels();
      assertTrue(levels.deviceLaeqDb() > 22 && levels.deviceLaeqDb() < 40, levels.toString());
    }
    report.save();
    assertTrue(inside >= 0.9 * all, inside + " of " + all + " inside");
  }

  /** A ramp of up to 300 1/min a second: 0.5 % rms are asked, 1 % of frames on a wrong order. */
  @Test
  void aFanThatSpeedsUpIsJudgedFrameByFrame(@TempDir Path folder) throws Exception {
    RehearsalResult result = REHEARSAL.run(2, true, folder, false, ProgressListener.NONE);
    DeviceTruth.FanSpeed fan = result.truth().fans().get(0);
    assertTrue(fan.highRpm() > 1.15 * fan.lowRpm(), fan.lowRpm() + " to " + fan.highRpm());
    SpeedErrors speed = result.speed();
    assertTrue(speed.stated());
    assertEquals(fan.blades(), speed.blades());
    assertTrue(speed.knownPercent().value() >= 90, speed.toString());
    assertTrue(speed.wrongPercent().value() <= 1, speed.toString());
    assertTrue(speed.rmsPercent().value() <= 0.1, speed.toString());
    // A line near 3 kHz must not be taken for its image, one rate of the blocks away.
    assertTrue(speed.insidePercent().value() >= 90, speed.toString());
    assertTrue(
        result.comparisons().stream().anyMatch(row -> row.quantity().startsWith("shaft speed")));
  }

  @Test
  void sameSeedGivesSameFilesAndNothingIsReplacedUnasked(@TempDir Path folder) throws Exception {
    Path a = folder.resolve("a");
    Path b = folder.resolve("b");
    REHEARSAL.run(3, false, a, false, ProgressListener.NONE);
    REHEARSAL.run(3, false, b, false, ProgressListener.NONE);
    for (String name :
        new String[] {"device.wav", "calibrator.wav", "background.wav", "rehearsal.csv"}) {
      assertEquals(-1, Files.mismatch(a.resolve(name), b.resolve(name)), name);
    }
    byte[] before = Files.readAllBytes(a.resolve("rehearsal.csv"));
    assertThrows(
        RefusedException.class, () -> REHEARSAL.run(4, false, a, false, ProgressListener.NONE));
    assertEquals(
        0, java.util.Arrays.compare(before, Files.readAllBytes(a.resolve("rehearsal.csv"))));
  }

  @Test
  void insideIsWhatTheIntervalHolds() {
    assertTrue(new Comparison("q", "dB", 10, 10, Reading.of(10.5), 0.5).inside());
    assertFalse(new Comparison("q", "dB", 10, 10, Reading.of(10.6), 0.5).inside());
    assertTrue(new Comparison("q", "dB", 9, 11, Reading.of(11.4), 0.5).inside());
    assertEquals(
        -0.2, new Comparison("q", "dB", 9, 11, Reading.of(8.8), 0.5).error().value(), 1e-9);
    assertFalse(new Comparison("q", "dB", 9, 11, Reading.unknown("why"), 0.5).inside());
    assertThrows(
        IllegalArgumentException.class,
        () -> new Comparison("q", "dB", 11, 9, Reading.of(10), 0.5));
  }
}
