package org.whinograph.rehearsal;

import org.whinograph.quantity.Decibels;

/**
 * Draws a device at random from what small fans are like: 5 to 61 blades, 1000 to 20 000 1/min, 22
 * to 40 dB(A). The same seed draws the same device. Used once; not safe for use by several threads.
 */
final class RandomDevice {
  private static final long STREAM = 7_000;
  private static final double FULL_TURN_S = 60;

  /** Blade-pass frequencies of real devices [Hz]. */
  private static final double LOWEST_HZ = 150;

  private static final double HIGHEST_HZ = 9000;

  private final long stream;
  private final double levelAtFullScaleDb;
  private final NoiseShape room;
  private final double wantedDb;
  private long next;

  RandomDevice(long seed) {
    stream = Chance.stream(seed, STREAM);
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

  /** The device, at the level that was drawn. */
  Device device(double durationS, long seed) {
    long start = next;
    DeviceTruth plain = TruthMaker.of(drawn(durationS, 0), seed);
    next = start;
    return drawn(durationS, wantedDb - plain.levels().deviceLaeqDb());
  }

  private Device drawn(double durationS, double gainDb) {
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
    SpeedProfile speed =
        SpeedProfile.steady(rpm)
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
                    java.util.Locale.ROOT, "Invented fan of %d blades at %.0f 1/min.", blades, rpm))
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
