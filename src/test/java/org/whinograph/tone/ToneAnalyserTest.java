package org.whinograph.tone;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;
import org.whinograph.spectrum.Spectrum;

class ToneAnalyserTest {
  private static final double RATE = 8_000;

  private static double[] device(double seconds) {
    double[] samples = ToneSignals.white(RATE, seconds, 20, 4);
    ToneSignals.addTone(samples, RATE, 503.21, 50, 0.3);
    ToneSignals.addTone(samples, RATE, 1006.42, 48, 0.1);
    ToneSignals.addTone(samples, RATE, 1509.63, 46, 0.7);
    return samples;
  }

  @Test
  void sizeOfBlocksChangesNoBit() {
    // Long enough for the usual frames, and short enough for the shorter ones.
    for (double seconds : new double[] {9.0, 2.5}) {
      double[] samples = device(seconds);
      ToneAnalyser reference =
          ToneSignals.analyser(samples, RATE, LevelUnit.SOUND_PRESSURE, samples.length);
      for (int size : new int[] {1, 13, 4096, 65_536}) {
        ToneAnalyser other = ToneSignals.analyser(samples, RATE, LevelUnit.SOUND_PRESSURE, size);
        assertEquals(reference.result(), other.result());
        assertArrayEquals(reference.spectrum().meanSquare(), other.spectrum().meanSquare(), 0.0);
      }
    }
  }

  @Test
  void scalingMovesLevelsAndLeavesRatios() {
    double[] samples = device(9.0);
    ToneResult before = ToneSignals.analyse(samples, RATE);
    double gain = 3.7;
    for (int i = 0; i < samples.length; i++) {
      samples[i] *= gain;
    }
    ToneResult after = ToneSignals.analyse(samples, RATE);
    assertEquals(3, before.tones().size());
    assertEquals(3, after.tones().size());
    for (int i = 0; i < 3; i++) {
      Tone a = before.tones().get(i);
      Tone b = after.tones().get(i);
      assertEquals(20.0 * Math.log10(gain), b.level().value() - a.level().value(), 1e-9);
      assertEquals(a.frequencyHz(), b.frequencyHz(), 1e-9);
      assertEquals(a.toneToNoise().value(), b.toneToNoise().value(), 1e-9);
      assertEquals(a.prominence().value(), b.prominence().value(), 1e-9);
      assertEquals(a.tonalAudibility().value(), b.tonalAudibility().value(), 1e-9);
    }
  }

  @Test
  void linesAreFineEnoughAtEveryRate() {
    for (double rate : new double[] {8_000, 32_000, 44_100, 48_000, 88_200, 96_000, 192_000}) {
      double spacing = rate / ToneAnalyser.frameLength(rate);
      assertTrue(spacing <= 0.75 && spacing > 0.37, rate + " Hz: " + spacing);
    }
    assertEquals(65_536, ToneAnalyser.frameLength(48_000));
  }

  @Test
  void resultsAt96KilohertzAreTheSameTones() {
    double[] samples = ToneSignals.white(96_000, 8, 20, 4);
    ToneSignals.addTone(samples, 96_000, 503.21, 50, 0.3);
    Tone tone = ToneSignals.near(ToneSignals.analyse(samples, 96_000), 503.21);
    assertEquals(503.21, tone.frequencyHz(), 5 * tone.frequencyUncertaintyHz());
    assertEquals(50, tone.level().value(), 0.3);
  }

  @Test
  @Timeout(30)
  void ofVeryManyTonesTheStrongestAreGrouped() {
    // A sawtooth: harmonics of amplitude 1/n (Fourier series), each a tone without noise.
    double rate = 48_000.0;
    double[] samples = new double[(int) (9.0 * rate)];
    for (int n = 1; n <= 240; n++) {
      ToneSignals.addTone(samples, rate, n * 92.0, 70.0 - 20.0 * Math.log10(n), 0.0);
    }
    ToneResult result = ToneSignals.analyse(samples, rate);
    assertTrue(result.tones().size() > 210, result.tones().size() + " tones");
    assertEquals(100, ToneSignals.near(result, 100 * 92.0).harmonic().number());
    long grouped = result.tones().stream().filter(tone -> tone.harmonic() != null).count();
    assertTrue(grouped >= 120 && grouped <= 200, grouped + " grouped");
    Tone faintest = result.tones().get(result.tones().size() - 1);
    assertNull(faintest.harmonic());
  }

  @Test
  void silenceHasNoTonesAndSaysWhy() {
    ToneResult result = ToneSignals.analyse(new double[80_000], RATE);
    assertTrue(result.tones().isEmpty());
    assertFalse(result.totalToneToNoise().known());
    assertFalse(result.tonalAdjustment().known());
    assertTrue(has(result, "silence"));
  }

