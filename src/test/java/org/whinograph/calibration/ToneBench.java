package org.whinograph.calibration;

import java.util.Random;
import java.util.function.DoubleUnaryOperator;

/** Makes calibrator recordings with known faults. Deterministic. */
public final class ToneBench {
  public final double rate;
  public final double[] samples;

  public ToneBench(double rate, double seconds) {
    this.rate = rate;
    this.samples = new double[(int) Math.round(rate * seconds)];
  }

  /** Adds a sine whose amplitude follows a gain over time [s]. */
  public ToneBench tone(double hz, double amplitude, DoubleUnaryOperator gain) {
    for (int i = 0; i < samples.length; i++) {
      double t = i / rate;
      double now = gain.applyAsDouble(t);
      if (now != 0) {
        samples[i] += amplitude * now * Math.sin(2 * Math.PI * hz * t + 0.3);
      }
    }
    return this;
  }

  public ToneBench tone(double hz, double amplitude) {
    return tone(hz, amplitude, t -> 1);
  }

  /** A sine that is there from one time to another [s]. */
  public ToneBench tone(double hz, double amplitude, double from, double to) {
    return tone(hz, amplitude, t -> t >= from && t < to ? 1 : 0);
  }

  /** Adds white Gaussian noise of an rms. */
  public ToneBench noise(double rms, long seed) {
    return noise(rms, seed, t -> 1);
  }

  public ToneBench noise(double rms, long seed, DoubleUnaryOperator gain) {
    Random random = new Random(seed);
    for (int i = 0; i < samples.length; i++) {
      samples[i] += rms * random.nextGaussian() * gain.applyAsDouble(i / rate);
    }
    return this;
  }

  /** Adds a knock: a burst of noise and a thump that die away. */
  public ToneBench knock(double at, double amplitude, long seed) {
    Random random = new Random(seed);
    for (int i = (int) (at * rate); i < samples.length && i < (at + 0.25) * rate; i++) {
      double t = i / rate - at;
      samples[i] +=
          amplitude
              * Math.exp(-t / 0.04)
              * (0.5 * random.nextGaussian() + Math.sin(2 * Math.PI * 35 * t));
    }
    return this;
  }

  /** Multiplies all by a gain over time. */
  public ToneBench gain(DoubleUnaryOperator gain) {
    for (int i = 0; i < samples.length; i++) {
      samples[i] *= gain.applyAsDouble(i / rate);
    }
    return this;
  }

  /** Adds a constant. */
  public ToneBench offset(double value) {
    for (int i = 0; i < samples.length; i++) {
      samples[i] += value;
    }
    return this;
  }

  /** Silences a stretch. */
  public ToneBench drop(double at, double seconds) {
    return gain(t -> t >= at && t < at + seconds ? 0 : 1);
  }

  /** Takes samples out and moves the rest up. */
  public ToneBench lose(double at, int count) {
    int from = (int) (at * rate);
    System.arraycopy(samples, from + count, samples, from, samples.length - from - count);
    return this;
  }

  public ToneBench clip(double limit) {
    for (int i = 0; i < samples.length; i++) {
      samples[i] = Math.max(-limit, Math.min(limit, samples[i]));
    }
    return this;
  }

  /** Rounds to a number of bits, without dither. */
  public ToneBench quantise(int bits) {
    double steps = Math.pow(2, bits - 1.0);
    for (int i = 0; i < samples.length; i++) {
      samples[i] = Math.max(-steps, Math.min(steps - 1, Math.rint(samples[i] * steps))) / steps;
    }
    return this;
  }

  public ArraySource source() {
    return new ArraySource(samples, rate);
  }
}
