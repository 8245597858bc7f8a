package org.whinograph.rehearsal;

import org.whinograph.quantity.Decibels;

/** Devices that checks ask for again and again. Their samples aren't quantised. */
public final class Devices {
  private Devices() {}

  /**
   * One tone in white noise.
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @param levelDb level of the tone [dB re 20 µPa]
   * @param densityDb level of the noise in a band 1 Hz wide [dB re 20 µPa]
   * @param durationS length [s]
   * @return the device, at 48 kHz
   */
  public static Device toneInNoise(
      double frequencyHz, double levelDb, double densityDb, double durationS) {
    return Device.builder("tone in noise")
        .duration(durationS)
        .line(Line.fixed(LineCause.FIXED, frequencyHz, levelDb))
        .background(NoiseShape.flat(densityDb))
        .build();
  }

  /**
   * A fan whose lines are a comb in white noise.
   *
   * <p>The blade-pass line has the given ratio of its power to that of the noise in 1 Hz; each next
   * harmonic is weaker by the falloff, and lines don't change their level with the speed. With
   * {@code shaftOrders} above 0, uneven blades put lines on that many shaft orders, each {@code
   * shaftBelowDb} below the blade-pass line.
   *
   * @param blades number of blades
   * @param speed speed through time
   * @param carrierToNoiseDbHz C/N₀ of the blade-pass line [dB-Hz]
   * @param harmonics number of blade-pass lines, at least 1
   * @param falloffDb loss from one blade-pass line to the next [dB]
   * @param shaftOrders number of shaft orders, 0 for even blades
   * @param shaftBelowDb level of each below the blade-pass line [dB]
   * @param durationS length [s]
   * @return builder of the device, at 48 kHz, to which decoys can be added; noise of 10 dB in 1 Hz
   */
  public static Device.Builder comb(
      int blades,
      SpeedProfile speed,
      double carrierToNoiseDbHz,
      int harmonics,
      double falloffDb,
      int shaftOrders,
      double shaftBelowDb,
      double durationS) {
    double density = 10;
    Device.Builder builder =
        Device.builder("comb of " + blades + " blades")
            .duration(durationS)
            .fan(blades, speed, Math.max(1, speed.rpm().at(0)))
            .background(NoiseShape.flat(density));
    for (int i = 1; i <= harmonics; i++) {
      builder.line(
          Line.order(
                  LineCause.BLADE_PASS,
                  0,
                  (double) i * blades,
                  density + carrierToNoiseDbHz - (i - 1) * falloffDb)
              .withSlope(0));
    }
    for (int i = 1; i <= shaftOrders; i++) {
      if (i % blades != 0) {
        builder.line(
            Line.order(LineCause.SHAFT, 0, i, density + carrierToNoiseDbHz - shaftBelowDb)
                .withSlope(0));
      }
    }
    return builder;
  }

  /**
   * The tone of a calibrator of 1 kHz, with handling noise at both ends.
   *
   * @param name name of the device
   * @param levelDb level of the calibrator [dB re 20 µPa]
   * @param toneS length of the steady tone between the ends [s]
   * @param levelAtFullScaleDb level of a full-scale sine [dB re 20 µPa]
   * @return builder of the device, at 48 kHz, 24 bits, with the noise of a microphone
   */
  public static Device.Builder calibrator(
      String name, double levelDb, double toneS, double levelAtFullScaleDb) {
    double from = 0.8;
    double to = from + toneS;
    double secondHarmonic = levelDb + Decibels.ofAmplitudeRatio(0.006);
    NoiseShape handling = NoiseShape.of(20, 52, 120, 54, 1000, 36, 8000, 12, 20_000, 0);
    return Device.builder(name)
        .description("Tone of a sound calibrator, put on and taken off by hand.")
        .duration(to + 0.6)
        .line(Line.fixed(LineCause.UNKNOWN, 1000, levelDb).between(from - 0.1, to))
        .line(Line.fixed(LineCause.UNKNOWN, 2000, secondHarmonic).between(from - 0.1, to))
        .burst(new NoiseBurst(0.1, from, handling))
        .burst(new NoiseBurst(to - 0.05, to + 0.5, handling))
        .selfNoise(selfNoise())
        .levelAtFullScale(levelAtFullScaleDb)
        .quantisation(Quantisation.BITS_24);
  }

  /**
   * A quiet room at night: 1/f noise that falls faster above 1 kHz, about 15 dB(A).
   *
   * @return density of the room's noise
   */
  public static NoiseShape quietRoom() {
    return NoiseShape.of(
        20, 18.2, 50, 12.2, 100, 5.7, 200, -1.8, 500, -13.8, 1000, -21.3, 2000, -26.8, 4000, -31.8,
        8000, -35.8, 16_000, -38.8);
  }

  /**
   * Noise of a good half-inch microphone with its amplifier: white, rising at low frequencies,
   * about 15 dB(A).
   *
   * @return density of the noise, as the sound that would make it
   */
  public static NoiseShape selfNoise() {
    return NoiseShape.of(20, -8, 200, -22, 1000, -26, 4000, -26.5, 20_000, -26.5);
  }
}
