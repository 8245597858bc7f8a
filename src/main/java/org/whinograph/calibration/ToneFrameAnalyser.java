package org.whinograph.calibration;

import java.util.ArrayDeque;
import java.util.function.Consumer;
import org.whinograph.signal.RealTransform;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;

/**
 * Cuts samples into frames of a tenth of a second at fixed positions and fits the strongest tone in
 * each, so that results don't depend on how the samples arrive. Used by one thread.
 */
final class ToneFrameAnalyser implements SampleSink {
  /** Length of a frame. */
  static final double FRAME_S = 0.1;

  /** Distortion and noise count from here; below it lie wind, doors and the offset. */
  static final double LOWEST_HZ = 30;

  /** Distortion and noise count up to here, or to half the rate. */
  static final double HIGHEST_HZ = 20_000;

  /** The strongest tone is looked for in this range: harmonics of hum stay below, hiss above. */
  private static final double SEARCH_FROM_HZ = 80;

  private static final double SEARCH_TO_HZ = 5_000;

  private static final double STEP_OF_16_BITS = 1.0 / (1 << 15);

  private final double sampleRateHz;
  private final double stepOfFormat;
  private final Consumer<ToneFrame> frames;
  private final int length;
  private final double[] samples;
  private final double[] work;
  private final double[] window;
  private final double windowEnergy;
  private final RealTransform transform;
  private final ArrayDeque<Span> overloads = new ArrayDeque<>();
  private final ArrayDeque<Span> gaps = new ArrayDeque<>();
  private int filled;
  private long frameStart;

  /**
   * Prepares for the tone of a calibrator.
   *
   * @param format how the samples were stored
   * @param nominalHz nominal frequency of the calibrator [Hz], 160 to 1250
   * @param frames takes each frame as it's complete
   * @throws IllegalArgumentException if the frequency is outside its limits, or the rate below 8
   *     kHz
   */
  static ToneFrameAnalyser ofCalibrator(
      SampleFormat format, double nominalHz, Consumer<ToneFrame> frames) {
    if (!(nominalHz >= 160 && nominalHz <= 1250)) {
      throw new IllegalArgumentException("nominalHz: 160 to 1250, got " + nominalHz);
    }
    return new ToneFrameAnalyser(format, frames);
  }

