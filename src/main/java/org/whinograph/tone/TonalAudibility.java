package org.whinograph.tone;

import java.util.List;
import java.util.Locale;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.spectrum.Window;

/**
 * Tonal audibility ΔL after ISO/TS 20065:2022 (ISO/PAS 20065:2016) and the adjustment K that ISO
 * 1996-2:2017, table J.1 draws from it.
 *
 * <p>The document asks for Hann lines 1.9 to 4 Hz apart. They are made here from the finer lines of
 * the averaged spectrum, each spread over its neighbours as a shorter Hann window would spread it;
 * energy is kept. The average is that of the whole recording, where the document averages the
 * audibilities of stretches of about 3 s: for steady tones that is the same, for tones that drift
 * during the recording it reads lower.
 *
 * <p>Immutable; safe for use by several threads.
 */
public final class TonalAudibility {
  /** Lowest frequency of a tone in the document's scope [Hz]. */
  public static final double LOWEST_HZ = 50.0;

  private static final double NARROWEST_LINES_HZ = 1.9;
  private static final double WIDEST_LINES_HZ = 4.0;
  private static final double HANN_NOISE_BANDWIDTH = 1.5;

  /** Lines more than this above the mean are no noise [dB]. */
  private static final double OUTLIER_DB = 6.0;

  /** The mean counts as settled below this change [dB]. */
  private static final double SETTLED_DB = 0.005;

  private static final int FEWEST_LINES_A_SIDE = 5;

  /** Lines of the tone lie at most this below its highest [dB]. */
  private static final double TONE_LINES_DB = 10.0;

  private final double[] lines;
  private final double spacingHz;
  private final boolean spacingFits;

  /**
   * Prepares a spectrum.
   *
   * @param spectrum Hann spectrum averaged by energy
   */
  public TonalAudibility(Spectrum spectrum) {
    int group = 1;
    while (group * spectrum.lineSpacingHz() < NARROWEST_LINES_HZ) {
      group++;
    }
    this.spacingHz = group * spectrum.lineSpacingHz();
    this.spacingFits = spacingHz <= WIDEST_LINES_HZ;
    this.lines = group == 1 ? spectrum.meanSquare() : coarser(spectrum, group);
  }

  /** The same energies on lines {@code group} times as far apart, under a Hann window. */
  private static double[] coarser(Spectrum spectrum, int group) {
    double[] fine = spectrum.meanSquare();
    int reach = 2 * group;
    double[] spread = new double[2 * reach + 1];
    for (int d = -reach; d <= reach; d++) {
      double amplitude = Window.HANN.response((double) d / group);
      spread[d + reach] = amplitude * amplitude / spectrum.noiseBandwidthLines();
    }
    double[] coarse = new double[(fine.length - 1) / group + 1];
    for (int c = 0; c < coarse.length; c++) {
      double sum = 0.0;
      for (int d = -reach; d <= reach; d++) {
        int k = c * group + d;
        if (k >= 0 && k < fine.length) {
          sum += fine[k] * spread[d + reach];
        }
      }
      coarse[c] = sum;
    }
    return coarse;
  }

  /**
   * Tonal audibility of a tone: ΔL = L_T − L_G − a_v with the critical band level L_G = L_S + 10
   * lg(Δf_c/Δf) and the masking index a_v = −2 − lg[1 + (f/502)^2.5].
   *
   * @param frequencyHz frequency of the tone [Hz]
   * @return ΔL [dB], unknown below 50 Hz, near the ends of the spectrum, and where its lines are
   *     more than 4 Hz apart
   */
  public Reading of(double frequencyHz) {
    if (frequencyHz < LOWEST_HZ) {
      return Reading.unknown("ISO/TS 20065 covers tones from 50 Hz on");
    }
    if (!spacingFits) {
      return Reading.unknown(
          String.format(
              Locale.ROOT,
              "ISO/TS 20065 asks for lines 1.9 to 4 Hz apart, they are %.1f Hz apart: record longer",
              spacingHz));
    }
    double width = CriticalBands.widthHz(frequencyHz);
    double lower = 0.5 * (Math.sqrt(width * width + 4.0 * frequencyHz * frequencyHz) - width);
    int first = Math.max(1, (int) Math.ceil(lower / spacingHz));
    int last = (int) Math.floor((lower + width) / spacingHz);
    int peak = highestNear(frequencyHz / spacingHz);
    if (last > lines.length - 2 || peak <= first || peak >= last) {
      return Reading.unknown("the critical band isn't within the spectrum");
    }
    double noise = noiseLine(first, last, peak);
    double tone = toneEnergy(first, last, peak, noise);
    if (!(noise > 0)) {
      return Reading.unknown("there is no noise beside the tone");
    }
    double band = noise / HANN_NOISE_BANDWIDTH * width / spacingHz;
    double masking = -2.0 - Math.log10(1.0 + Math.pow(frequencyHz / 502.0, 2.5));
    return Reading.ofFinite(
        Decibels.ofEnergyRatio(tone / band) - masking, "the tone has no energy");
  }

