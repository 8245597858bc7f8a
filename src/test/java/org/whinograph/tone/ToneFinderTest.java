package org.whinograph.tone;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Random;
import org.junit.jupiter.api.Test;

class ToneFinderTest {
  private static final double RATE = 16_000;

  private interface Path {
    double hertz(double seconds);
  }

  private static void addMoving(double[] samples, double levelDb, Path path) {
    double amplitude = Math.sqrt(2.0) * 20e-6 * Math.pow(10.0, levelDb / 20.0);
    double phase = 0.0;
    for (int i = 0; i < samples.length; i++) {
      samples[i] += amplitude * Math.sin(phase);
      phase += 2.0 * Math.PI * path.hertz(i / RATE) / RATE;
    }
  }

  @Test
  void sideLobesOfAStrongToneAreNoTones() {
    for (double f : new double[] {1000.0, 1000.2, 1000.366}) {
      double[] samples = ToneSignals.white(RATE, 30, 10, 3);
      ToneSignals.addTone(samples, RATE, f, 100, 0.3);
      ToneResult result = ToneSignals.analyse(samples, RATE);
      assertEquals(1, result.tones().size());
      assertEquals(100, result.tones().get(0).level().value(), 0.01);
      // 90 dB over the noise of the critical band less its 22.1 dB; its skirt must not fill it.
      assertEquals(67.9, result.tones().get(0).toneToNoise().value(), 1.0);
    }
  }

  @Test
  void aJitteringToneIsOneToneOfItsWholeEnergy() {
    Random random = new Random(4);
    double[] speed = new double[(int) (30 * RATE)];
    double decay = Math.exp(-1.0 / (0.2 * RATE));
    double value = 0.0;
    for (int i = 0; i < speed.length; i++) {
      value = decay * value + Math.sqrt(1.0 - decay * decay) * random.nextGaussian();
      speed[i] = value;
    }
    double[] samples = ToneSignals.white(RATE, 30, 20, 5);
    addMoving(
        samples,
        57,
        t -> 1000.2 * (1.0 + 2e-3 * speed[(int) Math.min(speed.length - 1, Math.round(t * RATE))]));
    ToneResult result = ToneSignals.analyse(samples, RATE);
    assertEquals(1, result.tones().size());
    Tone tone = result.tones().get(0);
    assertEquals(57, tone.level().value(), 0.15);
    assertEquals(1000.2, tone.frequencyHz(), 4 * tone.frequencyUncertaintyHz());
    assertTrue(tone.frequencyUncertaintyHz() > 0.1);
  }

  @Test
  void aSlowDriftWidensTheUncertainty() {
    double[] steady = ToneSignals.white(RATE, 30, 20, 5);
    addMoving(steady, 55, t -> 1000.2);
    double[] drifting = ToneSignals.white(RATE, 30, 20, 5);
    addMoving(drifting, 55, t -> 1000.0 + 0.01 * t);
    Tone still = ToneSignals.near(ToneSignals.analyse(steady, RATE), 1000.2);
    Tone moving = ToneSignals.near(ToneSignals.analyse(drifting, RATE), 1000.15);
    assertTrue(still.frequencyUncertaintyHz() < 2e-4);
    assertTrue(moving.frequencyUncertaintyHz() > 100 * still.frequencyUncertaintyHz());
    // The mean of the drift.
    assertEquals(1000.15, moving.frequencyHz(), 0.02);
    assertEquals(55, moving.level().value(), 0.1);
  }

  @Test
  void closeTonesStayApart() {
    double[] samples = ToneSignals.white(RATE, 30, 20, 6);
    ToneSignals.addTone(samples, RATE, 700.0, 55, 0.0);
    ToneSignals.addTone(samples, RATE, 704.0, 50, 0.0);
    ToneResult result = ToneSignals.analyse(samples, RATE);
    assertEquals(2, result.tones().size());
    assertEquals(55, ToneSignals.near(result, 700).level().value(), 0.1);
    assertEquals(50, ToneSignals.near(result, 704).level().value(), 0.1);
  }

  @Test
  void unsteadyNoiseAndBroadResonancesAreNoTones() {
    double[] bursts = ToneSignals.white(RATE, 30, 20, 7);
    for (int i = 0; i < bursts.length; i++) {
      bursts[i] *= (i / (int) RATE) % 10 < 3 ? 10.0 : 1.0;
    }
    assertEquals(0, ToneSignals.analyse(bursts, RATE).tones().size());
    double[] resonance = ToneSignals.white(RATE, 30, 20, 8);
    double radius = Math.exp(-Math.PI * 60.0 / RATE);
    double turn = 2.0 * radius * Math.cos(2.0 * Math.PI * 2000.0 / RATE);
    double first = 0.0;
    double second = 0.0;
    for (int i = 0; i < resonance.length; i++) {
      double y = turn * first - radius * radius * second + resonance[i];
      second = first;
      first = y;
      resonance[i] = y;
    }
    assertEquals(0, ToneSignals.analyse(resonance, RATE).tones().size());
  }

  @Test
  void aCombOfManyToneIsFoundWhole() {
    double[] samples = ToneSignals.white(RATE, 30, 20, 9);
    for (int n = 1; n <= 60; n++) {
      ToneSignals.addTone(samples, RATE, 20.37 * n, 45, n);
    }
    ToneResult result = ToneSignals.analyse(samples, RATE);
    assertEquals(60, result.tones().size());
    for (Tone tone : result.tones()) {
      assertEquals(Math.rint(tone.frequencyHz() / 20.37), tone.harmonic().number());
      assertEquals(20.37, tone.harmonic().fundamentalHz(), 1e-4);
    }
  }
}
