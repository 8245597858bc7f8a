package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.whinograph.measurement.Measurement;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Fan;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.order.Cause;

/**
 * Sources beside the fan whose speed is known, told by how their lines move together; each with the
 * device that lacks what tells it as the negative control. The truth is that of the devices; that
 * all orders of one rotor wander by the same factor, that a modulation by m turns leaves images m
 * turns on either side, and that an odd wave has odd multiples only are identities.
 */
class OtherSourcesTest {
  private static final NoiseShape NOISE =
      NoiseShape.of(100, -2, 1000, -2, 5000, -6, 12_000, -12, 20_000, -18);

  /** Seven blades whose speed drifts by ±1 %. */
  private static Device.Builder drifting() {
    SpeedProfile speed = SpeedProfile.steady(2400).withDrift(1, 14).withJitter(0.02, 1);
    return Device.builder("drifting fan")
        .duration(30)
        .fan(new Fan(7, speed, 2400, NOISE, 50))
        .bladePass(34, 26, 20)
        .shaft(30, 28, 24)
        .background(NoiseShape.flat(-12));
  }

  private static Cause cause(Measurement measurement, double hz) {
    int tone = DeviceBench.nearest(measurement, hz, 1.5);
    assertTrue(tone >= 0, hz + " Hz isn't found");
    return DeviceBench.origin(measurement, tone).cause();
  }

  private static String evidence(Measurement measurement, double hz) {
    int tone = DeviceBench.nearest(measurement, hz, 1.5);
    return String.join(" ", DeviceBench.origin(measurement, tone).evidence());
  }

  private static long count(Measurement measurement, Cause cause) {
    return measurement.orders().origins().stream().filter(o -> o.cause() == cause).count();
  }

  /** A second fan that keeps its speed, so steadily that only the pattern of its lines tells. */
  @Test
  void theCombOfASecondFanAtRestIsTold() throws RefusedException {
    Device.Builder builder = drifting();
    for (int order : new int[] {1, 2, 9, 18, 27}) {
      builder.line(Line.fixed(LineCause.FIXED, 87.31 * order, 26));
    }
    Measurement with = DeviceBench.measured(builder.build(), 61);
    for (int order : new int[] {1, 2, 9, 18, 27}) {
      assertEquals(Cause.SECOND_FAN, cause(with, 87.31 * order), evidence(with, 87.31 * order));
    }
    assertTrue(evidence(with, 9 * 87.31).contains("9 blades"), evidence(with, 9 * 87.31));
    assertNotNull(with.orders().twoFans());
    assertEquals(60 * 87.31, with.orders().twoFans().secondRpm(), 1.0);
    assertTrue(with.orders().twoFans().beats().isEmpty());
  }

  /** The negative control: a square wave of that frequency. */
  @Test
  void aSquareWaveIsNoSecondFan() throws RefusedException {
    Device.Builder builder = drifting();
    for (int order : new int[] {1, 3, 5, 7, 9, 11}) {
      builder.line(Line.fixed(LineCause.FIXED, 287.31 * order, 26));
    }
    Measurement square = DeviceBench.measured(builder.build(), 62);
    assertEquals(0, count(square, Cause.SECOND_FAN));
    assertNull(square.orders().twoFans());
    assertEquals(Cause.FIXED, cause(square, 5 * 287.31), evidence(square, 5 * 287.31));
  }

  private static Device.Builder nineBlades() {
    SpeedProfile speed = SpeedProfile.steady(2900).withJitter(0.04, 0.5);
    return Device.builder("pair of fans")
        .duration(24)
        .fan(new Fan(9, speed, 2900, NOISE, 50))
        .bladePass(34, 26)
        .shaft(28, 26)
        .background(NoiseShape.flat(-12));
  }

