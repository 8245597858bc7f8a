package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.stream.IntStream;
import org.junit.jupiter.api.Test;
import org.whinograph.measurement.Measurement;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Fan;
import org.whinograph.rehearsal.Line;
import org.whinograph.rehearsal.LineCause;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.rehearsal.TimeProfile;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.ResonanceCrossing;
import org.whinograph.speed.order.SpeedRange;
import org.whinograph.speed.order.SpeedSweep;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.tone.Tone;

/**
 * Each cause on a simulated device that has it, with the evidence in words and figures; and the
 * negative control: the same device without what the cause rests on, where it must not be named.
 * The truth is that of the devices.
 */
class ToneCauseTest {
  private static final NoiseShape NOISE =
      NoiseShape.of(100, -2, 1000, -2, 5000, -6, 12_000, -12, 20_000, -18);

  /** Seven blades from 3000 to 6000 1/min in 20 s, a rest at both ends. */
  private static Device.Builder ramp(double qualityGainDb) {
    Device.Builder builder =
        Device.builder("ramp")
            .duration(30)
            .fan(
                new Fan(7, SpeedProfile.of(5, 3000, 25, 6000).withJitter(0.02, 1), 6000, NOISE, 50))
            .bladePass(34, 26, 18)
            .shaft(22, 18, 16, 14)
            .line(Line.order(LineCause.SHAFT, 0, 9, 24))
            .line(Line.order(LineCause.SHAFT, 0, 10, 24))
            .background(NoiseShape.flat(-12));
    return qualityGainDb == 0 ? builder : builder.resonance(780, 14, qualityGainDb);
  }

  private static String evidence(Measurement measurement, int tone) {
    return String.join(" ", DeviceBench.origin(measurement, tone).evidence());
  }

  private static long count(Measurement measurement, Cause cause) {
    return measurement.orders().origins().stream().filter(o -> o.cause() == cause).count();
  }

  private static int[] within(Measurement measurement, double lowHz, double highHz) {
    List<Tone> tones = measurement.tones().tones();
    return IntStream.range(0, tones.size())
        .filter(i -> tones.get(i).frequencyHz() >= lowHz && tones.get(i).frequencyHz() <= highHz)
        .toArray();
  }

  /** Orders 7, 9 and 10 pass 780 Hz and grow loud there. */
  @Test
  void aResonanceIsWhereSeveralOrdersGrowLoud() throws RefusedException {
    Measurement with = DeviceBench.measured(ramp(14).build(), 31);
    ResonanceCrossing crossing = with.orders().sweep().resonances().get(0);
    assertEquals(780, crossing.frequencyHz(), 0.01 * 780);
    assertTrue(crossing.orders().size() >= 2, crossing.toString());
    assertTrue(crossing.riseDb() > 6, crossing.toString());
    for (int i = 0; i < crossing.orders().size(); i++) {
      double passes = crossing.orders().get(i) * crossing.rpm().get(i) / 60;
      assertEquals(780, passes, 0.08 * 780);
    }
    Measurement without = DeviceBench.measured(ramp(0).build(), 31);
    assertTrue(
        without.orders().sweep().resonances().stream().noneMatch(r -> r.orders().size() > 1),
        without.orders().sweep().resonances().toString());
    assertEquals(0, count(without, Cause.RESONANCE));
  }

  /**
   * The rise of a tone with the speed follows the sixth-power law (60 dB a decade; Huang, JASA 114,
   * 2003), whether a resonance lifts it on its way or not; and a resonance as broad as a quality of
   * 5 is found by its shape, that of a driven oscillator.
   */
  @Test
  void aBroadResonanceIsFoundAndTakenOffTheSlope() throws RefusedException {
    Device.Builder broad =
        Device.builder("broad")
            .duration(30)
            .fan(
                new Fan(7, SpeedProfile.of(5, 3000, 25, 6000).withJitter(0.02, 1), 6000, NOISE, 50))
            .bladePass(36, 30, 24)
            .shaft(22, 18)
            .background(NoiseShape.flat(-12));
    double plain = DeviceBench.measured(broad.build(), 43).orders().sweep().toneSlope().value();
    assertEquals(60, plain, 3);
    SpeedSweep with =
        DeviceBench.measured(broad.resonance(560, 5, 12).build(), 43).orders().sweep();
    assertEquals(1, with.resonances().size(), with.resonances().toString());
    ResonanceCrossing found = with.resonances().get(0);
    assertEquals(560, found.frequencyHz(), 0.02 * 560);
    assertEquals(60, with.toneSlope().value(), 4);
  }