  /**
   * Prepares a format.
   *
   * @param format how the samples were stored; the bits tell rounding at a crest from clipping
   * @param frames takes each frame as it's complete
   * @throws IllegalArgumentException if the rate is below 8 kHz
   */
  ToneFrameAnalyser(SampleFormat format, Consumer<ToneFrame> frames) {
    if (format.sampleRateHz() < 8000) {
      throw new IllegalArgumentException(
          "format: a rate of at least 8000 Hz, got " + format.sampleRateHz());
    }
    this.sampleRateHz = format.sampleRateHz();
    this.stepOfFormat =
        Math.pow(2, 1 - Math.min(format.floatingPoint() ? 24 : format.bitDepth(), 24));
    this.frames = frames;
    this.length = 2 * (int) Math.round(sampleRateHz * FRAME_S / 2);
    this.samples = new double[length];
    this.work = new double[length];
    this.window = new double[length];
    double energy = 0;
    for (int i = 0; i < length; i++) {
      window[i] = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / length);
      energy += window[i] * window[i];
    }
    this.windowEnergy = energy;
    this.transform = new RealTransform(length);
  }

  /** Samples in a frame. */
  int frameLength() {
    return length;
  }

  /** Samples of the frame that is being handed on; to be read only then. */
  double[] samples() {
    return samples;
  }

  @Override
  public void accept(SampleBlock block) {
    overloads.addAll(block.overloads());
    gaps.addAll(block.gaps());
    int taken = 0;
    while (taken < block.length()) {
      int piece = Math.min(block.length() - taken, length - filled);
      System.arraycopy(block.samples(), taken, samples, filled, piece);
      filled += piece;
      taken += piece;
      if (filled == length) {
        frames.accept(frame());
        filled = 0;
        frameStart += length;
      }
    }
  }

  private ToneFrame frame() {
    boolean overloaded = touches(overloads);
    boolean lost = touches(gaps);
    double peak = 0;
    double sum = 0;
    for (double x : samples) {
      peak = Math.max(peak, Math.abs(x));
      sum += x;
    }
    double mean = sum / length;
    double meanSquare = 0;
    for (int i = 0; i < length; i++) {
      double x = samples[i] - mean;
      meanSquare += x * x;
      work[i] = x * window[i];
    }
    meanSquare /= length;
    float[] amplitudes = new float[ToneFrame.PIECES];
    float[] residuals = new float[ToneFrame.PIECES];
    float[] squares = new float[ToneFrame.PIECES];
    if (meanSquare == 0) {
      return new ToneFrame(
          SEARCH_FROM_HZ,
          0,
          0,
          0,
          0,
          peak,
          false,
          overloaded,
          lost,
          amplitudes,
          residuals,
          squares);
    }
    transform.forward(work);
    SineFit fit = SineFit.fourParameters(samples, 0, length, sampleRateHz, strongestLine());
    double distortion = distortionMeanSquare(fit);
    for (int piece = 0; piece < ToneFrame.PIECES; piece++) {
      int from = (int) ((long) length * piece / ToneFrame.PIECES);
      int to = (int) ((long) length * (piece + 1) / ToneFrame.PIECES);
      SineFit part =
          SineFit.threeParameters(samples, from, to - from, sampleRateHz, fit.frequencyHz());
      amplitudes[piece] = (float) part.amplitude();
      residuals[piece] = (float) part.residualMeanSquare();
      squares[piece] = (float) meanSquareAboutMean(from, to);
    }
    return new ToneFrame(
        fit.frequencyHz(),
        fit.amplitude(),
        fit.phase(),
        distortion,
        meanSquare,
        peak,
        flatTopped(fit),
        overloaded,
        lost,
        amplitudes,
        residuals,
        squares);
  }

  private double meanSquareAboutMean(int from, int to) {
    double sum = 0;
    double squares = 0;
    for (int i = from; i < to; i++) {
      sum += samples[i];
      squares += samples[i] * samples[i];
    }
    double mean = sum / (to - from);
    return Math.max(0, squares / (to - from) - mean * mean);
  }

  /** Frequency of the greatest line of the windowed spectrum, between lines by a parabola [Hz]. */
  private double strongestLine() {
    double spacing = sampleRateHz / length;
    int last = (int) Math.min(SEARCH_TO_HZ / spacing, 0.45 * length);
    int best = (int) Math.ceil(SEARCH_FROM_HZ / spacing);
    for (int k = best + 1; k <= last; k++) {
      if (power(k) > power(best)) {
        best = k;
      }
    }
    double below = Math.log(power(best - 1) + Double.MIN_NORMAL);
    double at = Math.log(power(best) + Double.MIN_NORMAL);
    double above = Math.log(power(best + 1) + Double.MIN_NORMAL);
    double curvature = below - 2 * at + above;
    double shift = curvature < 0 ? 0.5 * (below - above) / curvature : 0;
    return (best + Math.max(-0.5, Math.min(0.5, shift))) * spacing;
  }

  private double power(int line) {
    double re = work[2 * line];
    double im = work[2 * line + 1];
    return re * re + im * im;
  }

  private double distortionMeanSquare(SineFit fit) {
    double step = 2 * Math.PI * fit.frequencyHz() / sampleRateHz;
    double angle = fit.phase() - step * (length - 1) / 2;
    double c = Math.cos(angle);
    double s = Math.sin(angle);
    double turnC = Math.cos(step);
    double turnS = Math.sin(step);
    for (int i = 0; i < length; i++) {
      work[i] = (samples[i] - fit.offset() - fit.amplitude() * c) * window[i];
      double next = c * turnC - s * turnS;
      s = s * turnC + c * turnS;
      c = next;
    }
    transform.forward(work);
    double spacing = sampleRateHz / length;
    int first = (int) Math.ceil(LOWEST_HZ / spacing);
    int last = (int) Math.min(HIGHEST_HZ / spacing, length / 2.0 - 1);
    double sum = 0;
    for (int k = first; k <= last; k++) {
      sum += power(k);
    }
    return 2 * sum / (length * windowEnergy);
  }

  /**
   * A sine's crest stays within one step of the format for a while that its curvature gives; a
   * clipped one stays longer.
   */
  private boolean flatTopped(SineFit fit) {
    if (!(fit.amplitude() > 8 * stepOfFormat)) {
      return false;
    }
    double highest = Double.NEGATIVE_INFINITY;
    double lowest = Double.POSITIVE_INFINITY;
    for (double x : samples) {
      highest = Math.max(highest, x);
      lowest = Math.min(lowest, x);
    }
    double period = sampleRateHz / fit.frequencyHz();
    // Many files of 24 bits hold 16.
    double coarse = Math.min(1, 1.5 * Math.max(stepOfFormat, STEP_OF_16_BITS) / fit.amplitude());
    double crest = period / Math.PI * Math.acos(1 - coarse);
    int allowed = 1 + (int) Math.ceil(1.5 * crest);
    int upper = 0;
    int lower = 0;
    int full = 0;
    for (double x : samples) {
      upper = x >= highest - 0.5 * stepOfFormat ? upper + 1 : 0;
      lower = x <= lowest + 0.5 * stepOfFormat ? lower + 1 : 0;
      full = Math.abs(x) >= 1 - 1.5 * stepOfFormat ? full + 1 : 0;
      if (upper > allowed || lower > allowed || full > 1) {
        return true;
      }
    }
    return false;
  }

  private boolean touches(ArrayDeque<Span> spans) {
    long end = frameStart + length;
    boolean found = false;
    while (!spans.isEmpty() && spans.peekFirst().position() < end) {
      found = found || spans.peekFirst().end() > frameStart;
      if (spans.peekFirst().end() > end) {
        break;
      }
      spans.removeFirst();
    }
    return found;
  }
}
