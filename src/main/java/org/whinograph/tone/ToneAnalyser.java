package org.whinograph.tone;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;
import org.whinograph.spectrum.CoherenceAverager;
import org.whinograph.spectrum.FrameListener;
import org.whinograph.spectrum.FrameStream;
import org.whinograph.spectrum.Spectrogram;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.spectrum.SpectrumAverager;
import org.whinograph.spectrum.Window;

/**
 * From samples to discrete tones in one pass: Hann frames, half overlapping, averaged by energy,
 * lines at most 0.75 Hz apart, so that ECMA-418-1's 1 % of the tone's frequency holds from 89.1 Hz
 * on. Frequencies come from the phase between frames, 1 and {@value #FAR_LAG} apart.
 *
 * <p>A recording of less than about 3.5 s is measured with shorter frames, and the lowest frequency
 * with a verdict rises with the line spacing; the first seconds are kept for that. Memory is
 * bounded (about 10 MB at 48 kHz, 40 MB at 192 kHz) and nothing is allocated per block after
 * set-up. Not safe for use by several threads.
 */
public final class ToneAnalyser implements SampleSink {
  private static final double WIDEST_SPACING_HZ = 0.75;
  private static final double SHORTEST_S = 1.0;
  private static final int FAR_LAG = 8;

  /** Frames that an average needs to tell tones from noise; half overlapping, 2.5 frame lengths. */
  private static final int FEWEST_FRAMES = 4;

  private final double sampleRateHz;
  private final LevelUnit unit;
  private final Chain chain;
  private final List<Span> earlyGaps = new ArrayList<>();

  /** The first samples, until enough frames are in. */
  private double[] early;

  private long received;
  private long origin = -1;

  /** One length of frames with all that listens to them. */
  private static final class Chain {
    private final FrameStream stream;
    private final SpectrumAverager averager;
    private final CoherenceAverager near;
    private final CoherenceAverager far;
    private final double overlapCorrelation;

    Chain(int length, double sampleRateHz) {
      stream = new FrameStream(Window.HANN, length, length / 2, FAR_LAG);
      averager = new SpectrumAverager(Window.HANN, length, length / 2, sampleRateHz);
      stream.addListener(averager);
      near = new CoherenceAverager(stream, 1);
      far = new CoherenceAverager(stream, FAR_LAG);
      overlapCorrelation = Window.HANN.overlapCorrelation(length, length / 2);
    }
  }

  /**
   * Prepares an analyser.
   *
   * @param sampleRateHz frames a second [Hz], at least 8000
   * @param unit what levels refer to; samples come in pascals if it is calibrated, else as parts of
   *     full scale
   * @throws IllegalArgumentException if the rate is below its limit
   */
  public ToneAnalyser(double sampleRateHz, LevelUnit unit) {
    if (!(sampleRateHz >= 8000.0) || Double.isInfinite(sampleRateHz)) {
      throw new IllegalArgumentException("sampleRateHz: at least 8000, got " + sampleRateHz);
    }
    this.sampleRateHz = sampleRateHz;
    this.unit = unit;
    int length = frameLength(sampleRateHz);
    this.chain = new Chain(length, sampleRateHz);
    this.early = new double[samplesFor(length)];
  }

  /**
   * Length of the frames at a rate: the least power of two whose lines are at most 0.75 Hz apart.
   *
   * @param sampleRateHz frames a second [Hz]
   * @return N [samples]: 65 536 at 48 kHz
   */
  public static int frameLength(double sampleRateHz) {
    int length = 1024;
    while (sampleRateHz / length > WIDEST_SPACING_HZ) {
      length *= 2;
    }
    return length;
  }

  private static int samplesFor(int length) {
    return length + (FEWEST_FRAMES - 1) * (length / 2);
  }

  /**
   * Lets others listen to the frames that the tones come from: the transform is done once for all.
   * They are half overlapping Hann frames of {@link #frameLength} samples, whatever the length of
   * the recording.
   *
   * @param listener hears each frame from now on
   */
  public void addListener(FrameListener listener) {
    chain.stream.addListener(listener);
  }

