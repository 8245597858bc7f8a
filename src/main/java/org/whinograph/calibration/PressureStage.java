package org.whinograph.calibration;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import java.util.OptionalDouble;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RealTransform;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;

/**
 * Turns samples in parts of full scale into pascals, and subtracts the microphone's response if one
 * is given.
 *
 * <p>The calibration was made with the microphone as it is, so the response is taken relative to
 * its value at the calibrator's frequency. Without a calibration samples stay in parts of full
 * scale, and a response is relative to its value at {@value #RELATIVE_TO_HZ} Hz.
 *
 * <p>The response is undone by a filter of zero phase, so that a sample that goes out belongs to
 * the sample that came in at its position: N = rate · 0.68 s taps, applied by overlap-save with
 * transforms at fixed positions, hence no dependence on how samples arrive. Within the rows the
 * filter is fitted to the table interpolated on log f; outside it goes to a gain of 1 within an
 * octave. It holds back up to 2.4 s of samples until {@link #finish()}. Used by one thread; after
 * construction it allocates nothing per sample.
 */
public final class PressureStage implements SampleSink {
  /** Frequency that an uncalibrated response is relative to: the reference of IEC 61672-1. */
  public static final double RELATIVE_TO_HZ = 1000;

  /** Length of a transform, at least; the filter is a quarter of it. */
  private static final double TRANSFORM_S = 2.7;

  /** Corrections of the filter's target; the fit within the table is then far below 0.02 dB. */
  private static final int FIT_PASSES = 6;

  /** The slope with which the filter leaves the table is held to this, an octave. */
  private static final double STEEPEST_DB = 12;

  /** Shape of the Kaiser window over the filter's taps. */
  private static final double KAISER_BETA = 6;

  private final SampleSink downstream;
  private final LevelUnit unit;
  private final double scale;
  private final List<Warning> warnings;

  private final RealTransform transform;
  private final double[] gain;
  private final int half;
  private final int hop;
  private final double[] history;
  private final double[] work;
  private final List<Span> overloads = new ArrayList<>();
  private final List<Span> gaps = new ArrayList<>();
  private double[] scaled = new double[0];
  private double sampleRateHz;
  private int filled;
  private long outPosition;
  private boolean finished;

  /**
   * Prepares the stage.
   *
   * @param sampleRateHz rate of the samples [Hz]
   * @param calibration the calibration, or null for none
   * @param response the microphone's response, or null for none
   * @param downstream takes the samples, in blocks of its own lengths; reads and keeps nothing
   * @throws RefusedException if the response doesn't reach the frequency it must be relative to
   * @throws IllegalArgumentException if the rate isn't above 0
   */
  public PressureStage(
      double sampleRateHz,
      CalibrationRecord calibration,
      MicrophoneResponse response,
      SampleSink downstream)
      throws RefusedException {
    if (!(sampleRateHz > 0 && Double.isFinite(sampleRateHz))) {
      throw new IllegalArgumentException("sampleRateHz: above 0, got " + sampleRateHz);
    }
    this.sampleRateHz = sampleRateHz;
    this.downstream = Objects.requireNonNull(downstream, "downstream");
    this.unit = calibration == null ? LevelUnit.FULL_SCALE : LevelUnit.SOUND_PRESSURE;
    this.scale =
        calibration == null
            ? 1
            : Math.sqrt(
                unit.meanSquareOf(calibration.levelAtFullScaleDb())
                    / LevelUnit.FULL_SCALE.meanSquareOf(0));
    if (response == null) {
      this.warnings = List.of();
      this.transform = null;
      this.gain = null;
      this.half = 0;
      this.hop = 0;
      this.history = null;
      this.work = null;
      return;
    }
    double relativeTo = calibration == null ? RELATIVE_TO_HZ : calibration.frequencyHz();
    OptionalDouble reference = response.responseDb(relativeTo);
    if (reference.isEmpty()) {
      throw new RefusedException(
          response.name()
              + " covers "
              + hertz(response.lowestHz())
              + " to "
              + hertz(response.highestHz())
              + " and not "
              + hertz(relativeTo)
              + ", to which it must be relative; give a response that covers it.");
    }
    this.warnings = limits(response, sampleRateHz);
    int length = Integer.highestOneBit((int) Math.ceil(sampleRateHz * TRANSFORM_S));
    length = Math.max(1024, length < sampleRateHz * TRANSFORM_S ? 2 * length : length);
    this.transform = new RealTransform(length);
    this.half = length / 8;
    this.hop = length - 2 * half;
    this.history = new double[length];
    this.work = new double[length];
    this.gain = fit(response, reference.getAsDouble());
    // Before the recording there is silence.
    this.filled = half;
  }

