package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.whinograph.verification.ReferenceTable.number;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.spectrum.FrameStream;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.spectrum.SpectrumAverager;
import org.whinograph.spectrum.Window;
import org.whinograph.tone.CriticalBands;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneBand;
import org.whinograph.tone.ToneFinder;
import org.whinograph.tone.ToneRatios;
import org.whinograph.tone.ToneResult;
import org.whinograph.tone.ToneSignals;

/**
 * Tone-to-noise and prominence ratios of ECMA-418-1:2022, clauses 11 and 12, end to end: tones in
 * flat Gaussian noise of known density, whose ratios follow from the formulas alone.
 *
 * <p>Tolerance of one recording of 30 s: four standard deviations 4.34/√(BT) of the noise in the
 * narrowest band, and of the tone's energy in the noise beneath it, 8.69/√(2·C/N0·T).
 */
class EcmaToneRatioTest {
  private static final double RATE = 48_000;
  private static final double SECONDS = 30;

  /** Energy of the tone over the noise of the critical band, from the formulas. */
  private static double toneToNoise(double f, double levelDb, double densityDb) {
    return levelDb - densityDb - 10.0 * Math.log10(CriticalBands.widthHz(f));
  }

  private static double prominence(double f, double levelDb, double densityDb) {
    double tone = Math.pow(10.0, (levelDb - densityDb) / 10.0);
    double lowest = CriticalBands.lowerBandLowerEdgeHz(f);
    double lower = CriticalBands.lowerEdgeHz(f);
    double upper = CriticalBands.upperEdgeHz(f);
    double below = f <= 171.4 ? 100.0 : lower - lowest;
    double above = CriticalBands.upperBandUpperEdgeHz(f) - upper;
    return 10.0 * Math.log10((tone + upper - lower) / (0.5 * (below + above)));
  }

  private static double tolerance(double f, double levelDb, double densityDb) {
    double narrowest = Math.min(CriticalBands.widthHz(f), f <= 171.4 ? 30.0 : 100.0);
    double noise = 4.343 / Math.sqrt(narrowest * SECONDS);
    double carrier = Math.pow(10.0, (levelDb - densityDb) / 10.0);
    double tone = 8.686 / Math.sqrt(2.0 * carrier * SECONDS);
    return 4.0 * Math.hypot(noise, tone);
  }

  @Test
  void workedExamplesComeOut() {
    VerificationReport report =
        new VerificationReport(
            "ecma418-1-worked-examples",
            "Sinusoid in flat noise",
            "ECMA-418-1:2022, clauses 11, 12 (reference/ecma418-1/worked-examples.csv, computed)",
            "tone [Hz]",
            "tone-to-noise measured [dB]",
            "expected [dB]",
            "prominence measured [dB]",
            "expected [dB]");
    List<Map<String, String>> rows = ReferenceTable.read("ecma418-1/worked-examples.csv").rows();
    Tone[] measured = new Tone[rows.size()];
    for (int i = 0; i < measured.length; i++) {
      Map<String, String> row = rows.get(i);
      double f = number(row, "ft_Hz");
      double[] samples =
          ToneSignals.white(RATE, SECONDS, number(row, "noise_density_dB_per_Hz"), 100 + i);
      ToneSignals.addTone(samples, RATE, f, number(row, "tone_level_dB"), 0.4);
      measured[i] = ToneSignals.near(ToneSignals.analyse(samples, RATE), f);
      assertNotNull(measured[i]);
      report.row(
          f,
          measured[i].toneToNoise().value(),
          number(row, "TNR_dB"),
          measured[i].prominence().value(),
          number(row, "PR_dB"));
    }
    report.save();
    for (int i = 0; i < measured.length; i++) {
      Map<String, String> row = rows.get(i);
      double f = number(row, "ft_Hz");
      double level = number(row, "tone_level_dB");
      double tolerance = tolerance(f, level, number(row, "noise_density_dB_per_Hz"));
      assertEquals(number(row, "TNR_dB"), measured[i].toneToNoise().value(), tolerance);
      assertEquals(number(row, "PR_dB"), measured[i].prominence().value(), tolerance);
      assertEquals(number(row, "TNR_criterion_dB"), measured[i].toneToNoiseLimit().value(), 0.0006);
      assertEquals(number(row, "PR_criterion_dB"), measured[i].prominenceLimit().value(), 0.0006);
      assertEquals(level, measured[i].level().value(), tolerance);
      assertEquals(false, measured[i].prominent());
    }
  }

