package org.whinograph.tone;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Locale;
import java.util.OptionalDouble;
import java.util.stream.IntStream;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Warning;
import org.whinograph.spectrum.Spectrum;

/** Finds the tones of a spectrum and judges each: ratios, limits, audibility, series, totals. */
final class ToneJudgement {
  /** Tones above this are heard by some people only [Hz]. */
  private static final double HEARD_BY_SOME_HZ = 10_000.0;

  /** Line spacing of a spectrum must stay below this part of a tone's frequency (ECMA-418-1). */
  private static final double FINEST_PART = 0.01;

  /** Tones that are sought a place in a series for, the strongest (judgement). */
  private static final int MOST_GROUPED = 200;

  private ToneJudgement() {}

  static ToneResult none(String reason, double lineSpacingHz, List<Warning> warnings) {
    Reading unknown = Reading.unknown(reason);
    return new ToneResult(List.of(), unknown, unknown, unknown, lineSpacingHz, 0.0, warnings);
  }

  static ToneResult judge(
      Spectrum spectrum, PhaseSlope slope, double averagedS, List<Warning> warnings) {
    double total = ToneRatios.bandMeanSquare(spectrum, 0.0, ToneRatios.highestHz(spectrum));
    if (!(total > 0)) {
      String reason = "the recording is digital silence: check the input";
      warnings.add(new Warning("silence", reason));
      Reading unknown = Reading.unknown(reason);
      return new ToneResult(
          List.of(), unknown, unknown, unknown, spectrum.lineSpacingHz(), averagedS, warnings);
    }
    List<Candidate> candidates = ToneFinder.candidates(spectrum);
    int count = candidates.size();
    double[] frequencies = new double[count];
    double[] uncertainties = new double[count];
    List<ToneBand> bands = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      PhaseSlope.Estimate estimate = slope.estimate(candidates.get(i));
      frequencies[i] = estimate.frequencyHz();
      uncertainties[i] = estimate.uncertaintyHz();
      bands.add(candidates.get(i).band(spectrum.lineSpacingHz(), frequencies[i]));
    }
    Tone.Harmonic[] harmonics = harmonics(candidates, frequencies, uncertainties);
    TonalAudibility audibility = new TonalAudibility(spectrum);
    List<Tone> tones = new ArrayList<>();
    List<Reading> audibilities = new ArrayList<>();
    boolean[] combined = new boolean[count];
    for (int i = 0; i < count; i++) {
      ToneRatios.ToneToNoise toneToNoise = ToneRatios.toneToNoise(spectrum, bands, i);
      toneToNoise.combined().forEach(other -> combined[other] = true);
      Reading tonal = audibility.of(frequencies[i]);
      audibilities.add(tonal);
      tones.add(
          tone(
              spectrum,
              bands.get(i),
              uncertainties[i],
              toneToNoise.ratio(),
              ToneRatios.prominence(spectrum, bands, i),
              tonal,
              harmonics[i]));
    }
    warn(spectrum, candidates, tones, warnings);
    List<Double> ratios = new ArrayList<>();
    List<Double> prominences = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      Tone tone = tones.get(i);
      if (combined[i]
          || !CriticalBands.hasVerdict(tone.frequencyHz())
          || Boolean.FALSE.equals(tone.audible())) {
        continue;
      }
      tone.toneToNoise().optional().ifPresent(ratios::add);
      tone.prominence().optional().ifPresent(prominences::add);
    }
    return new ToneResult(
        tones,
        ToneRatios.total(ratios),
        ToneRatios.total(prominences),
        TonalAudibility.adjustment(audibilities),
        spectrum.lineSpacingHz(),
        averagedS,
        warnings);
  }

  /**
   * Places in harmonic series. With very many tones only the strongest are grouped: the time goes
   * with the third power of their number, and what a waveform without noise has by thousands are no
   * tones that anybody hears.
   */
  private static Tone.Harmonic[] harmonics(
      List<Candidate> candidates, double[] frequencies, double[] uncertainties) {
    int[] strongest =
        IntStream.range(0, frequencies.length)
            .boxed()
            .sorted(Comparator.comparingDouble((Integer i) -> -candidates.get(i).meanSquare()))
            .limit(MOST_GROUPED)
            .sorted()
            .mapToInt(Integer::intValue)
            .toArray();
    Tone.Harmonic[] grouped =
        HarmonicSeries.group(
            IntStream.of(strongest).mapToDouble(i -> frequencies[i]).toArray(),
            IntStream.of(strongest).mapToDouble(i -> uncertainties[i]).toArray());
    Tone.Harmonic[] harmonics = new Tone.Harmonic[frequencies.length];
    for (int i = 0; i < strongest.length; i++) {
      harmonics[strongest[i]] = grouped[i];
    }
    return harmonics;
  }

  private static Tone tone(
      Spectrum spectrum,
      ToneBand band,
      double uncertaintyHz,
      Reading toneToNoise,
      Reading prominence,
      Reading tonalAudibility,
      Tone.Harmonic harmonic) {
    double f = band.frequencyHz();
    double level = spectrum.unit().levelOf(band.meanSquare());
    Boolean audible = audible(spectrum.unit(), f, level);
    Reading toneToNoiseLimit;
    Reading prominenceLimit;
    Boolean prominent = null;
    String noLimit = noLimit(f, spectrum.lineSpacingHz());
    if (noLimit == null) {
      toneToNoiseLimit = Reading.of(CriticalBands.toneToNoiseLimitDb(f));
      prominenceLimit = Reading.of(CriticalBands.prominenceLimitDb(f));
      if (toneToNoise.known() || prominence.known()) {
        boolean either =
            reaches(toneToNoise, toneToNoiseLimit) || reaches(prominence, prominenceLimit);
        prominent = either && !Boolean.FALSE.equals(audible);
      }
    } else {
      toneToNoiseLimit = Reading.unknown(noLimit);
      prominenceLimit = Reading.unknown(noLimit);
    }
    return new Tone(
        f,
        uncertaintyHz,
        Reading.ofFinite(level, "the tone has no energy"),
        toneToNoise,
        toneToNoiseLimit,
        prominence,
        prominenceLimit,
        prominent,
        audible,
        tonalAudibility,
        harmonic);
  }

  private static boolean reaches(Reading ratio, Reading limit) {
    return ratio.known() && ratio.value() >= limit.value();
  }

  private static String noLimit(double f, double lineSpacingHz) {
    if (!CriticalBands.hasVerdict(f)) {
      return String.format(
          Locale.ROOT,
          "ECMA-418-1 judges tones from %.1f to %.0f Hz",
          CriticalBands.LOWEST_HZ,
          CriticalBands.HIGHEST_HZ);
    }
    if (lineSpacingHz > FINEST_PART * f) {
      return String.format(
          Locale.ROOT,
          "lines %.2f Hz apart are wider than 1 %% of %.0f Hz: record longer",
          lineSpacingHz,
          f);
    }
    return null;
  }

  private static Boolean audible(LevelUnit unit, double f, double level) {
    if (!unit.calibrated()) {
      return null;
    }
    OptionalDouble threshold = HearingThreshold.level(f);
    return threshold.isPresent() ? Boolean.valueOf(level >= threshold.getAsDouble()) : null;
  }

  private static void warn(
      Spectrum spectrum, List<Candidate> candidates, List<Tone> tones, List<Warning> warnings) {
    if (!spectrum.unit().calibrated() && !tones.isEmpty()) {
      warnings.add(
          new Warning(
              "audibility-unknown",
              "without calibration nobody knows whether a tone lies above the threshold of hearing:"
                  + " prominence follows from the ratios alone"));
    }
    long high = tones.stream().filter(tone -> tone.frequencyHz() > HEARD_BY_SOME_HZ).count();
    if (high > 0) {
      warnings.add(
          new Warning(
              "tones-above-10-khz",
              String.format(
                  Locale.ROOT,
                  "%d of the tones lie above 10 kHz, where only some listeners hear them",
                  high)));
    }
    List<String> wide = new ArrayList<>();
    for (int i = 0; i < candidates.size(); i++) {
      if (candidates.get(i).beyondToneBand()) {
        wide.add(String.format(Locale.ROOT, "%.0f Hz", tones.get(i).frequencyHz()));
      }
    }
    if (!wide.isEmpty()) {
      warnings.add(
          new Warning(
              "tone-wider-than-tone-band",
              "tones that move by more than 15 % of their critical band read too low in a plain"
                  + " spectrum: "
                  + String.join(", ", wide)));
    }
  }
}
