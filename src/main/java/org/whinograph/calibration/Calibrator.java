package org.whinograph.calibration;

import java.time.Clock;
import java.time.temporal.ChronoUnit;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;
import org.whinograph.signal.Warning;

/**
 * Turns a calibrator's tone into the level that full scale stands for: reference level minus
 * measured level.
 *
 * <p>The record's date is the clock's when the tone is measured. A file's own time says when it was
 * last copied, which is why it isn't used. Used by one thread.
 */
public final class Calibrator {
  /** Tones below this level are far below what a microphone under a calibrator gives. */
  private static final double FAINT_DB = -60;

  private static final int BLOCK = 16_384;

  private final Clock clock;

  /**
   * Prepares.
   *
   * @param clock gives the date of the record
   */
  public Calibrator(Clock clock) {
    this.clock = clock;
  }

  /**
   * Measures the tone in a recording and gives it the calibrator's level.
   *
   * @param source the recording; read to its end, not closed
   * @param request the calibrator and the names to keep
   * @return the calibration
   * @throws RefusedException with the reason and its figure if the tone can't carry one
   */
  public CalibrationResult calibrate(SampleSource source, CalibrationRequest request)
      throws RefusedException {
    SampleFormat format = source.format();
    if (format.sampleRateHz() < 8000) {
      throw new RefusedException(
          String.format(
              Locale.ROOT,
              "%s has %.0f samples a second; record the calibrator at 44 100 or more.",
              source.name(),
              format.sampleRateHz()));
    }
    ReferenceToneMeter meter =
        new ReferenceToneMeter(format, request.referenceFrequencyHz(), source.name());
    for (SampleBlock block = source.read(BLOCK); block != null; block = source.read(BLOCK)) {
      meter.accept(block);
    }
    return record(meter.finish(), format, source.name(), request);
  }

  /**
   * Gives a measured tone the calibrator's level.
   *
   * @param tone the tone
   * @param format how its samples were stored
   * @param file name of the recording; left out of the record if the request names a live input
   * @param request the calibrator and the names to keep
   * @return the calibration
   */
  public CalibrationResult record(
      ReferenceTone tone, SampleFormat format, String file, CalibrationRequest request) {
    List<UncertaintyComponent> budget = budget(tone, request);
    double variance = 0;
    for (UncertaintyComponent component : budget) {
      variance += component.standardUncertaintyDb() * component.standardUncertaintyDb();
    }
    CalibrationRecord calibration =
        new CalibrationRecord(
            request.referenceLevelDb() - tone.levelDb(),
            request.referenceLevelDb(),
            request.referenceFrequencyHz(),
            tone.frequencyHz(),
            tone.fluctuationDb(),
            tone.distortionPlusNoise(),
            tone.toneS(),
            Math.sqrt(variance),
            clock.instant().truncatedTo(ChronoUnit.SECONDS),
            request.microphone(),
            request.input() == null ? file : null,
            request.sha256(),
            format.sampleRateHz(),
            format.bitDepth(),
            request.responseFile(),
            request.input());
    return new CalibrationResult(calibration, tone, budget, warnings(tone));
  }

  private static List<UncertaintyComponent> budget(ReferenceTone tone, CalibrationRequest request) {
    return List.of(
        new UncertaintyComponent(
            "calibrator level",
            request.calibratorUncertaintyDb(),
            request.calibratorUncertaintyDb() == CalibrationRequest.CLASS_1_UNCERTAINTY_DB
                ? "0.40 dB of IEC 60942:2003 class 1 (from memory), rectangular"
                : "as entered"),
        new UncertaintyComponent(
            "fitting the calibrator",
            request.couplingUncertaintyDb(),
            request.couplingUncertaintyDb() == CalibrationRequest.COUPLING_UNCERTAINTY_DB
                ? "common practice, no source"
                : "as entered"),
        new UncertaintyComponent(
            "fluctuation", tone.fluctuationDb() / Math.sqrt(3), "half range, rectangular"),
        new UncertaintyComponent(
            "noise of the fit",
            tone.repeatabilityDb(),
            "deviation of the mean of tenths of a second"));
  }

  private static List<Warning> warnings(ReferenceTone tone) {
    List<Warning> warnings = new ArrayList<>();
    if (tone.levelDb() < FAINT_DB) {
      warnings.add(
          new Warning(
              "faint-reference-tone",
              String.format(
                  Locale.ROOT,
                  "The tone is at %.1f dB re full scale, far lower than a calibrator usually reads;"
                      + " check that the right input and gain were used.",
                  tone.levelDb())));
    }
    return warnings;
  }
}
