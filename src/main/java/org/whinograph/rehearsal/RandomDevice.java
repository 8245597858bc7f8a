package org.whinograph.rehearsal;

import org.whinograph.quantity.Decibels;

/**
 * Draws a device at random from what small fans are like: 5 to 61 blades, 1000 to 20 000 1/min, 22
 * to 40 dB(A). The same seed draws the same device. Used once; not safe for use by several threads.
 */
final class RandomDevice {
  private static final long STREAM = 7_000;
  private static final long RAMP_STREAM = 7_001;
  private static final double FULL_TURN_S = 60;

  /** Blade-pass frequencies of real devices [Hz]. */
  private static final double LOWEST_HZ = 150;

  private static final double HIGHEST_HZ = 9000;

  /** Steepest ramp [1/min a second]. */
  private static final double STEEPEST = 300;

  private static final double HIGHEST_RPM = 20_000;

  private final long stream;
  private final long rampStream;
  private final double levelAtFullScaleDb;
  private final NoiseShape room;
  private final double wantedDb;
  private long next;

  RandomDevice(long seed) {
    stream = Chance.stream(seed, STREAM);
    rampStream = Chance.stream(seed, RAMP_STREAM);
    levelAtFullScaleDb = between(112, 124);
    room = Devices.quietRoom().raisedBy(between(-3, 4));
    wantedDb = between(22, 40);
  }

  /** Level of a full-scale sine of this microphone and its amplifier [dB re 20 µPa]. */
  double levelAtFullScaleDb() {
    return levelAtFullScaleDb;
  }

  /** The room with the device switched off. */
  Device background(double durationS) {
    return inTheRoom("background", durationS)
        .description("The room with the device switched off.")
        .build();
  }

  /** The device, at the level that was drawn; with a ramp, it is the same fan that speeds up. */
  Device device(double durationS, long seed, boolean ramp) {
    long start = next;
    DeviceTruth plain = TruthMaker.of(drawn(durationS, 0, ramp), seed);
    next = start;
    return drawn(durationS, wantedDb - plain.levels().deviceLaeqDb(), ramp);
  }

  private Device drawn(double durationS, double gainDb, boolean ramp) {
    int blades;
    double rpm;
    double bladePassHz;
    do {
      blades = (int) Math.floor(between(5, 62));
      rpm = 1000 * StrictMath.pow(20, between(0, 1));
      bladePassHz = blades * rpm / FULL_TURN_S;
    } while (bladePassHz < LOWEST_HZ || bladePassHz > HIGHEST_HZ);
    NoiseShape noise =
        NoiseShape.of(
                100,
                between(-2, 4),
                400,
                between(-1, 3),
                1500,
                between(-4, 0),
                5000,
                between(-12, -6),
                12_000,
                between(-22, -15),
                20_000,
                between(-30, -24))
            .raisedBy(gainDb);
    TimeProfile ideal =
        ramp ? ramp(durationS, rpm, HIGHEST_HZ / bladePassHz) : TimeProfile.constant(rpm);
    double end = ideal.at(durationS);
    SpeedProfile speed =
        SpeedProfile.of(ideal)
            .withJitter(between(0.002, 0.015), between(0.5, 2))
            .withDrift(between(0, 0.02), between(10, 40));
    CriticalBand band = CriticalBand.around(bladePassHz);
    double width = band.upperHz() - band.lowerHz();
    double bladePassDb =
        noise.densityDb(bladePassHz) + Decibels.ofEnergyRatio(width) + between(-1, 18);
    Device.Builder builder =
        inTheRoom("device", durationS)
            .description(
                String.format(
                        java.util.Locale.ROOT, "Invented fan of %d blades at %.0f", blades, rpm)
                    + (ramp ? String.format(java.util.Locale.ROOT, " to %.0f", end) : "")
                    + " 1/min.")
            .fan(new Fan(blades, speed, rpm, noise, 55))
            .bladePass(bladePassDb, bladePassDb - between(4, 12), bladePassDb - between(10, 20));
    double[] shaft = new double[4];
    for (int i = 0; i < shaft.length; i++) {
      shaft[i] = noise.densityDb((i + 1) * rpm / FULL_TURN_S) + between(6, 20);
    }
    builder.shaft(shaft);
    double fixedHz = between(3000, 11_000);
    builder.line(Line.fixed(LineCause.FIXED, fixedHz, noise.densityDb(fixedHz) + between(28, 42)));
    if (between(0, 1) < 0.5) {
      double supply = between(0, 1) < 0.5 ? 50 : 60;
      builder.hum(supply, between(2, 14) + gainDb, between(2, 16) + gainDb);
    }
    if (between(0, 1) < 0.5) {
      builder.resonance(bladePassHz * between(0.7, 1.4), between(4, 12), between(3, 10));
    }
    return builder.build();
  }

  /** Rests a quarter of the time, speeds up to at most twice as fast, and rests again. */
  private TimeProfile ramp(double durationS, double rpm, double mostTimes) {
    double most = Math.min(mostTimes, HIGHEST_RPM / rpm);
    most = Math.min(most, 1 + STEEPEST * durationS / 2 / rpm);
    double times = Math.max(1.05, Math.min(most, 1.2 + 0.8 * Chance.uniform(rampStream, 0)));
    double start = durationS / 4;
    double least = rpm * (times - 1) / STEEPEST;
    double length = Math.max(least, durationS * (0.15 + 0.25 * Chance.uniform(rampStream, 1)));
    return TimeProfile.of(start, rpm, start + length, times * rpm);
  }

  private Device.Builder inTheRoom(String name, double durationS) {
    return Device.builder(name)
        .duration(durationS)
        .background(room)
        .selfNoise(Devices.selfNoise())
        .levelAtFullScale(levelAtFullScaleDb)
        .quantisation(Quantisation.BITS_24);
  }

  private double between(double least, double most) {
    return least + (most - least) * Chance.uniform(stream, next++);
  }
}
