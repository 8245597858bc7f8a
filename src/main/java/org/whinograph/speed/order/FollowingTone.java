package org.whinograph.speed.order;

import java.util.List;
import java.util.Locale;
import org.whinograph.quantity.Reading;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.ToneBand;
import org.whinograph.tone.ToneRatios;

/**
 * The ratios of one order in the spectrum that follows the shaft.
 *
 * @param toneToNoise tone-to-noise ratio (ECMA-418-1, clause 11) [dB]
 * @param prominence prominence ratio (ECMA-418-1, clause 12) [dB]
 * @param shaftHz mean speed of the shaft at which they hold [1/s]; 0 if unknown
 */
public record FollowingTone(Reading toneToNoise, Reading prominence, double shaftHz) {
  /** An order may lie so far from its place [lines], as the track may err. */
  private static final double REACH_LINES = 3.0;

  /** Frames whose average is worth judging. */
  static final int FEWEST_FRAMES = 4;

  /** Line spacing must stay below this part of a tone's frequency (ECMA-418-1). */
  private static final double FINEST_PART = 0.01;

  /**
   * No ratios.
   *
   * @param reason why, as a sentence
   * @return unknown ratios
   */
  static FollowingTone unknown(String reason) {
    return new FollowingTone(Reading.unknown(reason), Reading.unknown(reason), 0.0);
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
    if (spectrum.lineSpacingHz() > FINEST_PART * expected) {
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
    return new FollowingTone(
        ToneRatios.toneToNoise(spectrum, bands, nearest).ratio(),
        ToneRatios.prominence(spectrum, bands, nearest),
        best.shaftHz());
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
