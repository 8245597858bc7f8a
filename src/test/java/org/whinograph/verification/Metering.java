package org.whinograph.verification;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.whinograph.level.LevelMeter;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;

/** Signals for the level meter, and a meter read at their end. */
public final class Metering {
  /** Sample rates that sound cards offer, and two that they don't [Hz]. */
  public static final List<Double> RATES_HZ =
      List.of(32e3, 37.8e3, 44.1e3, 48e3, 88.2e3, 96e3, 176.4e3, 192e3);

  private Metering() {}

  /** Levels of a recording re full scale, fed in blocks of 4096 samples. */
  public static LevelResult levels(double[] samples, double sampleRateHz) {
    return meter(samples, sampleRateHz, 4096).result();
  }

  /** A meter that has taken a recording in blocks of a given length. */
  public static LevelMeter meter(double[] samples, double sampleRateHz, int blockLength) {
    LevelMeter meter = new LevelMeter(sampleRateHz, LevelUnit.FULL_SCALE);
    for (int at = 0; at < samples.length; at += blockLength) {
      int length = Math.min(blockLength, samples.length - at);
      double[] block = Arrays.copyOfRange(samples, at, at + length);
      meter.accept(SampleBlock.of(block, length, sampleRateHz, at));
    }
    return meter;
  }

  /** A sine from phase 0 [parts of full scale]. */
  public static double[] sine(
      double frequencyHz, double amplitude, double seconds, double sampleRateHz) {
    double[] samples = new double[(int) Math.round(seconds * sampleRateHz)];
    addBurst(samples, frequencyHz, amplitude, 0.0, seconds, sampleRateHz);
    return samples;
  }

  /** Adds a sine that starts at a zero crossing and lasts a while. */
  public static void addBurst(
      double[] samples,
      double frequencyHz,
      double amplitude,
      double startS,
      double lengthS,
      double sampleRateHz) {
    long from = Math.round(startS * sampleRateHz);
    long to = Math.min(samples.length, from + Math.round(lengthS * sampleRateHz));
    for (long i = from; i < to; i++) {
      samples[(int) i] +=
          amplitude * Math.sin(2 * Math.PI * frequencyHz * (i - from) / sampleRateHz);
    }
  }

  /** White Gaussian noise [parts of full scale]. */
  public static double[] noise(
      long seed, double standardDeviation, double seconds, double sampleRateHz) {
    Random random = new Random(seed);
    double[] samples = new double[(int) Math.round(seconds * sampleRateHz)];
    for (int i = 0; i < samples.length; i++) {
      samples[i] = standardDeviation * random.nextGaussian();
    }
    return samples;
  }
}
