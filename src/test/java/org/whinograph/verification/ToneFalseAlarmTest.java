package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.whinograph.tone.Tone;
import org.whinograph.tone.ToneFinder;
import org.whinograph.tone.ToneResult;
import org.whinograph.tone.ToneSignals;

/**
 * Noise alone: no prominent tone, and false candidates no more often than the stated rate. The
 * colours are shaped from white noise; common practice, no source.
 */
class ToneFalseAlarmTest {
  private static final double RATE = 48_000;
  private static final int SEEDS = 40;

  @Test
  void noiseHasNoTones() {
    VerificationReport report =
        new VerificationReport(
            "tone-false-alarms",
            "Candidates in noise alone",
            "stated rate " + ToneFinder.FALSE_ALARM_RATE + " a recording of Gaussian noise",
            "colour",
            "length [s]",
            "recordings",
            "candidates",
            "prominent");
    int candidates = 0;
    int prominent = 0;
    int recordings = 0;
    for (String colour : new String[] {"white", "pink", "brown"}) {
      for (double seconds : new double[] {2.0, 12.0}) {
        int found = 0;
        int loud = 0;
        for (int seed = 0; seed < SEEDS; seed++) {
          double[] samples = ToneSignals.white(RATE, seconds, 30, 31 * seed + colour.hashCode());
          shape(samples, colour);
          ToneResult result = ToneSignals.analyse(samples, RATE);
          found += result.tones().size();
          for (Tone tone : result.tones()) {
            loud += Boolean.TRUE.equals(tone.prominent()) ? 1 : 0;
          }
        }
        report.row(colour, seconds, SEEDS, found, loud);
        candidates += found;
        prominent += loud;
        recordings += SEEDS;
      }
    }
    report.save();
    assertEquals(0, prominent);
    // 240 recordings at 1e-3 expect 0.24; more than 3 would come up once in 8000 such tests.
    assertEquals(240, recordings);
    assertTrue(candidates <= 3, "candidates " + candidates);
  }

  /** Pink: three poles and zeros, −3 dB an octave within 0.5 dB; brown: a leaky sum. */
  private static void shape(double[] samples, String colour) {
    if (colour.equals("white")) {
      return;
    }
    double a = 0.0;
    double b = 0.0;
    double c = 0.0;
    for (int i = 0; i < samples.length; i++) {
      double white = samples[i];
      if (colour.equals("pink")) {
        a = 0.99765 * a + white * 0.0990460;
        b = 0.96300 * b + white * 0.2965164;
        c = 0.57000 * c + white * 1.0526913;
        samples[i] = a + b + c + white * 0.1848;
      } else {
        a = 0.9999 * a + white;
        samples[i] = a;
      }
    }
  }
}