  /** Three lines of a second fan like the first, slower by 4 turns a second: by one factor away. */
  @Test
  void aFanLikeTheFirstIsToldByThreeOfItsLines() throws RefusedException {
    double second = 2660.7;
    SpeedProfile speed = SpeedProfile.steady(second).withJitter(0.01, 0.5);
    Measurement with =
        DeviceBench.measured(
            nineBlades()
                .fan(new Fan(9, speed, second, NOISE, 50))
                .bladePass(30)
                .shaft(26, 24)
                .build(),
            66);
    for (int order : new int[] {1, 2, 9}) {
      assertEquals(Cause.SECOND_FAN, cause(with, order * second / 60), order + " times");
    }
    assertNotNull(with.orders().twoFans());
    assertEquals(second, with.orders().twoFans().secondRpm(), 1.0);
    assertTrue(with.orders().twoFans().deviationRpm() < 1.0);
    assertTrue(with.orders().twoFans().beats().isEmpty());
  }

  /** The negative control: lines as near to the first fan's, but each by another factor away. */
  @Test
  void linesByDifferentFactorsAwayAreNoFan() throws RefusedException {
    Measurement without =
        DeviceBench.measured(
            nineBlades()
                .line(Line.fixed(LineCause.FIXED, 2660.7 / 60, 36))
                .line(Line.fixed(LineCause.FIXED, 2 * 2740.3 / 60, 34))
                .line(Line.fixed(LineCause.FIXED, 9 * 2701.9 / 60, 40))
                .build(),
            66);
    assertEquals(0, count(without, Cause.SECOND_FAN));
    assertNull(without.orders().twoFans());
  }

  /** A fan of eight blades at 2993.3 1/min has the blade-pass of one of nine at 2660.7 1/min. */
  @Test
  void bladePassAloneTellsNoSecondSpeed() throws RefusedException {
    double hz = 9 * 2660.7 / 60;
    SpeedProfile speed = SpeedProfile.steady(60 * hz / 8).withJitter(0.01, 0.5);
    Measurement with =
        DeviceBench.measured(
            nineBlades().fan(new Fan(8, speed, 60 * hz / 8, NOISE, 50)).bladePass(26, 20).build(),
            67);
    assertNull(with.orders().twoFans());
    assertTrue(evidence(with, hz).contains("blade-pass alone doesn't tell"), evidence(with, hz));
  }

  /** Blade-pass lines alone of a second fan that wanders by itself, about a speed that rests. */
  @Test
  void linesThatWanderTogetherAreOfAnotherRotor() throws RefusedException {
    SpeedProfile speed = SpeedProfile.steady(3170).withJitter(0.12, 0.3);
    Measurement with =
        DeviceBench.measured(
            drifting().fan(new Fan(11, speed, 3170, NOISE, 50)).bladePass(25, 25, 25).build(), 63);
    int told = 0;
    for (int times = 1; times <= 3; times++) {
      double hz = times * 11 * 3170 / 60.0;
      assertNotEquals(Cause.FIXED, cause(with, hz), evidence(with, hz));
      assertFalse(cause(with, hz).turnsWithTheFan(), evidence(with, hz));
      told += cause(with, hz) == Cause.SECOND_FAN ? 1 : 0;
    }
    assertTrue(told >= 2, told + " of 3 lines told");
    Device.Builder still = drifting();
    for (int times = 1; times <= 3; times++) {
      still.line(Line.fixed(LineCause.FIXED, times * 11 * 3170 / 60.0, 30));
    }
    Measurement without = DeviceBench.measured(still.build(), 63);
    assertEquals(0, count(without, Cause.SECOND_FAN));
    assertEquals(Cause.FIXED, cause(without, 22 * 3170 / 60.0));
  }