  /**
   * What the samples that go out are in.
   *
   * @return sound pressure with a calibration, else full scale
   */
  public LevelUnit unit() {
    return unit;
  }

  /**
   * What the reader of the results must know: the range that the response doesn't cover.
   *
   * @return warnings
   */
  public List<Warning> warnings() {
    return warnings;
  }

  @Override
  public void accept(SampleBlock block) {
    if (finished) {
      throw new IllegalStateException("the stage is finished and takes no more samples");
    }
    if (transform == null) {
      scaleOnly(block);
      return;
    }
    append(overloads, block.overloads());
    append(gaps, block.gaps());
    int taken = 0;
    while (taken < block.length()) {
      int piece = Math.min(block.length() - taken, history.length - filled);
      System.arraycopy(block.samples(), taken, history, filled, piece);
      filled += piece;
      taken += piece;
      if (filled == history.length) {
        filter(hop);
      }
    }
  }

  /** Passes on what is held back. Call it once, after the last block. */
  public void finish() {
    if (finished || transform == null) {
      finished = true;
      return;
    }
    finished = true;
    int rest = filled - half;
    while (rest > 0) {
      Arrays.fill(history, filled, history.length, 0);
      int length = Math.min(rest, hop);
      filter(length);
      rest -= length;
    }
  }

  private void scaleOnly(SampleBlock block) {
    if (scale == 1) {
      downstream.accept(block);
      return;
    }
    if (scaled.length < block.length()) {
      scaled = new double[block.length()];
    }
    double[] samples = block.samples();
    for (int i = 0; i < block.length(); i++) {
      scaled[i] = scale * samples[i];
    }
    downstream.accept(block.withSamples(scaled));
  }

  /** Filters the history, passes on the first samples after its lead-in, and moves up by a hop. */
  private void filter(int length) {
    System.arraycopy(history, 0, work, 0, history.length);
    transform.forward(work);
    work[0] *= gain[0];
    work[1] *= gain[history.length / 2];
    for (int k = 1; k < history.length / 2; k++) {
      work[2 * k] *= gain[k];
      work[2 * k + 1] *= gain[k];
    }
    transform.inverse(work);
    System.arraycopy(work, half, work, 0, length);
    downstream.accept(
        new SampleBlock(
            work,
            length,
            sampleRateHz,
            outPosition,
            within(overloads, outPosition, length),
            within(gaps, outPosition, length)));
    outPosition += length;
    System.arraycopy(history, hop, history, 0, history.length - hop);
    filled = Math.max(0, filled - hop);
  }

  /** Appends spans; a span that a block's end cut in two becomes one again. */
  private static void append(List<Span> spans, List<Span> more) {
    for (Span span : more) {
      int last = spans.size() - 1;
      if (last >= 0 && spans.get(last).end() == span.position()) {
        Span before = spans.get(last);
        spans.set(last, new Span(before.position(), before.length() + span.length()));
      } else {
        spans.add(span);
      }
    }
  }

  /** Takes out the spans of a block that goes out; one that goes on beyond it is cut. */
  private static List<Span> within(List<Span> spans, long position, int length) {
    if (spans.isEmpty()) {
      return List.of();
    }
    long end = position + length;
    List<Span> inside = new ArrayList<>();
    while (!spans.isEmpty() && spans.get(0).position() < end) {
      Span span = spans.remove(0);
      if (span.end() <= end) {
        inside.add(span);
      } else {
        inside.add(new Span(span.position(), end - span.position()));
        spans.add(0, new Span(end, span.end() - end));
      }
    }
    return inside;
  }

