package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertAll;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Devices;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.speed.SpeedHints;
import org.whinograph.verification.SpeedTrial.Tally;

/**
 * The stated 95 % interval of the speed of simulated fans, by how they move: it is to hold the
 * truth in 90 % to 98 % of the frames of each kind, neither fewer nor more. What is drawn here was
 * looked at while the interval's variance was derived, so that this guards against getting worse;
 * {@code -Dverification.seed=N} draws anew, {@code -Dverification.repeats=N} N times as many.
 */
class SpeedIntervalTest {
  private static final int REPEATS = Integer.getInteger("verification.repeats", 1);
  private static final long SEED = Long.getLong("verification.seed", 7031L);
  private static final int RECORDINGS = 24;
  private static final double LENGTH_S = 20.0;
  private static final double LEAST = 90.0;
  private static final double MOST = 98.0;

  /** How a fan moves. */
  private enum Motion {
    STILL("steady, no jitter"),
    LITTLE_JITTER("steady, jitter 0.1 %"),
    MUCH_JITTER("steady, jitter 0.3 %"),
    SLOW_RAMP("ramp 105 rpm/s"),
    RAMPS("ramps 300 rpm/s"),
    STEPS("steps"),
    STOP("stop and restart"),
    DRIFT("drift and jitter");

    private final String title;

    Motion(String title) {
      this.title = title;
    }

    SpeedProfile speed(double low, double cornerHz) {
      double high = low + 1800.0;
      return switch (this) {
        case STILL -> SpeedProfile.steady(low);
        case LITTLE_JITTER -> SpeedProfile.steady(low).withJitter(0.1, cornerHz);
        case MUCH_JITTER -> SpeedProfile.steady(low).withJitter(0.3, cornerHz);
        case SLOW_RAMP -> SpeedProfile.of(2, low, 19, high);
        case RAMPS -> SpeedProfile.of(2, low, 8, high, 12, high, 18, low);
        case STEPS -> SpeedProfile.of(0, low, 7, low, 7, low * 1.3, 14, low * 1.3, 14, low * 1.1);
        case DRIFT -> SpeedProfile.steady(low).withDrift(2, 15).withJitter(0.15, cornerHz);
        case STOP -> SpeedProfile.of(0, high, 7, high, 9, 0, 11, 0, 14, low, 20, low);
      };
    }

    double[] stepsS() {
      return this == STEPS ? new double[] {7, 14} : new double[0];
    }
  }

  @Test
  void holdsAsOftenAsItSays() {
    VerificationReport report =
        new VerificationReport(
            "speed-intervals",
            "Stated 95 % interval of the speed, blades given, 15 dB-Hz to 30 dB-Hz",
            "simulated devices of known truth",
            "motion",
            "recordings",
            "frames known",
            "wrong order [% of known]",
            "rms error [%]",
            "within 95 % interval [%]");
    Random random = new Random(SEED);
    List<Executable> checks = new ArrayList<>();
    for (Motion motion : Motion.values()) {
      Tally tally = new Tally();
      for (int i = 0; i < RECORDINGS * REPEATS; i++) {
        int blades = new int[] {5, 7, 9, 11, 13, 23}[random.nextInt(6)];
        double slowest = Math.max(1200.0, 60.0 * 150.0 / blades);
        double rpm = slowest * (1.0 + random.nextDouble());
        double cornerHz = 0.1 * Math.pow(20.0, random.nextDouble());
        double carrier = 15.0 + 15.0 * random.nextDouble();
        double falloff = 3.0 + 5.0 * random.nextDouble();
        SpeedProfile speed = motion.speed(rpm, cornerHz);
        Device.Builder device =
            Devices.comb(blades, speed, carrier, 3, falloff, 2, 10, LENGTH_S).sampleRate(16_000);
        SpeedHints hints = SpeedHints.ofBlades(blades);
        tally.add(SpeedTrial.run(device.build(), random.nextInt(), hints, motion.stepsS()));
      }
      double inside = tally.insidePercent();
      report.row(
          motion.title, tally.cases, tally.known, tally.wrongPercent(), tally.rmsPercent(), inside);
      checks.add(() -> assertTrue(inside >= LEAST, motion.title + ": inside " + inside));
      checks.add(() -> assertTrue(inside <= MOST, motion.title + ": inside " + inside));
      checks.add(() -> assertTrue(tally.wrongPercent() <= 1.0, motion.title + ": wrong"));
    }
    report.save();
    assertAll(checks);
  }
}
