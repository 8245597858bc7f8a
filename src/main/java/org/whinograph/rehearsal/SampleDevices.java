package org.whinograph.rehearsal;

import java.util.List;

/**
 * The invented devices of the {@code samples} folder, all in one invented evening: one microphone,
 * 0.3 m away, in a quiet room.
 */
public final class SampleDevices {
  /** Level of a full-scale sine of the whole chain [dB re 20 µPa]: 94 dB reads −26 dB. */
  public static final double LEVEL_AT_FULL_SCALE_DB = 120.13;

  /** Level of the calibrator on its certificate [dB re 20 µPa]. */
  public static final double CALIBRATOR_DB = 94.0;

  /**
   * A recording.
   *
   * @param device what is heard; its name is that of the file without its ending
   * @param seed seed of what is random about it
   */
  public record Sample(Device device, long seed) {}

  private SampleDevices() {}

  /**
   * All recordings.
   *
   * @return calibrator, background, handheld, mini-PC, projector
   */
  public static List<Sample> all() {
    return List.of(calibrator(), background(), handheld(), miniPc(), projector());
  }

  /**
   * The calibrator on the microphone, with handling noise at both ends.
   *
   * @return 1 kHz, 94 dB
   */
  public static Sample calibrator() {
    Device device =
        Devices.calibrator("calibrator-94db", CALIBRATOR_DB, 8, LEVEL_AT_FULL_SCALE_DB).build();
    return new Sample(device, 94);
  }

  /**
   * The room with nothing switched on.
   *
   * @return 18 dB(A) together with the microphone's own noise
   */
  public static Sample background() {
    Device device =
        inTheRoom("background")
            .description("Room at night with nothing switched on.")
            .duration(25)
            .build();
    return new Sample(device, 18);
  }

  /**
   * An axial fan of 30 mm with 11 blades in a hand-held console: it idles at 4500 1/min, ramps up
   * to 9000 1/min from 10 s to 22 s and rests there. Its case resonates at 1320 Hz, which the
   * blades pass on the way; a coil sings near 6.3 kHz with the load, which comes before the fan
   * answers.
   *
   * @return idle about 23 dB(A), up about 38
   */
  public static Sample handheld() {
    SpeedProfile speed =
        SpeedProfile.of(10, 4500, 22, 9000).withJitter(0.04, 1.5).withDrift(0.15, 17);
    Device device =
        inTheRoom("handheld-30mm")
            .description(
                "Hand-held console, axial fan of 30 mm with 11 blades: idles at 4500 1/min, ramps"
                    + " up to 9000 1/min between 10 s and 22 s, rests there. Case resonance at"
                    + " 1320 Hz, coil that follows the load.")
            .duration(38)
            .fan(
                new Fan(
                    11,
                    speed,
                    9000,
                    NoiseShape.of(
                        100, -6, 400, -2, 1000, -1, 2500, -2, 6000, -7, 12_000, -16, 20_000, -24),
                    55))
            .bladePass(31, 22, 14)
            .shaft(24, 17, 14, 12, 12, 9, 9, 9, 12, 18)
            .motor(6, 4, 19)
            .resonance(1320, 9, 11)
            .line(Line.load(6150, 220, 6, 9))
            .load(TimeProfile.of(7, 0.1, 7.5, 0.9, 20, 0.9, 21, 0.75))
            .build();
    return new Sample(device, 30);
  }

  /**
   * A blower of 37 blades in a small computer: it turns at 4180 1/min all the time and whines; its
   * power supply sings at 9 840 Hz whatever the fan does.
   *
   * @return about 31 dB(A)
   */
  public static Sample miniPc() {
    SpeedProfile speed = SpeedProfile.steady(4180).withJitter(0.006, 1).withDrift(0.02, 23);
    Device device =
        inTheRoom("mini-pc-blower")
            .description(
                "Small computer, blower of 37 blades at 4180 1/min with a prominent whine; a fixed"
                    + " electronic line at 9840 Hz; some hum.")
            .duration(32)
            .fan(
                new Fan(
                    37,
                    speed,
                    4180,
                    NoiseShape.of(
                        100, 2, 300, 1, 1000, -5, 3000, -11, 6000, -16, 12_000, -25, 20_000, -32),
                    55))
            .bladePass(30, 15)
            .shaft(25, 16, 12, 9, 9, 7)
            .line(Line.order(LineCause.SHAFT, 0, 38, 12))
            .motor(9, 4, 14)
            .hum(50, 18, 22, 10, 14)
            .line(Line.fixed(LineCause.FIXED, 9840, 19))
            .build();
    return new Sample(device, 37);
  }

  /**
   * Two fans of 40 mm with 7 blades in a projector, 14 1/min apart: their blade-pass lines beat 1.6
   * times a second.
   *
   * @return about 34 dB(A)
   */
  public static Sample projector() {
    NoiseShape noise =
        NoiseShape.of(100, -1, 500, -1, 1500, -5, 4000, -9.5, 8000, -16, 14_000, -25, 20_000, -31);
    Device device =
        inTheRoom("projector-pair")
            .description(
                "Projector, two fans of 40 mm with 7 blades at 6240 and 6254 1/min, whose"
                    + " blade-pass lines beat 1.6 times a second.")
            .duration(34)
            .fan(new Fan(7, SpeedProfile.steady(6240).withJitter(0.004, 1), 6240, noise, 55))
            .bladePass(32, 21, 13)
            .shaft(23, 15, 11, 9)
            .fan(new Fan(7, SpeedProfile.steady(6254).withJitter(0.004, 1), 6254, noise, 55))
            .bladePass(30.5, 20, 10)
            .shaft(21, 16, 12, 8)
            .build();
    return new Sample(device, 40);
  }

  /** What all recordings in the room share. */
  private static Device.Builder inTheRoom(String name) {
    return Device.builder(name)
        .background(Devices.quietRoom())
        .selfNoise(Devices.selfNoise())
        .levelAtFullScale(LEVEL_AT_FULL_SCALE_DB)
        .quantisation(Quantisation.BITS_24);
  }
}