  @Test
  void silenceThenAToneGivesFiniteNumbers() {
    double[] samples = new double[80_000];
    ToneSignals.addTone(samples, RATE, 500, 60, 0.0);
    ToneResult result = ToneSignals.analyse(samples, RATE);
    for (Tone tone : result.tones()) {
      assertTrue(Double.isFinite(tone.frequencyHz()));
      assertTrue(Double.isFinite(tone.frequencyUncertaintyHz()));
      assertEquals(60, tone.level().value(), 1.0);
      assertEquals(500, tone.frequencyHz(), 0.01);
    }
  }

  @Test
  void shortRecordingsHaveALowerLimit() {
    ToneResult result = ToneSignals.analyse(device(1.5), RATE);
    assertTrue(has(result, "short-recording"));
    assertTrue(result.lineSpacingHz() > 0.9);
    Tone tone = ToneSignals.near(result, 503.21);
    assertNotNull(tone);
    assertEquals(503.21, tone.frequencyHz(), 4 * tone.frequencyUncertaintyHz());
    // Lines 1.95 Hz apart are more than 1 % of 150 Hz.
    double[] samples = ToneSignals.white(RATE, 1.5, 20, 4);
    ToneSignals.addTone(samples, RATE, 150, 60, 0.3);
    Tone low = ToneSignals.near(ToneSignals.analyse(samples, RATE), 150);
    assertNull(low.prominent());
    assertFalse(low.toneToNoiseLimit().known());
    assertTrue(low.toneToNoise().known());
  }

  @Test
  void tooShortOrNothingAtAllHasNoSpectrum() {
    for (int length : new int[] {0, 100, 7_999}) {
      ToneAnalyser analyser =
          ToneSignals.analyser(device(1.0), RATE, LevelUnit.SOUND_PRESSURE, 8_000);
      if (length < 8_000) {
        analyser = new ToneAnalyser(RATE, LevelUnit.SOUND_PRESSURE);
        analyser.accept(SampleBlock.of(device(1.0), length, RATE, 0));
      }
      assertNull(analyser.spectrum());
      ToneResult result = analyser.result();
      assertTrue(has(result, "no-spectrum"));
      assertTrue(result.tones().isEmpty());
      assertFalse(result.totalProminence().known());
    }
    assertNotNull(
        ToneSignals.analyser(device(1.0), RATE, LevelUnit.SOUND_PRESSURE, 800).spectrum());
  }

  @Test
  void framesWithLostSamplesAreLeftOut() {
    double[] samples = device(30.0);
    // Loud rubbish where samples were lost: it must not reach the spectrum.
    java.util.Arrays.fill(samples, 100_000, 100_500, 10.0);
    ToneAnalyser analyser = new ToneAnalyser(RATE, LevelUnit.SOUND_PRESSURE);
    analyser.accept(
        new SampleBlock(
            samples, samples.length, RATE, 0, List.of(), List.of(new Span(100_000, 500))));
    ToneResult result = analyser.result();
    assertTrue(has(result, "frames-left-out"));
    assertEquals(3, result.tones().size());
    assertEquals(50, ToneSignals.near(result, 503.21).level().value(), 0.4);
    Tone tone = ToneSignals.near(result, 503.21);
    assertEquals(503.21, tone.frequencyHz(), 5 * tone.frequencyUncertaintyHz());
  }

  @Test
  void harmonicsAreGrouped() {
    ToneResult result = ToneSignals.analyse(device(20.0), RATE);
    for (int i = 0; i < 3; i++) {
      Tone.Harmonic harmonic = result.tones().get(i).harmonic();
      assertEquals(i + 1, harmonic.number());
      assertEquals(503.21, harmonic.fundamentalHz(), 0.002);
    }
  }

  @Test
  void spectrumStatesItsScale() {
    ToneAnalyser analyser = ToneSignals.analyser(device(9.0), RATE, LevelUnit.SOUND_PRESSURE, 4096);
    Spectrum spectrum = analyser.spectrum();
    assertEquals(1.5, spectrum.noiseBandwidthLines(), 1e-12);
    double density = ToneRatios.bandMeanSquare(spectrum, 2_000, 3_000) / 1_000 / Math.pow(20e-6, 2);
    assertEquals(20, 10 * Math.log10(density), 0.2);
  }

  @Test
  void refusesALowRate() {
    assertThrows(
        IllegalArgumentException.class, () -> new ToneAnalyser(7_999, LevelUnit.FULL_SCALE));
    assertThrows(
        IllegalArgumentException.class, () -> new ToneAnalyser(Double.NaN, LevelUnit.FULL_SCALE));
  }

  private static boolean has(ToneResult result, String code) {
    return result.warnings().stream().anyMatch(warning -> warning.code().equals(code));
  }
}
