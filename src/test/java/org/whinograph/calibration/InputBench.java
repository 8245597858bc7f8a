package org.whinograph.calibration;

import java.util.Random;
import org.whinograph.signal.RealTransform;

/**
 * Simulated inputs: a guided recording (calibrator on, off, on, off) as a clean input gives it, and
 * what processing by a computer makes of it. Deterministic.
 */
public final class InputBench {
  public static final double RATE = 48_000;

  public double[] samples;
  private final double toneAmplitude;

  private InputBench(double[] samples, double toneAmplitude) {
    this.samples = samples;
    this.toneAmplitude = toneAmplitude;
  }

  /**
   * A clean input: tone 4 s, off 4 s, on 4 s, off 4.5 s; a microphone's noise of a random slope, a
   * room's rumble, hum, clicks and a little talk, handling noise when the calibrator is switched.
   */
  public static InputBench clean(long seed) {
    Random random = new Random(seed);
    double toneDb = -12 - 25 * random.nextDouble();
    double amplitude = Math.pow(10, toneDb / 20);
    double noise = amplitude * Math.pow(10, -(52 + 20 * random.nextDouble()) / 20);
    double calibratorNoise = amplitude * Math.pow(10, -(66 + 14 * random.nextDouble()) / 20);
    double hertz = 1000 * (1 + 0.003 * random.nextGaussian());
    double rise = random.nextBoolean() ? 0.03 : 0.15;
    double[] edges = {0.5 + random.nextDouble(), 5, 9 + random.nextDouble(), 13.5};
    double return1 = Math.pow(10, 0.05 * random.nextGaussian() / 20);
    ToneBench bench = new ToneBench(RATE, 18);
    bench.tone(hertz, amplitude, t -> on(t, edges, rise, return1));
    bench.tone(2 * hertz, 0.003 * amplitude, t -> on(t, edges, rise, return1));
    bench.noise(calibratorNoise, seed + 1, t -> on(t, edges, rise, 1));
    double pole = 0.3 + 0.5 * random.nextDouble();
    double[] coloured = new ToneBench(RATE, 18).noise(noise, seed + 2).samples;
    double state = 0;
    double rumble = 0;
    for (int i = 0; i < coloured.length; i++) {
      state = pole * state + (1 - pole) * coloured[i];
      rumble = 0.999 * rumble + 0.03 * coloured[i];
      bench.samples[i] += 0.5 * coloured[i] + state + 0.5 * rumble;
    }
    if (random.nextBoolean()) {
      bench.tone(50, 3 * noise).tone(150, noise);
    }
    for (double edge : edges) {
      bench.knock(edge - 0.1, amplitude * 0.3 * random.nextDouble(), seed + (long) (edge * 10));
    }
    for (int i = 0; i < 4; i++) {
      bench.knock(14 + 4 * random.nextDouble(), noise * 6 * random.nextDouble(), seed + 50 + i);
    }
    if (random.nextInt(3) == 0) {
      bench.tone(430, 4 * noise, t -> t > 15 && t < 15.6 ? Math.sin(Math.PI * (t - 15) / 0.6) : 0);
    }
    return new InputBench(bench.quantise(24).samples, amplitude);
  }

  private static double on(double t, double[] edges, double rise, double secondGain) {
    boolean second = t >= edges[2];
    double from = second ? edges[2] : edges[0];
    double to = second ? edges[3] : edges[1];
    if (t < from || t > to + 0.05) {
      return 0;
    }
    double fall = t < to ? 1 : 1 - (t - to) / 0.05;
    return (second ? secondGain : 1) * fall * (1 - Math.exp(-(t - from) / (rise / 5)));
  }

  /**
   * Automatic gain: the envelope beyond a target is held down by a part of its excess; attack and
   * release as exponentials.
   */
  public InputBench automaticGain(double depthDb, double attackS, double releaseS) {
    double envelope = 0;
    double attack = Math.exp(-1 / (attackS * RATE));
    double release = Math.exp(-1 / (releaseS * RATE));
    double loudest = 0;
    for (double x : samples) {
      loudest = Math.max(loudest, Math.abs(x));
    }
    double[] out = new double[samples.length];
    double gainDb = 0;
    for (int i = 0; i < samples.length; i++) {
      envelope = Math.max(Math.abs(samples[i]), envelope * Math.exp(-1 / (0.02 * RATE)));
      double aim = envelope > 0.1 * loudest ? -depthDb : 0;
      double way = aim < gainDb ? attack : release;
      gainDb = aim + way * (gainDb - aim);
      out[i] = samples[i] * Math.pow(10, gainDb / 20);
    }
    samples = out;
    return this;
  }