  /**
   * Orders pass a line that stays at 985 Hz: they don't grow loud there, nor are they prominent.
   */
  @Test
  void aSteadyLineIsNoResonanceAndNoSpeedToAvoid() throws RefusedException {
    Measurement with =
        DeviceBench.measured(ramp(0).line(Line.fixed(LineCause.FIXED, 985, 40)).build(), 44);
    SpeedSweep sweep = with.orders().sweep();
    assertTrue(
        sweep.resonances().stream().noneMatch(r -> Math.abs(r.frequencyHz() - 985) < 60),
        sweep.resonances().toString());
    for (SpeedRange range : sweep.avoid()) {
      assertEquals(0, range.order() % 7, range.toString());
    }
    assertTrue(sweep.avoid().stream().anyMatch(range -> range.order() == 7));
  }

  /**
   * Order 9 alone is louder for a time, while it passes 700 Hz at 4667 1/min. Order 10 passes there
   * at 4200 1/min and isn't: no resonance. Without order 10 nobody can tell.
   */
  @Test
  void oneOrderAloneIsNoResonanceIfAnotherPassesWithoutGrowingLoud() throws RefusedException {
    List<ResonanceCrossing> with =
        DeviceBench.measured(swelling(9, 10), 37).orders().sweep().resonances();
    assertTrue(with.stream().noneMatch(r -> r.orders().contains(9)), with.toString());
    List<ResonanceCrossing> alone =
        DeviceBench.measured(swelling(9), 37).orders().sweep().resonances();
    ResonanceCrossing perhaps =
        alone.stream().filter(r -> r.orders().contains(9)).findFirst().orElseThrow();
    assertEquals(List.of(9), perhaps.orders());
    assertEquals(700, perhaps.frequencyHz(), 0.06 * 700);
    assertEquals(List.of(), perhaps.ordersWithoutPeak());
  }

  private static Device swelling(int... orders) {
    Device.Builder builder =
        Device.builder("swelling order")
            .duration(30)
            .fan(
                new Fan(7, SpeedProfile.of(5, 3000, 25, 6000).withJitter(0.02, 1), 6000, NOISE, 50))
            .bladePass(34, 26, 18)
            .shaft(22, 18, 16, 14)
            .background(NoiseShape.flat(-12));
    for (int order : orders) {
      builder.line(Line.order(LineCause.SHAFT, 0, order, 26));
    }
    return builder.line(Line.order(LineCause.SHAFT, 0, 9, 40).between(15, 17.2)).build();
  }

  /** A fan that rests, and a second one that speeds up meanwhile. */
  @Test
  void aRivalCombIsASecondFan() throws RefusedException {
    Measurement with = DeviceBench.measured(twoFans(true), 32);
    assertTrue(with.warnings().stream().anyMatch(w -> w.code().equals("second-comb")));
    assertEquals(4140, with.speed().medianRpm().value(), 60);
    int named = 0;
    for (double f : new double[] {385, 735, 1470}) {
      for (int i : within(with, 0.99 * f, 1.01 * f)) {
        assertFalse(DeviceBench.origin(with, i).cause().turnsWithTheFan(), evidence(with, i));
        if (DeviceBench.origin(with, i).cause() == Cause.SECOND_FAN) {
          named++;
          assertTrue(evidence(with, i).contains("second comb"), evidence(with, i));
          assertTrue(evidence(with, i).matches(".*\\d.*"), evidence(with, i));
        }
      }
    }
    assertTrue(named >= 1, "no tone of the second fan is named");
    assertEquals(0, count(with, Cause.LOAD), "its leaps are no load");
    assertEquals(0, count(DeviceBench.measured(twoFans(false), 32), Cause.SECOND_FAN));
  }

