package org.whinograph.tone;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;

/** Tones computed without noise: what a tester tries first, and no floor to hold them against. */
class ComputedToneTest {
  private static final double RATE = 48_000;

  @ParameterizedTest
  @ValueSource(doubles = {100, 250, 997.3, 1000, 4000, 12_000})
  void oneToneWithoutNoiseIsFoundOnceAndWhole(double frequency) {
    List<Tone> tones = tones(5, new double[] {frequency}, new double[] {0.1});
    assertEquals(1, tones.size());
    assertEquals(frequency, tones.get(0).frequencyHz(), 1e-3);
    assertEquals(-20.0, tones.get(0).level().value(), 0.01);
  }

  @ParameterizedTest
  @ValueSource(doubles = {1100, 1700, 8000})
  void aWeakToneBesideAStrongOneIsFoundToo(double second) {
    List<Tone> tones = tones(20, new double[] {1000, second}, new double[] {0.1, 0.0001});
    assertEquals(2, tones.size());
    assertEquals(1000, tones.get(0).frequencyHz(), 1e-3);
    assertEquals(second, tones.get(1).frequencyHz(), 1e-3);
    assertEquals(-80.0, tones.get(1).level().value(), 0.05);
  }

  private static List<Tone> tones(double seconds, double[] frequencies, double[] amplitudes) {
    double[] samples = new double[(int) (seconds * RATE)];
    for (int i = 0; i < samples.length; i++) {
      for (int k = 0; k < frequencies.length; k++) {
        // To the precision of a float, as such files have.
        samples[i] += amplitudes[k] * Math.sin(2 * Math.PI * frequencies[k] * i / RATE);
      }
      samples[i] = (float) samples[i];
    }
    ToneAnalyser analyser = new ToneAnalyser(RATE, LevelUnit.FULL_SCALE);
    analyser.accept(SampleBlock.of(samples, samples.length, RATE, 0));
    return analyser.result().tones();
  }
}