  /** A gate: sound below a threshold is turned down after a hold. */
  public InputBench gate(double depthDb, double holdS, double closeS) {
    double envelope = 0;
    double loudest = 0;
    for (double x : samples) {
      loudest = Math.max(loudest, Math.abs(x));
    }
    double open = Math.exp(-1 / (0.005 * RATE));
    double close = Math.exp(-1 / (closeS * RATE));
    double gainDb = 0;
    double held = 0;
    double[] out = new double[samples.length];
    for (int i = 0; i < samples.length; i++) {
      envelope = Math.max(Math.abs(samples[i]), envelope * Math.exp(-1 / (0.02 * RATE)));
      held = envelope > 0.1 * loudest ? holdS : held - 1 / RATE;
      double aim = held > 0 ? 0 : -depthDb;
      gainDb = aim + (aim > gainDb ? open : close) * (gainDb - aim);
      out[i] = depthDb > 150 && gainDb < -100 ? 0 : samples[i] * Math.pow(10, gainDb / 20);
    }
    samples = out;
    return this;
  }

  /**
   * Spectral suppression: in frames of 21 ms each line's gain falls to a floor unless it stands out
   * of a running estimate of the noise.
   */
  public InputBench suppression(double depthDb, double adaptS) {
    int n = 1024;
    int hop = n / 2;
    RealTransform transform = new RealTransform(n);
    double[] out = new double[samples.length];
    double[] work = new double[n];
    double[] noise = new double[n / 2];
    double floor = Math.pow(10, -depthDb / 20);
    double keep = Math.exp(-hop / (adaptS * RATE));
    java.util.Arrays.fill(noise, 0);
    for (int from = 0; from + n <= samples.length; from += hop) {
      for (int i = 0; i < n; i++) {
        work[i] = samples[from + i] * Math.sin(Math.PI * (i + 0.5) / n);
      }
      transform.forward(work);
      work[1] = 0;
      for (int k = 1; k < n / 2; k++) {
        double power = work[2 * k] * work[2 * k] + work[2 * k + 1] * work[2 * k + 1];
        double gain = power > 4 * noise[k] ? 1 : floor;
        if (power < 100 * noise[k] || noise[k] == 0) {
          noise[k] = keep * noise[k] + (1 - keep) * power;
        } else {
          noise[k] *= 1 + (1 - keep) * 0.2;
        }
        work[2 * k] *= gain;
        work[2 * k + 1] *= gain;
      }
      transform.inverse(work);
      for (int i = 0; i < n; i++) {
        out[from + i] += work[i] * Math.sin(Math.PI * (i + 0.5) / n);
      }
    }
    samples = out;
    return this;
  }

  /** A wall at a frequency, in the whole spectrum at once. */
  public InputBench wall(double hertz) {
    int n = samples.length - samples.length % 2;
    RealTransform transform = new RealTransform(n);
    transform.forward(samples);
    for (int k = 1; k < n / 2; k++) {
      if (k * RATE / n > hertz) {
        samples[2 * k] = 0;
        samples[2 * k + 1] = 0;
      }
    }
    samples[1] = 0;
    transform.inverse(samples);
    return this;
  }

  /** A change of rate by straight lines between samples, to another rate and back. */
  public InputBench resampleBadly(double rate) {
    double[] low = linear(samples, RATE / rate, (int) (samples.length * rate / RATE) - 2);
    samples = linear(low, rate / RATE, (int) (low.length * RATE / rate) - 2);
    return this;
  }

  private static double[] linear(double[] from, double step, int length) {
    double[] out = new double[length];
    for (int i = 0; i < length; i++) {
      int at = (int) (i * step);
      double part = i * step - at;
      double next = at + 1 < from.length ? from[at + 1] : 0;
      out[i] = at < from.length ? from[at] + part * (next - from[at]) : 0;
    }
    return out;
  }

  /** Clips at a part of the tone's amplitude. */
  public InputBench clip(double part) {
    double limit = part * toneAmplitude;
    for (int i = 0; i < samples.length; i++) {
      samples[i] = Math.max(-limit, Math.min(limit, samples[i]));
    }
    return this;
  }

  public InputBench quantise(int bits) {
    double steps = Math.pow(2, bits - 1.0);
    for (int i = 0; i < samples.length; i++) {
      samples[i] = Math.rint(samples[i] * steps) / steps;
    }
    return this;
  }

  public InputBench offset(double value) {
    for (int i = 0; i < samples.length; i++) {
      samples[i] += value;
    }
    return this;
  }

  public ArraySource source() {
    return new ArraySource(quantise(24).samples, RATE);
  }
}
