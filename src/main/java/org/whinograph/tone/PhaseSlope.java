package org.whinograph.tone;

import org.whinograph.spectrum.CoherenceAverager;
import org.whinograph.spectrum.Spectrum;

/**
 * Frequency of a tone from what its phase turns by between frames: f = Δφ/(2π · distance). Close
 * frames tell it without ambiguity within ± 1 line; frames further apart tell it finer, once the
 * close ones have said which turn it is. A steady tone is found to the neighbourhood of the
 * Cramér–Rao bound var f = 3/(2π² (C/N0) T³).
 *
 * <p>The uncertainty is that of the noise beneath the tone, and what the loss of coherence between
 * frames says about an unsteady frequency.
 */
final class PhaseSlope {
  /**
   * Gain in signal to noise of the three main-lobe lines together against a rectangular window:
   * (Σw²)²/(N Σw⁴) = (3/8)²/(35/128) for Hann.
   */
  private static final double HANN_EFFICIENCY = (9.0 / 64.0) / (35.0 / 128.0);

  /** Frames apart after which an unsteady frequency counts as drawn anew. */
  private static final double FRAMES_PER_DRAW = 8.0;

  private static final double LEAST_COHERENCE = 0.5;
  private static final double SAFETY = 4.0;

  /** Beyond this spread about its mean a tone fills more lines than the phase is taken from. */
  private static final double STEADY_WITHIN_LINES = 0.35;

  private final Spectrum spectrum;
  private final double sampleRateHz;
  private final double halfOverlapCorrelation;
  private final CoherenceAverager near;
  private final CoherenceAverager far;

  /**
   * A frequency.
   *
   * @param frequencyHz frequency, weighted by energy where it moved [Hz]
   * @param uncertaintyHz standard uncertainty [Hz]
   */
  record Estimate(double frequencyHz, double uncertaintyHz) {}

  /**
   * Prepares estimates.
   *
   * @param spectrum average of the Hann-windowed frames
   * @param sampleRateHz frames a second [Hz]
   * @param overlapCorrelation correlation of white noise in neighbouring frames [1]
   * @param near products of neighbouring frames
   * @param far products of frames further apart, which don't overlap
   */
  PhaseSlope(
      Spectrum spectrum,
      double sampleRateHz,
      double overlapCorrelation,
      CoherenceAverager near,
      CoherenceAverager far) {
    this.spectrum = spectrum;
    this.sampleRateHz = sampleRateHz;
    this.halfOverlapCorrelation = overlapCorrelation;
    this.near = near;
    this.far = far;
  }

  /** Frequency of a tone, refined by phase where it is steady enough. */
  Estimate estimate(Candidate tone) {
    double spacing = spectrum.lineSpacingHz();
    double draws = Math.sqrt(Math.max(1.0, spectrum.independentFrames() / FRAMES_PER_DRAW));
    if (tone.spreadHz() > STEADY_WITHIN_LINES * spacing) {
      return new Estimate(tone.frequencyHz(), tone.spreadHz() / draws);
    }
    double signalToNoise =
        HANN_EFFICIENCY
            * tone.meanSquare()
            * spectrum.noiseBandwidthLines()
            / Math.max(tone.noisePerLine(), Double.MIN_NORMAL);
    Estimate first = turned(tone, near, halfOverlapCorrelation, tone.frequencyHz(), signalToNoise);
    if (first == null) {
      // A single frame: the interpolation between lines, good to some hundredths of a line.
      return new Estimate(
          tone.frequencyHz(), spacing * Math.hypot(0.05, 1.0 / Math.sqrt(2.0 * signalToNoise)));
    }
    double turnHz = sampleRateHz / far.distanceSamples();
    if (SAFETY * first.uncertaintyHz > 0.5 * turnHz) {
      return first;
    }
    Estimate second = turned(tone, far, 0.0, first.frequencyHz, signalToNoise);
    return second != null && second.uncertaintyHz < first.uncertaintyHz ? second : first;
  }

  private Estimate turned(
      Candidate tone,
      CoherenceAverager pairs,
      double noiseCorrelation,
      double nearHz,
      double signalToNoise) {
    if (pairs.pairs() == 0) {
      return null;
    }
    double distanceS = pairs.distanceSamples() / sampleRateHz;
    double real = 0.0;
    double imaginary = 0.0;
    double energy = 0.0;
    for (int k = tone.peakLine() - 1; k <= tone.peakLine() + 1; k++) {
      // Turned back by what the expected frequency turns, so that the rest is small.
      double expected = turn(nearHz, distanceS);
      double re = pairs.real(k);
      double im = pairs.imaginary(k);
      // Overlapping frames share noise, which turns as the middle of the line does.
      double line = turn(k * spectrum.lineSpacingHz(), distanceS);
      double shared = noiseCorrelation * tone.noisePerLine();
      re -= shared * Math.cos(line);
      im -= shared * Math.sin(line);
      real += re * Math.cos(expected) + im * Math.sin(expected);
      imaginary += im * Math.cos(expected) - re * Math.sin(expected);
      energy += spectrum.meanSquare()[k] - tone.noisePerLine();
    }
    double coherence = energy > 0 ? Math.hypot(real, imaginary) / energy : 0.0;
    if (coherence < LEAST_COHERENCE) {
      return null;
    }
    double frequency = nearHz + Math.atan2(imaginary, real) / (2.0 * Math.PI * distanceS);
    double noise = noiseVariance(pairs, noiseCorrelation, signalToNoise);
    double unsteady = unsteadyVariance(coherence, signalToNoise);
    return new Estimate(frequency, Math.sqrt(noise + unsteady) / (2.0 * Math.PI * distanceS));
  }

  /**
   * Variance of the mean turn by noise [rad²]. In a sum over consecutive pairs the phase errors of
   * all frames cancel but the first and the last {@code lag}; the products of noise with noise
   * don't cancel.
   */
  private double noiseVariance(
      CoherenceAverager pairs, double noiseCorrelation, double signalToNoise) {
    double count = pairs.pairs();
    double left = Math.min(pairs.lag(), count);
    double overlap = 1.0 + 2.0 * halfOverlapCorrelation * (left - 1.0) / left;
    double ends = left * overlap / (count * count * signalToNoise);
    double products =
        (1.0 + noiseCorrelation * noiseCorrelation) / (2.0 * signalToNoise * signalToNoise * count);
    return ends + products;
  }

  /** Variance of the mean turn by an unsteady frequency, from the loss of coherence [rad²]. */
  private double unsteadyVariance(double coherence, double signalToNoise) {
    double chance =
        3.0
            * (1.0 / signalToNoise + 1.0 / Math.sqrt(signalToNoise))
            / Math.sqrt(Math.max(1.0, spectrum.independentFrames()));
    double lost = Math.max(0.0, -2.0 * Math.log(Math.min(1.0, coherence)) - 2.0 * chance);
    return lost / Math.max(1.0, spectrum.independentFrames() / FRAMES_PER_DRAW);
  }

  private static double turn(double frequencyHz, double distanceS) {
    double turns = frequencyHz * distanceS;
    return 2.0 * Math.PI * (turns - Math.rint(turns));
  }
}
