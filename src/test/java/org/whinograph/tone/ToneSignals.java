package org.whinograph.tone;

import java.util.SplittableRandom;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;

/** Test signals in pascals whose truth is known: tones in Gaussian noise of stated density. */
public final class ToneSignals {
  private static final double REFERENCE_PA = 20e-6;

  private ToneSignals() {}

  /** White Gaussian noise of a density in dB re (20 µPa)² per Hz. */
  public static double[] white(double sampleRateHz, double seconds, double densityDb, long seed) {
    SplittableRandom random = new SplittableRandom(seed);
    double deviation =
        REFERENCE_PA * Math.sqrt(Math.pow(10.0, densityDb / 10.0) * sampleRateHz / 2.0);
    double[] samples = new double[(int) Math.round(sampleRateHz * seconds)];
    for (int i = 0; i < samples.length; i++) {
      samples[i] = deviation * random.nextGaussian();
    }
    return samples;
  }

  /** Adds a steady tone of an rms level in dB re 20 µPa. */
  public static void addTone(
      double[] samples, double sampleRateHz, double frequencyHz, double levelDb, double phase) {
    double amplitude = Math.sqrt(2.0) * REFERENCE_PA * Math.pow(10.0, levelDb / 20.0);
    double step = 2.0 * Math.PI * frequencyHz / sampleRateHz;
    for (int i = 0; i < samples.length; i++) {
      samples[i] += amplitude * Math.sin(step * i + phase);
    }
  }

  /** Analyses samples in blocks of a size. */
  public static ToneAnalyser analyser(
      double[] samples, double sampleRateHz, LevelUnit unit, int blockSize) {
    ToneAnalyser analyser = new ToneAnalyser(sampleRateHz, unit);
    double[] buffer = new double[blockSize];
    for (int at = 0; at < samples.length; at += blockSize) {
      int count = Math.min(blockSize, samples.length - at);
      System.arraycopy(samples, at, buffer, 0, count);
      analyser.accept(SampleBlock.of(buffer, count, sampleRateHz, at));
    }
    return analyser;
  }

  /** The tones of samples in pascals. */
  public static ToneResult analyse(double[] samples, double sampleRateHz) {
    return analyser(samples, sampleRateHz, LevelUnit.SOUND_PRESSURE, 4800).result();
  }

  /** The tone nearest to a frequency, at most 1 Hz away, or null. */
  public static Tone near(ToneResult result, double frequencyHz) {
    Tone nearest = null;
    for (Tone tone : result.tones()) {
      double distance = Math.abs(tone.frequencyHz() - frequencyHz);
      if (distance <= 1.0
          && (nearest == null || distance < Math.abs(nearest.frequencyHz() - frequencyHz))) {
        nearest = tone;
      }
    }
    return nearest;
  }
}