  @Test
  void gridOfTonesReadsItsTruth() {
    VerificationReport report =
        new VerificationReport(
            "ecma418-1-grid",
            "Tones in flat noise below, near and above the limit",
            "ECMA-418-1:2022, clauses 11, 12: ratios from the formulas, 20 dB/Hz, 30 s",
            "tone [Hz]",
            "level [dB]",
            "tone-to-noise measured [dB]",
            "expected [dB]",
            "prominence measured [dB]",
            "expected [dB]",
            "prominent");
    double density = 20.0;
    double[] grid = {
      75, 92.3, 100, 160, 250, 500.2, 1000, 1600.3, 2500, 4000, 9900, 11_100, 12_000
    };
    double[] offsets = {-2.0, 0.0, 2.0};
    List<Runnable> checks = new ArrayList<>();
    for (int i = 0; i < grid.length; i++) {
      double f = grid[i];
      for (int j = 0; j < offsets.length; j++) {
        double level =
            density
                + 10.0 * Math.log10(CriticalBands.widthHz(f))
                + CriticalBands.toneToNoiseLimitDb(f)
                + offsets[j];
        double[] samples = ToneSignals.white(RATE, SECONDS, density, 1000 + 10 * i + j);
        ToneSignals.addTone(samples, RATE, f, level, i + 0.1 * j);
        ToneResult result = ToneSignals.analyse(samples, RATE);
        Tone tone = ToneSignals.near(result, f);
        assertNotNull(tone);
        double ratio = toneToNoise(f, level, density);
        double prominence = prominence(f, level, density);
        report.row(
            f,
            level,
            tone.toneToNoise().orNull(),
            ratio,
            tone.prominence().orNull(),
            f < 89.1 ? "none" : (Object) prominence,
            tone.prominent());
        double tolerance = tolerance(f, level, density);
        double offset = offsets[j];
        checks.add(
            () -> {
              String at = f + " Hz " + offset + " dB";
              assertEquals(1, result.tones().size(), at);
              assertEquals(level, tone.level().value(), tolerance, at);
              assertEquals(ratio, tone.toneToNoise().value(), tolerance, at);
              if (f < CriticalBands.LOWEST_HZ || f > CriticalBands.HIGHEST_HZ) {
                assertNull(tone.prominent(), at);
                assertFalse(tone.toneToNoiseLimit().known(), at);
                assertFalse(tone.prominenceLimit().known(), at);
              } else {
                assertEquals(prominence, tone.prominence().value(), tolerance, at);
                double margin =
                    Math.max(
                        ratio - CriticalBands.toneToNoiseLimitDb(f),
                        prominence - CriticalBands.prominenceLimitDb(f));
                if (Math.abs(margin) > tolerance) {
                  assertEquals(margin > 0, tone.prominent(), at);
                }
              }
              assertEquals(true, tone.audible(), at);
              assertEquals(
                  f > 10_000,
                  result.warnings().stream().anyMatch(w -> w.code().equals("tones-above-10-khz")),
                  at);
            });
      }
    }
    report.save();
    checks.forEach(Runnable::run);
  }

  /** Clause 11: tones in one critical band, taken together or not. */
  @Test
  void pairsInOneCriticalBand() {
    double density = 20.0;
    // 10 Hz apart at 300 Hz: closer than 22.9 Hz. 50 Hz apart at 500 Hz: not closer than 33.5 Hz.
    // From 1000 Hz on always together.
    double[][] pairs = {{300, 310, 50, 47}, {500, 550, 50, 47}, {2000, 2100, 50, 48}};
    boolean[] together = {true, false, true};
    VerificationReport report =
        new VerificationReport(
            "ecma418-1-pairs",
            "Two tones in one critical band",
            "ECMA-418-1:2022, clause 11: ratios from the formulas, 20 dB/Hz, 30 s",
            "primary [Hz]",
            "secondary [Hz]",
            "primary measured [dB]",
            "expected [dB]",
            "secondary measured [dB]",
            "expected [dB]",
            "total measured [dB]",
            "expected [dB]");
    for (int i = 0; i < pairs.length; i++) {
      double[] pair = pairs[i];
      double[] samples = ToneSignals.white(RATE, SECONDS, density, 50 + i);
      ToneSignals.addTone(samples, RATE, pair[0], pair[2], 0.2);
      ToneSignals.addTone(samples, RATE, pair[1], pair[3], 1.2);
      ToneResult result = ToneSignals.analyse(samples, RATE);
      Tone primary = ToneSignals.near(result, pair[0]);
      Tone secondary = ToneSignals.near(result, pair[1]);
      double energy = together[i] ? Decibels.sum(pair[2], pair[3]) : pair[2];
      double expected = toneToNoise(pair[0], energy, density);
      double own = toneToNoise(pair[1], pair[3], density);
      // Taken together they count once in the total of ECMA TR/108.
      double total = together[i] ? expected : Decibels.sum(expected, own);
      report.row(
          pair[0],
          pair[1],
          primary.toneToNoise().value(),
          expected,
          secondary.toneToNoise().value(),
          own,
          result.totalToneToNoise().value(),
          total);
      report.save();
      assertEquals(expected, primary.toneToNoise().value(), 0.4);
      assertEquals(own, secondary.toneToNoise().value(), 0.4);
      assertEquals(total, result.totalToneToNoise().value(), 0.4);
    }
  }

