package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.time.Clock;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.List;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.audiofile.WavSource;
import org.whinograph.band.BandLevel;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.CalibrationRequest;
import org.whinograph.calibration.Calibrator;
import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.MeasurementPlan;
import org.whinograph.measurement.Measurer;
import org.whinograph.quantity.Reading;
import org.whinograph.rehearsal.DeviceTruth;
import org.whinograph.rehearsal.SampleDevices;
import org.whinograph.rehearsal.TruthFile;
import org.whinograph.tone.Tone;

/**
 * The whole chain on the files of {@code samples}: from the calibrator's tone to pascals, then
 * levels, bands and tones, against the analytic truth beside each file.
 *
 * <p>The seeds are fixed, so each deviation is fixed too; what it may be follows from the
 * statistics of the noise: 4.34/√(B·T) dB for a band of width B, four of those.
 */
class SamplesTest {
  private static final Path SAMPLES = Path.of("samples");

  /** Sum over the A-weighted, C-weighted and whole spectrum: their noise is worth few hertz. */
  private static final double LEVEL_LIMIT_DB = 0.1;

  private static CalibrationRecord calibration;

  @BeforeAll
  static void calibrate() throws Exception {
    calibration = calibrationAt(SampleDevices.CALIBRATOR_DB);
  }

  private static CalibrationRecord calibrationAt(double levelDb) throws Exception {
    Clock clock = Clock.fixed(Instant.parse("2026-03-01T20:00:00Z"), ZoneOffset.UTC);
    try (WavSource source = WavSource.open(SAMPLES.resolve("calibrator-94db.wav"), 1)) {
      return new Calibrator(clock)
          .calibrate(source, CalibrationRequest.of(levelDb, 1000))
          .calibration();
    }
  }

  private static Measurement measure(String name, CalibrationRecord with) throws Exception {
    try (WavSource source = WavSource.open(SAMPLES.resolve(name + ".wav"), 1)) {
      return new Measurer(MeasurementPlan.whole(with, "microphone.json")).measure(source);
    }
  }

  private static DeviceTruth truth(String name) throws Exception {
    return TruthFile.read(SAMPLES.resolve(name + ".truth.json"));
  }

  /** Handling noise at both ends is left out, so the tone gives back full scale to a millibel. */
  @Test
  void calibratorGivesFullScale() {
    assertEquals(SampleDevices.LEVEL_AT_FULL_SCALE_DB, calibration.levelAtFullScaleDb(), 0.001);
    assertEquals(1000, calibration.frequencyHz(), 1e-4);
    assertTrue(calibration.toneS() > 7);
    assertEquals(0.006, calibration.distortionPlusNoise(), 0.0005);
  }

  @ParameterizedTest
  @ValueSource(strings = {"background", "handheld-30mm", "mini-pc-blower", "projector-pair"})
  void levelsAndBandsAreTrue(String name) throws Exception {
    Measurement measurement = measure(name, calibration);
    DeviceTruth truth = truth(name);
    VerificationReport report =
        new VerificationReport(
            "samples-" + name,
            "Sample " + name + ": levels and one-third octaves",
            "analytic truth of the sample; limits for tones near an edge: IEC 61260-1:2014, class 1",
            "quantity",
            "truth low [dB]",
            "truth high [dB]",
            "measured [dB]",
            "allowed beyond [dB]");
    Check check = new Check(report);
    check.level("L_Aeq", truth.levels().laeqDb(), measurement.levels().laeq(), LEVEL_LIMIT_DB);
    // Below 100 Hz the room is loudest, and few hertz carry all of it.
    check.level("L_Ceq", truth.levels().lceqDb(), measurement.levels().lceq(), 0.2);
    check.level("L_Zeq", truth.levels().lzeqDb(), measurement.levels().lzeq(), 0.35);
    List<BandLevel> bands = measurement.bands().thirdOctaves();
    assertEquals(truth.thirdOctaves().size(), bands.size());
    for (int i = 0; i < bands.size(); i++) {
      DeviceTruth.Band band = truth.thirdOctaves().get(i);
      assertEquals(band.nominalHz(), bands.get(i).nominalHz());
      double width = band.midbandHz() * 0.2308;
      // The ramp's noise comes from the louder half of it.
      double effectiveS = name.startsWith("handheld") ? truth.durationS() / 2 : truth.durationS();
      check.within(
          band.nominalHz() + " Hz",
          band.lowDb(),
          band.highDb(),
          bands.get(i).level(),
          0.03 + 4 * 4.34 / Math.sqrt(width * effectiveS));
    }
    check.saveAndAssert();
  }