  private static Device twoFans(boolean second) {
    Device.Builder builder =
        Device.builder("two fans")
            .duration(30)
            .fan(
                new Fan(
                    5,
                    SpeedProfile.steady(4140).withDrift(1, 12).withJitter(0.02, 1),
                    4140,
                    NOISE,
                    50))
            .bladePass(36, 30, 25)
            .shaft(24, 20, 18)
            .background(NoiseShape.flat(-12));
    return second
        ? builder
            .fan(
                new Fan(7, SpeedProfile.of(5, 3300, 25, 6300).withJitter(0.02, 1), 6300, NOISE, 50))
            .bladePass(34, 28, 22)
            .shaft(20, 16)
            .build()
        : builder.build();
  }

  /** A coil whose pitch slides with the load while the speed rests. */
  @Test
  void aToneThatSlidesWithTheLoadFollowsTheLoad() throws RefusedException {
    Measurement with = DeviceBench.measured(sliding(260), 33);
    int named = 0;
    for (int i : within(with, 5990, 6300)) {
      ToneOrigin origin = DeviceBench.origin(with, i);
      assertTrue(
          origin.cause() == Cause.LOAD || origin.cause() == Cause.UNKNOWN,
          origin.cause() + ": " + origin.evidence());
      if (origin.cause() == Cause.LOAD) {
        named++;
        assertTrue(evidence(with, i).matches(".*\\d.*"), evidence(with, i));
      }
    }
    assertTrue(named >= 1, "the sliding coil isn't named");
    Measurement without = DeviceBench.measured(sliding(0), 33);
    assertEquals(0, count(without, Cause.LOAD));
    int[] stays = within(without, 5990, 6010);
    assertEquals(1, stays.length);
    assertNotEquals(Cause.LOAD, DeviceBench.origin(without, stays[0]).cause());
  }

  private static Device sliding(double loadHz) {
    return Device.builder("sliding coil")
        .duration(30)
        .fan(new Fan(9, SpeedProfile.steady(3300).withJitter(0.01, 1), 3300, NOISE, 50))
        .bladePass(32, 24, 16)
        .shaft(24, 18, 14)
        .line(Line.load(6000, loadHz, 24, 0))
        .load(TimeProfile.of(8, 0, 22, 1))
        .background(NoiseShape.flat(-10))
        .build();
  }

  /** Lines from 21 to 28 kHz that stay put while the fan speeds up, and sidebands of one. */
  @Test
  void aFixedLineAtUltrasoundIsTheDrive() throws RefusedException {
    Device.Builder moving =
        ramp(0).sampleRate(96_000).duration(24).line(Line.fixed(LineCause.DRIVE, 25_000, 22));
    Measurement with = DeviceBench.measured(moving.build(), 34);
    int drive = DeviceBench.nearest(with, 25_000, 2);
    assertTrue(drive >= 0, "the line at 25 kHz isn't found");
    assertEquals(Cause.DRIVE, DeviceBench.origin(with, drive).cause(), evidence(with, drive));
    assertTrue(evidence(with, drive).contains("21 to 28 kHz"), evidence(with, drive));
    assertTrue(evidence(with, drive).contains("stays where it is"), evidence(with, drive));

    // Outside the range it is a fixed line like any other.
    Device.Builder outside =
        ramp(0).sampleRate(96_000).duration(24).line(Line.fixed(LineCause.FIXED, 31_000, 22));
    Measurement fixed = DeviceBench.measured(outside.build(), 34);
    int line = DeviceBench.nearest(fixed, 31_000, 2);
    assertEquals(Cause.FIXED, DeviceBench.origin(fixed, line).cause(), evidence(fixed, line));

    // The frequency alone says nothing: beside a fan that rests nobody sees whether it stays.
    Measurement still = DeviceBench.measured(steadyWithDrive(0), 34);
    int alone = DeviceBench.nearest(still, 25_000, 2);
    assertEquals(Cause.UNKNOWN, DeviceBench.origin(still, alone).cause(), evidence(still, alone));

    // With its mirror images it is a carrier.
    Measurement sides = DeviceBench.measured(steadyWithDrive(16), 34);
    for (double f : new double[] {25_000 - 8 * 55, 25_000, 25_000 + 8 * 55}) {
      int tone = DeviceBench.nearest(sides, f, 3);
      assertTrue(tone >= 0, f + " Hz isn't found");
      assertEquals(Cause.DRIVE, DeviceBench.origin(sides, tone).cause(), evidence(sides, tone));
      assertTrue(evidence(sides, tone).contains("8 times the shaft's speed"), f + " Hz");
    }
  }

