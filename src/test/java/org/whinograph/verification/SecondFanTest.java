package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.whinograph.measurement.Measurement;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.Fan;
import org.whinograph.rehearsal.NoiseShape;
import org.whinograph.rehearsal.SpeedProfile;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.speed.order.Cause;
import org.whinograph.speed.order.TwoFans;

/**
 * A second fan with another number of blades, whose speed is known because the device was made with
 * it: f = k · rpm/60 for its lines.
 */
class SecondFanTest {
  private static final NoiseShape NOISE = NoiseShape.flat(-20);
  private static final double FROM = 3300;
  private static final double TO = 6300;

  /** A speed's own interval is far narrower; this is what a wrong multiple could never meet. */
  private static final double WITHIN = 0.01;

  private static Device.Builder first() {
    SpeedProfile speed = SpeedProfile.steady(4140).withDrift(1, 12).withJitter(0.02, 1);
    return Device.builder("two fans of two kinds")
        .duration(30)
        .fan(new Fan(5, speed, 4140, NOISE, 50))
        .bladePass(36, 30, 25)
        .shaft(24, 20, 18)
        .background(NoiseShape.flat(-12));
  }

  private static Device.Builder withSecond() {
    SpeedProfile speed = SpeedProfile.of(5, FROM, 25, TO).withJitter(0.02, 1);
    return first().fan(new Fan(7, speed, TO, NOISE, 50)).bladePass(34, 28, 22);
  }

  private static double trueRpm(double seconds) {
    return FROM + (TO - FROM) * Math.max(0.0, Math.min(1.0, (seconds - 5) / 20));
  }

  private static long secondFans(Measurement measurement) {
    return measurement.orders().origins().stream()
        .filter(origin -> origin.cause() == Cause.SECOND_FAN)
        .count();
  }

  @Test
  void theSpeedOfASecondFanThatSpeedsUpIsTold() throws RefusedException {
    Measurement measurement = DeviceBench.measured(withSecond().shaft(27, 24).build(), 32);
    assertEquals(4140, measurement.speed().medianRpm().value(), 60);
    TwoFans fans = measurement.orders().twoFans();
    assertNotNull(fans, String.valueOf(measurement.speed().second()));
    assertEquals(7, fans.blades());
    assertTrue(fans.deviationRpm() > 0.0);
    SpeedTrack track = fans.track();
    int known = 0;
    for (int i = 0; i < track.frames(); i++) {
      if (!Double.isNaN(track.rpm()[i])) {
        known++;
        assertEquals(1.0, track.rpm()[i] / trueRpm(track.timeS()[i]), WITHIN, "frame " + i);
      }
    }
    assertTrue(known > 0.8 * track.frames(), known + " frames");
    assertTrue(secondFans(measurement) >= 3, secondFans(measurement) + " tones");
  }

  /** The negative control: blade-pass alone fits any number of blades. */
  @Test
  void bladePassAloneTellsNoSpeedOfASecondFan() throws RefusedException {
    Measurement measurement = DeviceBench.measured(withSecond().build(), 32);
    assertNull(measurement.orders().twoFans());
    assertNotNull(measurement.speed().second());
    assertFalse(measurement.speed().second().medianRpm().known());
    assertFalse(measurement.speed().second().medianRpm().reason().isEmpty());
    assertTrue(secondFans(measurement) >= 1, secondFans(measurement) + " tones");
  }

  @Test
  void oneFanAloneHasNoSecond() throws RefusedException {
    Measurement measurement = DeviceBench.measured(first().build(), 32);
    assertNull(measurement.orders().twoFans());
    assertNull(measurement.speed().second());
    assertEquals(0, secondFans(measurement));
  }
}
