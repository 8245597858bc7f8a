package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.ToneBand;

/**
 * The spectrum that follows the shaft while it turns at about one speed.
 *
 * @param shaftHz mean speed of the shaft over the frames [1/s]
 * @param heardFrames how much sound there was at that speed, of which the frames were a part or all
 *     [half overlapping frames]
 * @param spectrum spectrum over orders, its axis scaled to that mean speed: line k stands for the
 *     frequency k · spacing at that speed
 * @param bands the tones found in it, in order of frequency
 */
public record SpeedBin(
    double shaftHz, double heardFrames, Spectrum spectrum, List<ToneBand> bands) {
  /** Freezes the list. {@inheritDoc} */
  public SpeedBin {
    bands = List.copyOf(bands);
  }
}