  private static Device steadyWithDrive(double sidebandDb) {
    Device.Builder builder =
        Device.builder("drive")
            .sampleRate(96_000)
            .duration(24)
            .fan(new Fan(9, SpeedProfile.steady(3300).withJitter(0.002, 1), 3300, NOISE, 50))
            .bladePass(32, 24, 16)
            .shaft(24, 18, 14)
            .background(NoiseShape.flat(-10));
    return sidebandDb == 0
        ? builder.line(Line.fixed(LineCause.DRIVE, 25_000, 22)).build()
        : builder.drive(25_000, 22, 8, sidebandDb).build();
  }

  /** Order 36 = lcm(9, 12) beside eleven blades; order 37 has no slots and poles. */
  @Test
  void aMotorOrderStandsAboveItsNeighboursAtAMultipleOfSlotsAndPoles() throws RefusedException {
    Measurement with = DeviceBench.measured(motor(36), 35);
    int tone = DeviceBench.nearest(with, 36 * 59, 1);
    assertEquals(36.0, DeviceBench.origin(with, tone).order());
    assertEquals(Cause.MOTOR, DeviceBench.origin(with, tone).cause(), evidence(with, tone));
    assertTrue(evidence(with, tone).contains("9 slots and 12 poles"), evidence(with, tone));
    assertTrue(evidence(with, tone).contains("dB above the shaft orders beside it"));
    Measurement without = DeviceBench.measured(motor(37), 35);
    int other = DeviceBench.nearest(without, 37 * 59, 1);
    assertEquals(Cause.SHAFT, DeviceBench.origin(without, other).cause());
    assertEquals(0, count(without, Cause.MOTOR));
  }

  /**
   * The same while the speed goes up and down by 2 %, with the first overtone of the cogging: its
   * torque is periodic in the least common multiple of slots and poles, so its Fourier series has
   * that order's multiples (Hanselman, Brushless Permanent Magnet Motor Design, from memory). Among
   * neighbours as loud, neither is the motor's.
   */
  @Test
  void aMotorOrderAndItsOvertoneAreToldWhileTheSpeedMoves() throws RefusedException {
    Measurement alone = DeviceBench.measured(movingMotor(false), 41);
    assertTrue(count(alone, Cause.MOTOR) >= 2, "no motor order among " + alone.orders().origins());
    for (ToneOrigin origin : alone.orders().origins()) {
      if (origin.cause() == Cause.MOTOR) {
        assertEquals(0.0, origin.order() % 36, origin.toString());
      }
    }
    assertEquals(0, count(DeviceBench.measured(movingMotor(true), 41), Cause.MOTOR));
  }

  private static Device movingMotor(boolean neighbours) {
    SpeedProfile speed = SpeedProfile.of(0, 3500, 15, 3570, 30, 3500).withJitter(0.004, 1);
    Device.Builder builder =
        Device.builder("moving motor")
            .duration(30)
            .fan(new Fan(11, speed, 3540, NOISE, 50))
            .bladePass(34, 26, 18)
            .shaft(24, 20, 16, 14)
            .line(Line.order(LineCause.MOTOR, 0, 36, 30))
            .line(Line.order(LineCause.MOTOR, 0, 72, 30))
            .background(NoiseShape.flat(-10));
    for (int order : neighbours ? new int[] {35, 37, 38, 70, 71, 73} : new int[0]) {
      builder.line(Line.order(LineCause.SHAFT, 0, order, 30));
    }
    return builder.build();
  }

  private static Device motor(int order) {
    return Device.builder("motor")
        .duration(30)
        .fan(new Fan(11, SpeedProfile.steady(3540).withJitter(0.004, 1), 3540, NOISE, 50))
        .bladePass(34, 26, 18)
        .shaft(24, 20, 16, 14)
        .line(Line.order(LineCause.MOTOR, 0, order, 22))
        .background(NoiseShape.flat(-10))
        .build();
  }
}