  /** {@inheritDoc} */
  @Override
  public void accept(SampleBlock block) {
    if (origin < 0) {
      origin = block.position();
    }
    if (early != null) {
      if (received < early.length) {
        int count = (int) Math.min(block.length(), early.length - received);
        System.arraycopy(block.samples(), 0, early, (int) received, count);
        earlyGaps.addAll(block.gaps());
      } else if (chain.averager.frames() >= FEWEST_FRAMES) {
        early = null;
      }
    }
    received += block.length();
    chain.stream.accept(block);
  }

  /**
   * Keeps the spectra through time, in bounded memory, from the same frames.
   *
   * @param mostRows most rows of frequency
   * @param mostColumns most columns of time, even
   * @return a spectrogram that fills from now on
   */
  public Spectrogram spectrogram(int mostRows, int mostColumns) {
    return new Spectrogram(chain.stream, sampleRateHz, mostRows, mostColumns);
  }

  /** The chain that the result comes from: the usual one, or one of shorter frames; may be null. */
  private Chain resultChain() {
    if (early == null || chain.averager.frames() >= FEWEST_FRAMES) {
      return chain;
    }
    if (received > early.length && chain.averager.frames() > 0) {
      // Long enough, but lost samples left few frames: still better than the first seconds alone.
      return chain;
    }
    int usable = (int) Math.min(received, early.length);
    int length = chain.stream.length() / 2;
    while (samplesFor(length) > usable && length > 1024) {
      length /= 2;
    }
    if (received < SHORTEST_S * sampleRateHz || samplesFor(length) > usable) {
      return null;
    }
    Chain shorter = new Chain(length, sampleRateHz);
    shorter.stream.accept(
        new SampleBlock(early, usable, sampleRateHz, origin, List.of(), earlyGaps));
    return shorter;
  }

  /**
   * The averaged spectrum so far.
   *
   * @return the spectrum that the tones come from, or null if there is too little for one
   */
  public Spectrum spectrum() {
    Chain from = resultChain();
    return from == null ? null : from.averager.spectrum(unit);
  }

  /**
   * The tones so far.
   *
   * @return tones, ratios and warnings
   */
  public ToneResult result() {
    Chain from = resultChain();
    Spectrum spectrum = from == null ? null : from.averager.spectrum(unit);
    List<Warning> warnings = new ArrayList<>();
    if (spectrum == null) {
      String reason = reasonForNone(from);
      warnings.add(new Warning("no-spectrum", reason));
      return ToneJudgement.none(reason, sampleRateHz / chain.stream.length(), warnings);
    }
    if (from.stream.framesLeftOut() > 0) {
      warnings.add(
          new Warning(
              "frames-left-out",
              String.format(
                  Locale.ROOT,
                  "%d of %d frames of %.2f s touch lost samples and are left out of the spectrum",
                  from.stream.framesLeftOut(),
                  from.stream.framesLeftOut() + from.stream.frames(),
                  from.stream.length() / sampleRateHz)));
    }
    double lowestHz = 100.0 * spectrum.lineSpacingHz();
    if (lowestHz > CriticalBands.LOWEST_HZ) {
      warnings.add(
          new Warning(
              "short-recording",
              String.format(
                  Locale.ROOT,
                  "the recording is short: with lines %.2f Hz apart tones are judged from %.0f Hz"
                      + " on; record %.0f s or more",
                  spectrum.lineSpacingHz(),
                  lowestHz,
                  Math.ceil(samplesFor(chain.stream.length()) / sampleRateHz))));
    }
    double covered =
        (double) spectrum.frames() * from.stream.hop() + from.stream.length() - from.stream.hop();
    double averagedS = Math.min((double) from.stream.samples(), covered) / sampleRateHz;
    PhaseSlope slope =
        new PhaseSlope(spectrum, sampleRateHz, from.overlapCorrelation, from.near, from.far);
    return ToneJudgement.judge(spectrum, slope, averagedS, warnings);
  }

  private String reasonForNone(Chain from) {
    if (from != null) {
      return "lost samples touch every frame, so there is no spectrum: record again";
    }
    return String.format(
        Locale.ROOT,
        "%.2f s are too short for a spectrum: record %.0f s or more",
        received / sampleRateHz,
        Math.ceil(samplesFor(chain.stream.length()) / sampleRateHz));
  }
}