  /**
   * A coil that is switched, and one that leaps; one that is there for the first half only isn't.
   */
  @Test
  void aLineThatIsSwitchedAtOneSpeedFollowsTheLoad() throws RefusedException {
    Device.Builder builder = drifting();
    for (double from : new double[] {2, 12, 22}) {
      builder
          .line(Line.fixed(LineCause.LOAD, 4321.7, 32).between(from, from + 5))
          .line(Line.fixed(LineCause.LOAD, 6100.3, 32).between(from, from + 5))
          .line(Line.fixed(LineCause.LOAD, 6190.9, 32).between(from + 5, from + 10));
    }
    Measurement with =
        DeviceBench.measured(
            builder.line(Line.fixed(LineCause.LOAD, 3333.3, 32).between(0, 15)).build(), 64);
    assertEquals(Cause.LOAD, cause(with, 4321.7), evidence(with, 4321.7));
    assertEquals(Cause.LOAD, cause(with, 6100.3), evidence(with, 6100.3));
    assertEquals(Cause.LOAD, cause(with, 6190.9), evidence(with, 6190.9));
    assertNotEquals(Cause.LOAD, cause(with, 3333.3), evidence(with, 3333.3));
  }

  /** Images two blade-passes away, whose number of turns is uncertain by itself. */
  @Test
  void imagesFarFromTheCarrierAreSidebands() throws RefusedException {
    double shaft = 3480 / 60.0;
    SpeedProfile speed = SpeedProfile.steady(3480).withJitter(0.02, 1);
    Device.Builder builder =
        Device.builder("drive")
            .duration(30)
            .fan(new Fan(17, speed, 3480, NOISE, 50))
            .bladePass(34, 26)
            .shaft(22, 18)
            .background(NoiseShape.flat(-12));
    Measurement with = DeviceBench.measured(builder.drive(9100, 34, 34, 28).build(), 65);
    for (double f : new double[] {9100, 9100 - 34 * shaft, 9100 + 34 * shaft}) {
      assertEquals(Cause.DRIVE, cause(with, f), evidence(with, f));
    }
    Measurement lopsided =
        DeviceBench.measured(
            Device.builder("no drive")
                .duration(30)
                .fan(new Fan(17, speed, 3480, NOISE, 50))
                .bladePass(34, 26)
                .shaft(22, 18)
                .background(NoiseShape.flat(-12))
                .line(Line.fixed(LineCause.FIXED, 9100, 34))
                .line(Line.fixed(LineCause.FIXED, 9100 - 33.6 * shaft, 28))
                .line(Line.fixed(LineCause.FIXED, 9100 + 34.2 * shaft, 28))
                .build(),
            65);
    assertEquals(0, count(lopsided, Cause.DRIVE));
  }

  /**
   * Hum 4 Hz beside the blade-pass line: sin a + sin b beats at a − b, and no second fan is meant.
   */
  @Test
  void anEnvelopeThatHumExplainsNamesIt() throws RefusedException {
    SpeedProfile speed = SpeedProfile.steady(60 * 304.0 / 7).withJitter(0.005, 1);
    Device.Builder builder =
        Device.builder("beside hum")
            .duration(30)
            .fan(new Fan(7, speed, 60 * 304.0 / 7, NOISE, 50))
            .bladePass(34, 28, 24)
            .shaft(28, 26, 24)
            .background(NoiseShape.flat(-12));
    Measurement with = DeviceBench.measured(builder.hum(50, 30, 30, 30, 24, 24, 30).build(), 66);
    assertEquals(4.0, with.orders().envelope().rateHz().value(), 0.1);
    assertNotNull(with.orders().envelope().besideHz());
    assertEquals(300.0, with.orders().envelope().besideHz(), 0.5);
    Measurement twoFans =
        DeviceBench.measured(
            Device.builder("two fans")
                .duration(30)
                .fan(new Fan(7, speed, 60 * 304.0 / 7, NOISE, 50))
                .bladePass(34, 28, 24)
                .shaft(28, 26, 24)
                .fan(
                    new Fan(
                        7,
                        SpeedProfile.steady(60 * 308.0 / 7).withJitter(0.005, 1),
                        60 * 308.0 / 7,
                        NOISE,
                        50))
                .bladePass(30, 22, 18)
                .background(NoiseShape.flat(-12))
                .build(),
            66);
    assertNull(twoFans.orders().envelope().besideHz());
  }
}
