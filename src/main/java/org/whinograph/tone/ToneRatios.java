package org.whinograph.tone;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.spectrum.Spectrum;

/**
 * Tone-to-noise ratio and prominence ratio (ECMA-418-1:2022, clauses 11 and 12) of tones in any
 * spectrum averaged by energy, plain or following the speed of a shaft.
 *
 * <p>A line stands for the band from half a spacing below to half a spacing above it; where a band
 * edge cuts a line, the line's energy is shared out in proportion. Background and room corrections
 * don't apply to these ratios. All methods are pure and safe for use by several threads.
 */
public final class ToneRatios {
  /** Least part of a critical band that must be left for its noise to be known. */
  private static final double LEAST_NOISE_PART = 0.1;

  private ToneRatios() {}

  /**
   * A tone-to-noise ratio and what was taken together in it.
   *
   * @param ratio ΔL_T [dB]
   * @param combined indices of the weaker tones whose energy was added, because the ear takes them
   *     for one with this tone
   */
  public record ToneToNoise(Reading ratio, List<Integer> combined) {
    /** Freezes the list. {@inheritDoc} */
    public ToneToNoise {
      combined = List.copyOf(combined);
    }
  }

  /**
   * Mean square within a band.
   *
   * @param spectrum averaged spectrum
   * @param lowerHz lower edge [Hz], at least 0
   * @param upperHz upper edge [Hz], at least the lower
   * @return Σ of the lines within, cut lines in proportion, over the noise bandwidth [Pa² or (full
   *     scale)²]
   */
  public static double bandMeanSquare(Spectrum spectrum, double lowerHz, double upperHz) {
    double[] lines = spectrum.meanSquare();
    double low = lowerHz / spectrum.lineSpacingHz() + 0.5;
    double high = upperHz / spectrum.lineSpacingHz() + 0.5;
    int first = Math.max(0, (int) Math.floor(low));
    int last = Math.min(lines.length - 1, (int) Math.floor(high));
    double sum = 0.0;
    for (int k = first; k <= last; k++) {
      double part = Math.min(high, k + 1.0) - Math.max(low, k);
      if (part > 0) {
        sum += Math.min(1.0, part) * lines[k];
      }
    }
    return sum / spectrum.noiseBandwidthLines();
  }

  /**
   * Highest frequency that bands may reach up to.
   *
   * @param spectrum averaged spectrum
   * @return frequency of the last line [Hz]
   */
  public static double highestHz(Spectrum spectrum) {
    return (spectrum.meanSquare().length - 1) * spectrum.lineSpacingHz();
  }

  /**
   * Tone-to-noise ratio of one tone among all (ECMA-418-1, clause 11): 10 lg(W_t/W_n) with W_n =
   * (W_tot − ΣW_tone bands) · Δf_c / (Δf_tot − ΣΔf_tone bands) in the critical band about the tone.
   * If the tone is the strongest of its band, those that the ear takes for one with it are added to
   * W_t; a weaker tone is judged by its own energy in its own band. The noise always leaves all
   * tone bands out.
   *
   * @param spectrum averaged spectrum
   * @param tones all tones found in it, in any order
   * @param index the tone to judge, from 0
   * @return the ratio, unknown where the critical band isn't within the spectrum or has no noise
   */
  public static ToneToNoise toneToNoise(Spectrum spectrum, List<ToneBand> tones, int index) {
    ToneBand tone = tones.get(index);
    double f = tone.frequencyHz();
    double lower = CriticalBands.lowerEdgeHz(f);
    double upper = CriticalBands.upperEdgeHz(f);
    if (lower < 0 || upper > highestHz(spectrum)) {
      return new ToneToNoise(outside(f, lower, upper, spectrum), List.of());
    }
    double noise = noiseWithin(spectrum, tones, lower, upper);
    if (!(noise > 0)) {
      return new ToneToNoise(
          Reading.unknown(
              String.format(
                  Locale.ROOT, "no noise beside the tones in the critical band at %.0f Hz", f)),
          List.of());
    }
    List<Integer> combined = new ArrayList<>();
    double energy = tone.meanSquare();
    if (strongestWithin(tones, lower, upper) == index) {
      for (int i = 0; i < tones.size(); i++) {
        double other = tones.get(i).frequencyHz();
        if (i != index && other >= lower && other <= upper && CriticalBands.proximate(f, other)) {
          combined.add(i);
          energy += tones.get(i).meanSquare();
        }
      }
    }
    return new ToneToNoise(
        Reading.ofFinite(
            Decibels.ofEnergyRatio(energy / noise), "the tone or the noise has no energy"),
        combined);
  }

  /**
   * Mean square of the noise in a critical band as if it filled the whole band: W_n.
   *
   * @param spectrum averaged spectrum
   * @param tones tones whose bands are left out
   * @param lowerHz lower edge [Hz]
   * @param upperHz upper edge [Hz]
   * @return W_n [Pa² or (full scale)²]; 0 if tone bands leave less than a tenth of the band
   */
  public static double noiseWithin(
      Spectrum spectrum, List<ToneBand> tones, double lowerHz, double upperHz) {
    List<ToneBand> sorted = new ArrayList<>(tones);
    sorted.sort(Comparator.comparingDouble(ToneBand::lowerHz));
    double energy = 0.0;
    double width = 0.0;
    double at = lowerHz;
    for (ToneBand tone : sorted) {
      if (tone.upperHz() <= at || tone.lowerHz() >= upperHz) {
        continue;
      }
      if (tone.lowerHz() > at) {
        energy += bandMeanSquare(spectrum, at, tone.lowerHz());
        width += tone.lowerHz() - at;
      }
      at = tone.upperHz();
    }
    if (at < upperHz) {
      energy += bandMeanSquare(spectrum, at, upperHz);
      width += upperHz - at;
    }
    double whole = upperHz - lowerHz;
    return width < LEAST_NOISE_PART * whole ? 0.0 : energy * whole / width;
  }

