package org.whinograph.rehearsal;

import java.util.List;

/**
 * What there is to find in the sound of a device: computed from its description, never measured.
 *
 * <p>Levels are those of the sound at the microphone, averaged by energy over the whole length,
 * which a chain reads that corrects for the microphone's response; the microphone's own noise and
 * the rounding of samples count as background. A null stands for what can't be stated exactly.
 *
 * @param format "whinograph-truth"
 * @param formatVersion 1
 * @param name name of the device
 * @param description a sentence about it
 * @param seed seed of everything about it that is random
 * @param sampleRateHz frames a second [Hz]
 * @param bitDepth bits of a sample, 0 if not quantised
 * @param durationS length [s]
 * @param levelAtFullScaleDb level of a full-scale sine [dB re 20 µPa]
 * @param levels levels of the whole
 * @param octaves octave bands 31.5 Hz to 16 kHz that the rate can carry
 * @param thirdOctaves one-third-octave bands 20 Hz to 20 kHz that the rate can carry
 * @param tones its tones, in the order of the device's lines
 * @param fans its fans
 */
public record DeviceTruth(
    String format,
    int formatVersion,
    String name,
    String description,
    long seed,
    double sampleRateHz,
    int bitDepth,
    double durationS,
    double levelAtFullScaleDb,
    Levels levels,
    List<Band> octaves,
    List<Band> thirdOctaves,
    List<Tone> tones,
    List<FanSpeed> fans) {
  /** Freezes the lists. {@inheritDoc} */
  public DeviceTruth {
    octaves = List.copyOf(octaves);
    thirdOctaves = List.copyOf(thirdOctaves);
    tones = List.copyOf(tones);
    fans = List.copyOf(fans);
  }

  /**
   * Levels of the whole [dB re 20 µPa]; null where there is no sound at all.
   *
   * @param laeqDb A-weighted level of all that is heard
   * @param lceqDb C-weighted
   * @param lzeqDb without weighting, up to half the rate
   * @param deviceLaeqDb A-weighted level of the device alone
   * @param backgroundLaeqDb A-weighted level of room, microphone and rounding alone
   */
  public record Levels(
      Double laeqDb, Double lceqDb, Double lzeqDb, Double deviceLaeqDb, Double backgroundLaeqDb) {}

  /**
   * Level of a band with ideal edges [dB re 20 µPa]; null where there is no sound at all.
   *
   * @param nominalHz nominal midband frequency [Hz]
   * @param midbandHz exact midband frequency, base 10 [Hz]
   * @param levelDb level of all that is heard
   * @param lowDb lowest level that a class 1 filter of IEC 61260-1:2014 may show for its tones and
   *     those of its neighbours, the noise taken as exact
   * @param highDb highest such level
   * @param noiseDb level of all noise without the tones
   * @param deviceDb level of the device alone, noise and tones
   * @param backgroundDb level of room, microphone and rounding alone
   */
  public record Band(
      double nominalHz,
      double midbandHz,
      Double levelDb,
      Double lowDb,
      Double highDb,
      Double noiseDb,
      Double deviceDb,
      Double backgroundDb) {}

  /**
   * One tone.
   *
   * @param cause where it comes from, as in {@link LineCause#label()}; "second-fan" for orders of
   *     any fan but the first
   * @param fan index of its fan, or null
   * @param order order of that fan's shaft, or null for a line without one
   * @param frequencyHz frequency, averaged by energy [Hz]; null if it never sounds
   * @param lowHz lowest frequency it takes while it sounds [Hz], or null
   * @param highHz highest frequency [Hz], or null
   * @param steady whether its frequency stays within 0.2 % and its level within 0.5 dB
   * @param levelDb level averaged by energy over the whole length [dB re 20 µPa], or null
   * @param noiseDensityDb level of the noise at its frequency in a band 1 Hz wide [dB re 20 µPa],
   *     or null
   * @param toneToNoiseDb tone-to-noise ratio that ECMA-418-1 gives for the densities and levels
   *     stated, for a steady tone from 89.1 Hz to 11 220 Hz that is the strongest of its critical
   *     band and has none but steady ones beside it; else null
   * @param prominenceDb prominence ratio, under the same conditions; else null
   * @param startPhaseTurns phase of the sine at the first sample [turns]
   */
  public record Tone(
      String cause,
      Integer fan,
      Double order,
      Double frequencyHz,
      Double lowHz,
      Double highHz,
      boolean steady,
      Double levelDb,
      Double noiseDensityDb,
      Double toneToNoiseDb,
      Double prominenceDb,
      double startPhaseTurns) {}

  /**
   * One fan.
   *
   * @param blades number of blades
   * @param meanRpm mean speed over the whole length, by its revolutions [1/min]
   * @param lowRpm lowest speed [1/min]
   * @param highRpm highest speed [1/min]
   * @param timeS times of the track [s, about every 0.1 s]
   * @param rpm speed at those times [1/min, same length]
   */
  public record FanSpeed(
      int blades, double meanRpm, double lowRpm, double highRpm, double[] timeS, double[] rpm) {}
}