  /** A tone 4 dB under the threshold of ISO 389-7 stands out of its noise and isn't prominent. */
  @Test
  void aToneUnderTheThresholdOfHearingIsNotProminent() {
    double[] samples = ToneSignals.white(RATE, SECONDS, -30.0, 7);
    ToneSignals.addTone(samples, RATE, 200, 10.4, 0.0);
    ToneSignals.addTone(samples, RATE, 400, 10.2, 0.0);
    ToneResult result = ToneSignals.analyse(samples, RATE);
    Tone under = ToneSignals.near(result, 200);
    assertTrue(under.toneToNoise().value() > under.toneToNoiseLimit().value());
    assertEquals(false, under.audible());
    assertEquals(false, under.prominent());
    Tone over = ToneSignals.near(result, 400);
    assertEquals(true, over.audible());
    assertEquals(true, over.prominent());
    // Only the audible one counts in the total.
    assertEquals(over.toneToNoise().value(), result.totalToneToNoise().value(), 1e-9);
    // The same samples without calibration: the ratios alone decide, and a warning says so.
    ToneResult uncalibrated =
        ToneSignals.analyser(samples, RATE, LevelUnit.FULL_SCALE, 4800).result();
    Tone unknown = ToneSignals.near(uncalibrated, 200);
    assertNull(unknown.audible());
    assertEquals(true, unknown.prominent());
    assertTrue(
        uncalibrated.warnings().stream().anyMatch(w -> w.code().equals("audibility-unknown")));
  }

  /**
   * A weak tone beside a strong one: the ratio of the bands is the strong one's, so it gives the
   * weak one no verdict.
   */
  @Test
  void aWeakToneDoesNotInheritTheProminenceOfAStrongOne() {
    double[] samples = ToneSignals.white(RATE, SECONDS, 20.0, 8);
    ToneSignals.addTone(samples, RATE, 1000.3, 80, 0.0);
    ToneSignals.addTone(samples, RATE, 1030, 36, 0.0);
    ToneResult result = ToneSignals.analyse(samples, RATE);
    assertEquals(2, result.tones().size());
    Tone weak = ToneSignals.near(result, 1030);
    assertEquals(false, weak.prominent());
    assertFalse(weak.prominence().known());
    assertEquals(true, ToneSignals.near(result, 1000.3).prominent());
  }

  /**
   * Negative controls: decibels averaged instead of energy put the noise 2.51 dB low and the ratio
   * as much too high; the peak line instead of the main lobe loses Hann's 1.42 dB between lines.
   */
  @Test
  void shortcutsWouldErrAsTheorySays() {
    int n = 65_536;
    double spacing = RATE / n;
    double f = 1365.5 * spacing;
    double[] samples = ToneSignals.white(RATE, 60, 20.0, 3);
    ToneSignals.addTone(samples, RATE, f, 50, 0.0);
    FrameStream stream = new FrameStream(Window.HANN, n, n / 2, 0);
    SpectrumAverager averager = new SpectrumAverager(Window.HANN, n, n / 2, RATE);
    stream.addListener(averager);
    double[] decibels = new double[n / 2 + 1];
    stream.addListener(
        (index, lines) -> {
          for (int k = 1; k < n / 2; k++) {
            decibels[k] +=
                Decibels.ofEnergyRatio(
                    lines[2 * k] * lines[2 * k] + lines[2 * k + 1] * lines[2 * k + 1]);
          }
        });
    stream.accept(SampleBlock.of(samples, samples.length, RATE, 0));
    Spectrum energy = averager.spectrum(LevelUnit.SOUND_PRESSURE);
    double[] wrong = new double[n / 2 + 1];
    for (int k = 1; k < n / 2; k++) {
      wrong[k] = Decibels.toEnergyRatio(decibels[k] / stream.frames());
    }
    Spectrum wrongSpectrum =
        new Spectrum(
            wrong,
            spacing,
            1.5,
            energy.frames(),
            energy.independentFrames(),
            LevelUnit.SOUND_PRESSURE);
    List<ToneBand> tones = ToneFinder.find(energy);
    assertEquals(1, tones.size());
    double right = ToneRatios.toneToNoise(energy, tones, 0).ratio().value();
    double high = ToneRatios.toneToNoise(wrongSpectrum, tones, 0).ratio().value();
    assertEquals(toneToNoise(f, 50, 20), right, 0.3);
    assertEquals(2.51, high - right, 0.1);
    double lobe = LevelUnit.SOUND_PRESSURE.levelOf(tones.get(0).meanSquare());
    double peakLine =
        LevelUnit.SOUND_PRESSURE.levelOf(
            Math.max(energy.meanSquare()[1365], energy.meanSquare()[1366]));
    assertEquals(50, lobe, 0.15);
    assertEquals(-1.42, peakLine - lobe, 0.1);
  }
}