  /**
   * Tones of steady devices that are the strongest of their critical band: ratios after ECMA-418-1,
   * frequency, level. What noise does to a tone of C/N₀ in T seconds: 8.69/√(2·C/N₀·T) dB.
   */
  @ParameterizedTest
  @ValueSource(strings = {"mini-pc-blower", "projector-pair"})
  void tonesAreTrue(String name) throws Exception {
    Measurement measurement = measure(name, calibration);
    DeviceTruth truth = truth(name);
    VerificationReport report =
        new VerificationReport(
            "samples-" + name + "-tones",
            "Sample " + name + ": tones",
            "analytic truth of the sample; ratios after ECMA-418-1",
            "quantity",
            "truth low [dB]",
            "truth high [dB]",
            "measured [dB]",
            "allowed beyond [dB]");
    Check check = new Check(report);
    int rated = 0;
    for (DeviceTruth.Tone tone : truth.tones()) {
      if (tone.toneToNoiseDb() == null || tone.toneToNoiseDb() < -1) {
        continue;
      }
      rated++;
      Tone found = nearest(measurement, tone.frequencyHz());
      String label = String.format(java.util.Locale.ROOT, "%.1f Hz", tone.frequencyHz());
      // A pair that beats is one tone between its lines.
      double spread = 1 + 0.001 * tone.frequencyHz();
      assertEquals(tone.frequencyHz(), found.frequencyHz(), spread, label);
      double carrier = Math.pow(10, (tone.levelDb() - tone.noiseDensityDb()) / 10);
      double limit = 0.06 + 4 * 8.69 / Math.sqrt(2 * carrier * truth.durationS());
      check.level(label + " ratio", tone.toneToNoiseDb(), found.toneToNoise(), limit);
      check.level(label + " prominence", tone.prominenceDb(), found.prominence(), limit + 0.05);
    }
    assertTrue(rated >= 2, "tones with a ratio: " + rated);
    check.saveAndAssert();
  }

  /** The verdicts that the README of the samples promises. */
  @Test
  void whinesAreProminentAndTheRestIsNot() throws Exception {
    Measurement miniPc = measure("mini-pc-blower", calibration);
    assertTrue(nearest(miniPc, 2577.8).prominent());
    assertEquals(30.0, nearest(miniPc, 2577.8).level().value(), 0.1);
    Tone electronic = nearest(miniPc, 9840);
    assertEquals(9840, electronic.frequencyHz(), 0.001);
    assertEquals(19.0, electronic.level().value(), 0.1);
    Measurement pair = measure("projector-pair", calibration);
    assertTrue(nearest(pair, 728.7).prominent());
    assertTrue(measure("background", calibration).tones().tones().isEmpty());
  }

  /** Negative control: 1 dB wrong on the calibrator is 1 dB wrong in every level, in no ratio. */
  @Test
  void wrongCalibratorLevelShowsInLevelsOnly() throws Exception {
    Measurement right = measure("mini-pc-blower", calibration);
    Measurement wrong = measure("mini-pc-blower", calibrationAt(SampleDevices.CALIBRATOR_DB + 1));
    assertEquals(1, wrong.levels().laeq().value() - right.levels().laeq().value(), 1e-9);
    assertEquals(
        nearest(right, 2577.8).toneToNoise().value(),
        nearest(wrong, 2577.8).toneToNoise().value(),
        1e-6);
  }

  private static Tone nearest(Measurement measurement, double frequencyHz) {
    Tone best = null;
    for (Tone tone : measurement.tones().tones()) {
      if (best == null
          || Math.abs(tone.frequencyHz() - frequencyHz)
              < Math.abs(best.frequencyHz() - frequencyHz)) {
        best = tone;
      }
    }
    assertNotNull(best, "no tone at all");
    return best;
  }

  /** Collects comparisons, so that all figures are written before the first failure. */
  private static final class Check {
    private final VerificationReport report;
    private final StringBuilder failures = new StringBuilder();

    Check(VerificationReport report) {
      this.report = report;
    }

    void level(String quantity, double truth, Reading measured, double limit) {
      within(quantity, truth, truth, measured, limit);
    }

    void within(String quantity, double low, double high, Reading measured, double beyond) {
      report.row(
          quantity, low, high, measured.known() ? measured.value() : measured.reason(), beyond);
      if (!measured.known()
          || measured.value() < low - beyond
          || measured.value() > high + beyond) {
        failures
            .append(quantity)
            .append(": ")
            .append(low)
            .append(" to ")
            .append(high)
            .append(" ± ")
            .append(beyond)
            .append(", measured ")
            .append(measured)
            .append('\n');
      }
    }

    void saveAndAssert() {
      report.save();
      assertTrue(failures.isEmpty(), failures.toString());
    }
  }
}
