package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.CriticalBands;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneAnalyser;
import org.whinograph.tone.ToneSignals;

/**
 * Frequency of a tone against the Cramér–Rao bound var f = 3/(2π² (C/N0) T³) for a tone of unknown
 * amplitude, phase and frequency in white noise (Rife and Boorstyn, IEEE Trans. Inf. Theory 20,
 * 1974, eq. 17, many samples); ratio and level over many recordings.
 */
class ToneFrequencyTest {
  private static final double RATE = 48_000;
  private static final int SEEDS = 50;

  private static final class Errors {
    private double sum;
    private double squares;
    private int count;

    void add(double error) {
      sum += error;
      squares += error * error;
      count++;
    }

    double mean() {
      return sum / count;
    }

    double rms() {
      return Math.sqrt(squares / count);
    }

    double deviation() {
      return Math.sqrt(Math.max(0.0, squares / count - mean() * mean()));
    }
  }

  /** At 30 s and a tone-to-noise ratio of 6 dB: at most 1 mHz, bias 0.05 dB, spread 0.15 dB. */
  @Test
  void sixDecibelsThirtySeconds() {
    VerificationReport report =
        new VerificationReport(
            "tone-frequency",
            "Frequency, ratio and level of tones at a tone-to-noise ratio of 6 dB, 30 s, 50 seeds",
            "Cramér–Rao bound (Rife, Boorstyn 1974); ECMA-418-1:2022, clause 11",
            "tone [Hz]",
            "rms error [mHz]",
            "bound [mHz]",
            "mean stated uncertainty [mHz]",
            "rms of error/uncertainty",
            "parabola rms error [mHz]",
            "ratio bias [dB]",
            "ratio spread [dB]",
            "level bias [dB]");
    double seconds = 30;
    for (double middle : new double[] {1000.0, 160.0}) {
      Errors frequency = new Errors();
      Errors normalised = new Errors();
      Errors stated = new Errors();
      Errors parabola = new Errors();
      Errors ratio = new Errors();
      Errors level = new Errors();
      double density = 10;
      for (int seed = 0; seed < SEEDS; seed++) {
        double f = middle + 0.0371 * seed;
        double tone = density + 6.0 + 10.0 * Math.log10(CriticalBands.widthHz(f));
        double[] samples = ToneSignals.white(RATE, seconds, density, 7000 + seed);
        ToneSignals.addTone(samples, RATE, f, tone, seed);
        ToneAnalyser analyser =
            ToneSignals.analyser(samples, RATE, LevelUnit.SOUND_PRESSURE, 48_000);
        Tone found = ToneSignals.near(analyser.result(), f);
        double error = found.frequencyHz() - f;
        frequency.add(error);
        normalised.add(error / found.frequencyUncertaintyHz());
        stated.add(found.frequencyUncertaintyHz());
        parabola.add(parabola(analyser.spectrum(), f) - f);
        ratio.add(found.toneToNoise().value() - 6.0);
        level.add(found.level().value() - tone);
      }
      double carrier = Math.pow(10.0, 0.6) * CriticalBands.widthHz(middle);
      double bound = Math.sqrt(3.0 / (2.0 * Math.PI * Math.PI * carrier * Math.pow(seconds, 3)));
      report.row(
          middle,
          1e3 * frequency.rms(),
          1e3 * bound,
          1e3 * stated.mean(),
          normalised.rms(),
          1e3 * parabola.rms(),
          ratio.mean(),
          ratio.deviation(),
          level.mean());
      report.save();
      assertTrue(frequency.rms() <= 1e-3, "rms " + frequency.rms());
      // Nobody beats the bound; 50 seeds know an rms to 10 %.
      assertTrue(frequency.rms() >= 0.7 * bound, "rms " + frequency.rms());
      assertTrue(frequency.rms() <= 1.6 * bound, "rms " + frequency.rms());
      assertEquals(1.0, normalised.rms(), 0.35);
      // Negative control: three lines and a parabola, without phase, miss by more than 1 mHz.
      assertTrue(parabola.rms() > 1e-3, "parabola " + parabola.rms());
      assertTrue(Math.abs(ratio.mean()) <= 0.05, "bias " + ratio.mean());
      assertTrue(ratio.deviation() <= 0.15, "spread " + ratio.deviation());
      assertTrue(Math.abs(level.mean()) <= 0.05, "level " + level.mean());
    }
  }

  private static double parabola(Spectrum spectrum, double near) {
    int k = (int) Math.rint(near / spectrum.lineSpacingHz());
    for (int d = -1; d <= 1; d++) {
      if (spectrum.meanSquare()[k + d] > spectrum.meanSquare()[k]) {
        k += d;
        break;
      }
    }
    double below = Math.log(spectrum.meanSquare()[k - 1]);
    double here = Math.log(spectrum.meanSquare()[k]);
    double above = Math.log(spectrum.meanSquare()[k + 1]);
    double offset = 0.5 * (below - above) / (below - 2.0 * here + above);
    return (k + offset) * spectrum.lineSpacingHz();
  }
}
