package org.whinograph.speed.order;

import java.util.List;
import java.util.Locale;
import org.whinograph.quantity.Reading;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.CriticalBands;
import org.whinograph.tone.HearingThreshold;
import org.whinograph.tone.ToneBand;
import org.whinograph.tone.ToneRatios;

/**
 * One order in the spectrum that follows the shaft.
 *
 * @param toneToNoise tone-to-noise ratio (ECMA-418-1, clause 11) [dB]
 * @param prominence prominence ratio (ECMA-418-1, clause 12) [dB]
 * @param shaftHz mean speed of the shaft at which they hold [1/s], or mean spacing of the fan's
 *     lines [Hz] if the shaft's speed isn't known; 0 if unknown
 * @param frequencyHz frequency of the order at that speed [Hz]; 0 if unknown
 * @param level level of the tone alone while the shaft turns at about that speed, within ±3 % [dB
 *     in the unit of the chain]
 * @param audible whether that level lies above the threshold of hearing (ISO 389-7, free field);
 *     null if that can't be known, as without calibration
 */
public record FollowingTone(
    Reading toneToNoise,
    Reading prominence,
    double shaftHz,
    double frequencyHz,
    Reading level,
    Boolean audible) {
  /** An order may lie so far from its place [lines], as the track may err. */
  private static final double REACH_LINES = 3.0;

  /** Frames whose average is worth judging. */
  static final int FEWEST_FRAMES = 4;

  /** Line spacing must stay below this part of a tone's frequency (ECMA-418-1). */
  private static final double FINEST_PART = 0.01;

  private static final String NO_VERDICT = "ECMA-418-1 judges tones from 89.1 to 11220 Hz";

  /**
   * No ratios.
   *
   * @param reason why, as a sentence
   * @return unknown ratios
   */
  static FollowingTone unknown(String reason) {
    Reading none = Reading.unknown(reason);
    return new FollowingTone(none, none, 0.0, 0.0, none, null);
  }

  /**
   * Ratios of an order in the range of speeds that brings it nearest to a frequency.
   *
   * @param bins ranges of speed
   * @param order order of the shaft
   * @param frequencyHz frequency of the tone in the plain spectrum [Hz]
   * @return the ratios
   */
  static FollowingTone of(List<SpeedBin> bins, double order, double frequencyHz) {
    SpeedBin best = null;
    for (SpeedBin bin : bins) {
      if (best == null
          || Math.abs(order * bin.shaftHz() - frequencyHz)
              < Math.abs(order * best.shaftHz() - frequencyHz)) {
        best = bin;
      }
    }
    if (best == null || Math.abs(order * best.shaftHz() / frequencyHz - 1.0) > 0.05) {
      return unknown("the speed didn't stay near enough to this tone's for 2 s to follow it");
    }
    Spectrum spectrum = best.spectrum();
    double expected = order * best.shaftHz();
    if (!fineEnough(spectrum, expected)) {
      return unknown(
          String.format(
              Locale.ROOT,
              "lines %.1f Hz apart in the speed-following spectrum are wider than 1 %% of %.0f Hz",
              spectrum.lineSpacingHz(),
              expected));
    }
    List<ToneBand> bands = best.bands();
    int nearest = nearest(bands, expected);
    if (nearest < 0
        || Math.abs(bands.get(nearest).frequencyHz() - expected)
            > REACH_LINES * spectrum.lineSpacingHz()) {
      return unknown("the order doesn't stand out of the speed-following spectrum");
    }
    return at(best, nearest);
  }

  /**
   * Ratios of one of the tones of a range of speeds.
   *
   * @param bin range of speeds
   * @param index which of its tones
   * @return the ratios
   */
  static FollowingTone at(SpeedBin bin, int index) {
    Spectrum spectrum = bin.spectrum();
    ToneBand band = bin.bands().get(index);
    double f = band.frequencyHz();
    double level = spectrum.unit().levelOf(band.meanSquare());
    Boolean audible = null;
    if (spectrum.unit().calibrated() && HearingThreshold.level(f).isPresent()) {
      audible = level >= HearingThreshold.level(f).getAsDouble();
    }
    return new FollowingTone(
        ToneRatios.toneToNoise(spectrum, bin.bands(), index).ratio(),
        ToneRatios.prominence(spectrum, bin.bands(), index),
        bin.shaftHz(),
        f,
        Reading.ofFinite(level, "the tone has no energy"),
        audible);
  }

  /**
   * Speed of the shaft at which the ratios hold.
   *
   * @param order order of the shaft that this is, or null
   * @return speed [1/min]; null without a known order, since then the spacing of the fan's lines is
   *     known and not the shaft's speed
   */
  public Double rpm(Double order) {
    return order == null || shaftHz <= 0.0 ? null : Double.valueOf(60.0 * shaftHz);
  }

  /** Whether the lines are fine enough to judge a tone at a frequency. */
  static boolean fineEnough(Spectrum spectrum, double frequencyHz) {
    return spectrum.lineSpacingHz() <= FINEST_PART * frequencyHz;
  }

  /**
   * Tone-to-noise ratio from which on a tone is prominent.
   *
   * @return limit [dB]; unknown outside 89.1 Hz to 11 220 Hz
   */
  public Reading toneToNoiseLimit() {
    return CriticalBands.hasVerdict(frequencyHz)
        ? Reading.of(CriticalBands.toneToNoiseLimitDb(frequencyHz))
        : Reading.unknown(NO_VERDICT);
  }

  /**
   * Prominence ratio from which on a tone is prominent.
   *
   * @return limit [dB]; unknown outside 89.1 Hz to 11 220 Hz
   */
  public Reading prominenceLimit() {
    return CriticalBands.hasVerdict(frequencyHz)
        ? Reading.of(CriticalBands.prominenceLimitDb(frequencyHz))
        : Reading.unknown(NO_VERDICT);
  }

  /**
   * Whether either ratio reaches its limit and the tone isn't below the threshold of hearing.
   *
   * @return null where neither ratio is known or there is no limit
   */
  public Boolean prominent() {
    if (!CriticalBands.hasVerdict(frequencyHz) || !(toneToNoise.known() || prominence.known())) {
      return null;
    }
    boolean either =
        reaches(toneToNoise, toneToNoiseLimit()) || reaches(prominence, prominenceLimit());
    return either && !Boolean.FALSE.equals(audible);
  }

  private static boolean reaches(Reading ratio, Reading limit) {
    return ratio.known() && ratio.value() >= limit.value();
  }

  static int nearest(List<ToneBand> bands, double frequencyHz) {
    int nearest = -1;
    for (int i = 0; i < bands.size(); i++) {
      if (nearest < 0
          || Math.abs(bands.get(i).frequencyHz() - frequencyHz)
              < Math.abs(bands.get(nearest).frequencyHz() - frequencyHz)) {
        nearest = i;
      }
    }
    return nearest;
  }
}