  private static List<Warning> limits(MicrophoneResponse response, double sampleRateHz) {
    List<String> parts = new ArrayList<>();
    if (response.lowestHz() > 20) {
      parts.add("below " + hertz(response.lowestHz()));
    }
    if (response.highestHz() < Math.min(20_000, 0.45 * sampleRateHz)) {
      parts.add("above " + hertz(response.highestHz()));
    }
    if (parts.isEmpty()) {
      return List.of();
    }
    return List.of(
        new Warning(
            "response-table-limits",
            response.name()
                + " ends there: "
                + String.join(" and ", parts)
                + " the microphone's response isn't corrected."));
  }

  /** Gain of the filter at each line of the transform, scale included [length N/2 + 1]. */
  private double[] fit(MicrophoneResponse response, double referenceDb) {
    int lines = history.length / 2 + 1;
    double[] wanted = new double[lines];
    for (int k = 0; k < lines; k++) {
      wanted[k] = wantedGain(response, referenceDb, k * sampleRateHz / history.length);
    }
    double[] window = new double[half];
    double norm = bessel(KAISER_BETA);
    for (int n = 0; n < half; n++) {
      double x = (double) n / half;
      window[n] = bessel(KAISER_BETA * Math.sqrt(1 - x * x)) / norm;
    }
    double[] target = wanted.clone();
    double[] reached = new double[lines];
    for (int pass = 0; ; pass++) {
      realise(target, window, reached);
      if (pass == FIT_PASSES) {
        break;
      }
      for (int k = 0; k < lines; k++) {
        target[k] += wanted[k] - reached[k];
      }
    }
    for (int k = 0; k < lines; k++) {
      reached[k] *= scale;
    }
    return reached;
  }

  /** The gain of the filter whose taps are the target's, cut to length by the window. */
  private void realise(double[] target, double[] window, double[] reached) {
    int length = work.length;
    Arrays.fill(work, 0);
    for (int k = 0; k < length / 2; k++) {
      work[2 * k] = target[k];
    }
    work[1] = target[length / 2];
    transform.inverse(work);
    for (int n = 1; n < half; n++) {
      work[n] *= window[n];
      work[length - n] *= window[n];
    }
    Arrays.fill(work, half, length - half + 1, 0);
    transform.forward(work);
    for (int k = 0; k < length / 2; k++) {
      reached[k] = work[2 * k];
    }
    reached[0] = work[0];
    reached[length / 2] = work[1];
  }

  private static double wantedGain(
      MicrophoneResponse response, double referenceDb, double frequency) {
    double nearest = Math.max(response.lowestHz(), Math.min(response.highestHz(), frequency));
    double octaves = frequency == 0 ? 9 : Math.abs(Math.log(frequency / nearest) / Math.log(2));
    double part = octaves >= 1 ? 0 : 0.5 + 0.5 * Math.cos(Math.PI * octaves);
    double edge = response.responseDb(nearest).orElse(referenceDb) - referenceDb;
    // A kink at the end of the table would ripple into it, so the curve leaves with its slope.
    double leaving = octaves > 0 && octaves < 1 ? octaves * slopeAtEnd(response, nearest) : 0;
    return Decibels.toAmplitudeRatio(-part * (edge + leaving));
  }

  /** Slope with which the table ends, outwards [dB an octave], from its last sixth of an octave. */
  private static double slopeAtEnd(MicrophoneResponse response, double end) {
    double sixth = Math.pow(2, 1 / 6.0);
    double inside =
        end == response.lowestHz()
            ? Math.min(response.highestHz(), end * sixth)
            : Math.max(response.lowestHz(), end / sixth);
    double rise =
        response.responseDb(end).orElseThrow() - response.responseDb(inside).orElseThrow();
    double slope = rise / Math.abs(Math.log(end / inside) / Math.log(2));
    return Math.max(-STEEPEST_DB, Math.min(STEEPEST_DB, slope));
  }

  private static String hertz(double frequency) {
    return String.format(
        Locale.ROOT, frequency == Math.rint(frequency) ? "%.0f Hz" : "%.1f Hz", frequency);
  }

  /** Modified Bessel function of the first kind and order 0 (DLMF 10.25.2). */
  private static double bessel(double x) {
    double term = 1;
    double sum = 1;
    for (int k = 1; term > 1e-17 * sum; k++) {
      term *= x / (2 * k) * (x / (2 * k));
      sum += term;
    }
    return sum;
  }
}