  /**
   * Prominence ratio at a frequency (ECMA-418-1, clause 12): 10 lg{W_M / [½ (W_L + W_U)]} of the
   * critical band about the tone and its neighbours; up to 171.4 Hz the lower band, cut off at 20
   * Hz, counts as if it were 100 Hz wide.
   *
   * @param spectrum averaged spectrum
   * @param frequencyHz frequency of the tone [Hz]
   * @return the ratio [dB], unknown below 89.1 Hz and where a band isn't within the spectrum
   */
  public static Reading prominence(Spectrum spectrum, double frequencyHz) {
    if (frequencyHz < CriticalBands.LOWEST_HZ) {
      return Reading.unknown(
          String.format(
              Locale.ROOT,
              "there is no prominence ratio below %.1f Hz, where no band fits beneath the tone's",
              CriticalBands.LOWEST_HZ));
    }
    double lowest = CriticalBands.lowerBandLowerEdgeHz(frequencyHz);
    double lower = CriticalBands.lowerEdgeHz(frequencyHz);
    double upper = CriticalBands.upperEdgeHz(frequencyHz);
    double highest = CriticalBands.upperBandUpperEdgeHz(frequencyHz);
    if (highest > highestHz(spectrum)) {
      return outside(frequencyHz, lowest, highest, spectrum);
    }
    double below = bandMeanSquare(spectrum, lowest, lower);
    if (CriticalBands.lowerBandCutOff(frequencyHz)) {
      below *= 100.0 / (lower - lowest);
    }
    double middle = bandMeanSquare(spectrum, lower, upper);
    double above = bandMeanSquare(spectrum, upper, highest);
    return Reading.ofFinite(
        Decibels.ofEnergyRatio(middle / (0.5 * (below + above))),
        "the bands beside the tone's have no energy");
  }

  /**
   * Prominence ratio of one tone among all. The ratio is one of bands, so that a weak tone beside a
   * strong one inherits the strong one's; where the limit is met only through stronger tones in the
   * band, the ratio is theirs and unknown for this one.
   *
   * @param spectrum averaged spectrum
   * @param tones all tones found in it, in any order
   * @param index the tone to judge, from 0
   * @return the ratio [dB], unknown as for {@link #prominence(Spectrum, double)} too
   */
  public static Reading prominence(Spectrum spectrum, List<ToneBand> tones, int index) {
    ToneBand tone = tones.get(index);
    double f = tone.frequencyHz();
    Reading ratio = prominence(spectrum, f);
    double limit = CriticalBands.prominenceLimitDb(f);
    if (!ratio.known() || ratio.value() < limit) {
      return ratio;
    }
    double lower = CriticalBands.lowerEdgeHz(f);
    double upper = CriticalBands.upperEdgeHz(f);
    double stronger = 0.0;
    for (ToneBand other : tones) {
      if (other.frequencyHz() >= lower
          && other.frequencyHz() <= upper
          && other.meanSquare() > tone.meanSquare()) {
        stronger += other.meanSquare();
      }
    }
    double whole = bandMeanSquare(spectrum, lower, upper);
    double own = Math.max(0.0, 1.0 - stronger / whole);
    if (ratio.value() + Decibels.ofEnergyRatio(own) >= limit) {
      return ratio;
    }
    ToneBand strongest = tones.get(strongestWithin(tones, lower, upper));
    return Reading.unknown(
        String.format(
            Locale.ROOT,
            "the prominence ratio of this band, %.1f dB, is that of the stronger tone at %.1f Hz",
            ratio.value(),
            strongest.frequencyHz()));
  }

  /**
   * Total ratio of several tones: 10 lg Σ 10^(ΔL_i/10) (ECMA TR/108:2019).
   *
   * @param ratiosDb ratios [dB, any length]
   * @return total [dB], unknown without ratios
   */
  public static Reading total(List<Double> ratiosDb) {
    if (ratiosDb.isEmpty()) {
      return Reading.unknown("no discrete tone that counts");
    }
    return Reading.of(Decibels.sum(ratiosDb.stream().mapToDouble(Double::doubleValue).toArray()));
  }

  private static int strongestWithin(List<ToneBand> tones, double lower, double upper) {
    int strongest = -1;
    for (int i = 0; i < tones.size(); i++) {
      ToneBand tone = tones.get(i);
      if (tone.frequencyHz() >= lower
          && tone.frequencyHz() <= upper
          && (strongest < 0 || tone.meanSquare() > tones.get(strongest).meanSquare())) {
        strongest = i;
      }
    }
    return strongest;
  }

  private static Reading outside(double f, double lower, double upper, Spectrum spectrum) {
    return Reading.unknown(
        String.format(
            Locale.ROOT,
            "the bands about %.0f Hz reach from %.0f to %.0f Hz, the spectrum from 0 to %.0f Hz",
            f,
            lower,
            upper,
            highestHz(spectrum)));
  }
}
