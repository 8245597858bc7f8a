package org.whinograph.measurement;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import org.whinograph.audiofile.WavSource;
import org.whinograph.band.BandAnalyser;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.PressureStage;
import org.whinograph.level.LevelMeter;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.Excerpt;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.SampleSource;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedAnalyser;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.order.OrderAnalyser;
import org.whinograph.tone.ToneAnalyser;

/**
 * Measures a recording: one pass over the samples feeds levels, bands, tones and speed; where a
 * speed is found and the samples can be had again, a second one follows it.
 *
 * <p>The calling thread reads and turns samples into pascals; two more threads run the analyses, so
 * that two cores are busy and memory holds no more than two blocks of samples. Results are those of
 * a single thread to the last bit, whatever the source's blocks.
 *
 * <p>An instance may be used again and by several threads.
 */
public final class Measurer {
  /** Lowest sample rate at which the A-weighting can be realised [Hz]. */
  public static final double LOWEST_RATE_HZ = 32_000.0;

  /** Highest sample rate that the filters are designed for [Hz]. */
  public static final double HIGHEST_RATE_HZ = 768_000.0;

  private final MeasurementPlan plan;

  /**
   * Prepares to measure by a plan.
   *
   * @param plan what to measure and with what
   */
  public Measurer(MeasurementPlan plan) {
    this.plan = Objects.requireNonNull(plan, "plan");
  }

  /**
   * Measures a recording.
   *
   * @param source the recording; read to its end (or the end of the stretch), not closed
   * @return what was measured
   * @throws RefusedException if the source can't be read or measured; the message says why
   */
  public Measurement measure(SampleSource source) throws RefusedException {
    return measure(source, ProgressListener.NONE);
  }

  /**
   * Measures a recording and tells how far it is.
   *
   * @param source the recording; read to its end (or the end of the stretch), not closed
   * @param progress hears how far it is
   * @return what was measured
   * @throws RefusedException if the source can't be read or measured; the message says why
   */
  public Measurement measure(SampleSource source, ProgressListener progress)
      throws RefusedException {
    SampleFormat format = source.format();
    double rate = format.sampleRateHz();
    if (rate < LOWEST_RATE_HZ) {
      throw new RefusedException(
          String.format(
              Locale.ROOT,
              "%s: %.0f samples a second carry nothing above %.1f kHz, too little for an"
                  + " A-weighted level; record at 44 100 or 48 000",
              source.name(),
              rate,
              rate / 2000));
    }
    if (rate > HIGHEST_RATE_HZ) {
      throw new RefusedException(
          String.format(
              Locale.ROOT,
              "%s: %.0f samples a second are more than any measurement of sound needs; convert it"
                  + " to 48 000 or 96 000",
              source.name(),
              rate));
    }
    InputTrust trust = InputTrust.of(plan, source);
    CalibrationRecord calibration = trust.calibration();
    LevelUnit unit = calibration == null ? LevelUnit.FULL_SCALE : LevelUnit.SOUND_PRESSURE;
    LevelMeter levels = new LevelMeter(rate, unit);
    BandAnalyser bands = new BandAnalyser(rate, unit);
    ToneAnalyser tones = new ToneAnalyser(rate, unit);
    OrderAnalyser orders = new OrderAnalyser(rate, unit, tones);
    SpeedAnalyser speed = plan.hints() == null ? null : new SpeedAnalyser(rate, plan.hints());
    List<SampleSink> sinks =
        speed == null ? List.of(bands, tones, levels) : List.of(bands, tones, speed, levels);
    Tally tally = new Tally();

    SampleSource stretch = stretchOf(source, rate);
    int passes = speed == null ? 1 : 2;
    double totalS =
        stretch.frames().isPresent()
            ? passes * (stretch.frames().getAsLong() / rate)
            : Double.POSITIVE_INFINITY;
    List<Warning> warnings = new ArrayList<>(trust.warnings());
    try (FanOut fanOut = new FanOut(sinks)) {
      PressureStage pressure = new PressureStage(rate, calibration, plan.response(), fanOut);
      warnings.addAll(pressure.warnings());
      for (SampleBlock block = stretch.read(FanOut.BLOCK);
          block != null;
          block = stretch.read(FanOut.BLOCK)) {
        tally.count(block);
        pressure.accept(block);
        progress.advanced(tally.frames / rate, totalS);
      }
      pressure.finish();
      fanOut.await();
    }
    if (tally.frames == 0) {
      throw new RefusedException(
          String.format(
              Locale.ROOT,
              "%s: there is nothing to measure from %.3f s on; choose an earlier --from",
              source.name(),
              plan.fromS()));
    }

    RecordingInfo recording = recording(source, tally, warnings);
    warnings.addAll(levels.warnings());
    warnings.addAll(bands.warnings());
    var toneResult = tones.result();
    warnings.addAll(toneResult.warnings());
    SpeedResult speedResult =
        speed == null
            ? SpeedResult.notSought("The speed was not sought, as asked by --no-speed.")
            : speed.result();
    warnings.addAll(speedResult.warnings());
    double firstS = tally.frames / rate;
    follow(
        orders.secondPass(speedResult),
        stretch,
        calibration,
        (seconds, any) -> progress.advanced(firstS + seconds, totalS));
    progress.advanced(Double.isInfinite(totalS) ? passes * firstS : totalS, totalS);
    Spectrum spectrum = tones.spectrum();
    return new Measurement(
        recording,
        calibration,
        calibration == null ? null : plan.calibrationFile(),
        plan.response() == null ? null : plan.response().name(),
        unit,
        levels.result(),
        bands.result(),
        null,
        spectrum,
        toneResult,
        speedResult,
        orders.result(toneResult, spectrum, speedResult),
        warnings);
  }

