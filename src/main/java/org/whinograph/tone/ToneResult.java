package org.whinograph.tone;

import java.util.List;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;

/**
 * The discrete tones of one recording.
 *
 * @param tones in order of frequency
 * @param totalToneToNoise total tone-to-noise ratio of all audible tones in range: 10 lg Σ
 *     10^(ΔL/10) (ECMA TR/108:2019) [dB]
 * @param totalProminence the same of the prominence ratios [dB]
 * @param tonalAdjustment adjustment K after ISO 1996-2:2017, Annex J, from the greatest tonal
 *     audibility [dB]
 * @param lineSpacingHz spacing of the lines of the spectrum that the ratios come from [Hz]
 * @param averagedS length of the recording that went into that spectrum [s]
 * @param warnings what the reader must know
 */
public record ToneResult(
    List<Tone> tones,
    Reading totalToneToNoise,
    Reading totalProminence,
    Reading tonalAdjustment,
    double lineSpacingHz,
    double averagedS,
    List<Warning> warnings) {
  /** Freezes the lists. {@inheritDoc} */
  public ToneResult {
    tones = List.copyOf(tones);
    warnings = List.copyOf(warnings);
  }
}