  private int highestNear(double at) {
    int highest = (int) Math.max(1, Math.min(lines.length - 2, Math.rint(at)));
    int middle = highest;
    for (int k = Math.max(1, middle - 1); k <= Math.min(lines.length - 2, middle + 1); k++) {
      if (lines[k] > lines[highest]) {
        highest = k;
      }
    }
    return highest;
  }

  /**
   * Mean energy of the lines of the critical band: those more than 6 dB above the mean are left out
   * until the mean settles or a side has fewer than 5 lines.
   */
  private double noiseLine(int first, int last, int peak) {
    double mean = Double.POSITIVE_INFINITY;
    while (true) {
      double limit = mean * Decibels.toEnergyRatio(OUTLIER_DB);
      double sum = 0.0;
      int below = 0;
      int above = 0;
      for (int k = first; k <= last; k++) {
        if (k != peak && lines[k] <= limit) {
          sum += lines[k];
          below += k < peak ? 1 : 0;
          above += k > peak ? 1 : 0;
        }
      }
      boolean tooFew = below < FEWEST_LINES_A_SIDE || above < FEWEST_LINES_A_SIDE;
      if (tooFew && !Double.isInfinite(mean)) {
        return mean;
      }
      double next = below + above == 0 ? 0.0 : sum / (below + above);
      if (tooFew || !(next > 0)) {
        return next;
      }
      if (Math.abs(Decibels.ofEnergyRatio(next / mean)) < SETTLED_DB) {
        return next;
      }
      mean = next;
    }
  }

  /**
   * Spacing of the lines that the audibility comes from.
   *
   * @return spacing [Hz], 1.9 to 4 where the spectrum allows it
   */
  public double lineSpacingHz() {
    return spacingHz;
  }

  /** Lines next to the highest that stand 6 dB over the noise and at most 10 dB under it. */
  private double toneEnergy(int first, int last, int peak, double noise) {
    double least =
        Math.max(
            noise * Decibels.toEnergyRatio(OUTLIER_DB),
            lines[peak] * Decibels.toEnergyRatio(-TONE_LINES_DB));
    double sum = lines[peak];
    int count = 1;
    for (int k = peak - 1; k >= first && lines[k] > least; k--) {
      sum += lines[k];
      count++;
    }
    for (int k = peak + 1; k <= last && lines[k] > least; k++) {
      sum += lines[k];
      count++;
    }
    // The noise bandwidth of the window counts once the tone fills more than one line; a line of
    // its own is the tone's level already.
    return count == 1 ? sum : sum / HANN_NOISE_BANDWIDTH;
  }

  /**
   * Adjustment of ISO 1996-2:2017, table J.1.
   *
   * @param audibilityDb greatest tonal audibility ΔL [dB]
   * @return K, 0 to 6 [dB]
   */
  public static double adjustmentDb(double audibilityDb) {
    double[] upTo = {0.0, 2.0, 4.0, 6.0, 9.0, 12.0};
    int k = 0;
    while (k < upTo.length && audibilityDb > upTo[k]) {
      k++;
    }
    return k;
  }

  /** Adjustment from the audibilities of all tones, 0 dB if none is known. */
  static Reading adjustment(List<Reading> audibilities) {
    double greatest = Double.NEGATIVE_INFINITY;
    for (Reading audibility : audibilities) {
      if (audibility.known()) {
        greatest = Math.max(greatest, audibility.value());
      }
    }
    return Reading.of(adjustmentDb(greatest));
  }
}