  /** Hands the same samples out once more, if they can be had again. */
  private void follow(
      SampleSink sink,
      SampleSource stretch,
      CalibrationRecord calibration,
      ProgressListener progress)
      throws RefusedException {
    if (sink == null) {
      return;
    }
    try (SampleSource again = stretch.again()) {
      if (again == null) {
        return;
      }
      try (FanOut fanOut = new FanOut(List.of(sink))) {
        PressureStage pressure =
            new PressureStage(again.format().sampleRateHz(), calibration, plan.response(), fanOut);
        for (SampleBlock block = again.read(FanOut.BLOCK);
            block != null;
            block = again.read(FanOut.BLOCK)) {
          pressure.accept(block);
          double seconds = (block.position() + block.length()) / block.sampleRateHz();
          progress.advanced(seconds, seconds);
        }
        pressure.finish();
        fanOut.await();
      }
    }
  }

  private SampleSource stretchOf(SampleSource source, double rate) throws RefusedException {
    long from = Math.round(plan.fromS() * rate);
    long to = plan.toS() * rate < Long.MAX_VALUE ? Math.round(plan.toS() * rate) : Long.MAX_VALUE;
    if (from == 0 && to == Long.MAX_VALUE) {
      return source;
    }
    return new Excerpt(source, from, Math.max(to, from + 1));
  }

  private RecordingInfo recording(SampleSource source, Tally tally, List<Warning> warnings)
      throws RefusedException {
    SampleFormat format = source.format();
    String sha256 = null;
    int channel = 1;
    if (source instanceof WavSource wav) {
      warnings.addAll(wav.warnings());
      sha256 = wav.sha256();
      channel = wav.channel();
    }
    if (tally.overloaded > 0) {
      warnings.add(
          new Warning(
              "overload",
              String.format(
                  Locale.ROOT,
                  "%s: the input was overloaded for %d samples, first at %.3f s; peaks and levels"
                      + " there read too low: record again with less gain",
                  source.name(),
                  tally.overloaded,
                  plan.fromS() + tally.firstOverload / format.sampleRateHz())));
    }
    return new RecordingInfo(
        source.name(),
        sha256,
        format.sampleRateHz(),
        format.bitDepth(),
        format.floatingPoint(),
        format.channels(),
        channel,
        plan.fromS(),
        tally.frames / format.sampleRateHz(),
        tally.overloaded,
        tally.lost);
  }

  /** Counts what passes. */
  private static final class Tally {
    private long frames;
    private long overloaded;
    private long firstOverload = -1;
    private long lost;

    void count(SampleBlock block) {
      frames += block.length();
      for (Span overload : block.overloads()) {
        if (firstOverload < 0) {
          firstOverload = overload.position();
        }
        overloaded += overload.length();
      }
      for (Span gap : block.gaps()) {
        lost += gap.length();
      }
    }
  }
}
