package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.whinograph.signal.SampleBlock;

/**
 * The sound of an invented fan in white noise, and the truth of its shaft. Levels of lines are
 * stated as carrier over the noise in 1 Hz [dB-Hz].
 */
final class SimulatedFan {
  private static final int TURNS_EVERY = 480;
  private static final double SLOWEST_HEARD_RPM = 60.0;

  private final int blades;
  private final double[] timesAndRpm;
  private final List<double[]> orders = new ArrayList<>();
  private final List<double[]> fixed = new ArrayList<>();
  private double swellOrder;
  private double swellDepth;
  private double jitter;
  private double jitterCornerHz = 0.5;
  private double rate = 48_000.0;
  private double[] samples;
  private double[] turns;

  SimulatedFan(int blades, double... timesAndRpm) {
    this.blades = blades;
    this.timesAndRpm = timesAndRpm;
  }

  /** Blade-pass lines 1, 2, 3 …; NaN leaves one out. */
  SimulatedFan bladePass(double... carrierDb) {
    for (int m = 0; m < carrierDb.length; m++) {
      if (!Double.isNaN(carrierDb[m])) {
        order((m + 1) * blades, carrierDb[m]);
      }
    }
    return this;
  }

  SimulatedFan order(int order, double carrierDb) {
    orders.add(new double[] {order, carrierDb});
    return this;
  }

  SimulatedFan fixed(double hz, double carrierDb) {
    fixed.add(new double[] {hz, carrierDb});
    return this;
  }

  /** Lets the noise swell and fade by a part of its amplitude with an order of the shaft. */
  SimulatedFan swell(double order, double depth) {
    swellOrder = order;
    swellDepth = depth;
    return this;
  }

  SimulatedFan jitter(double percent, double cornerHz) {
    jitter = percent / 100.0;
    jitterCornerHz = cornerHz;
    return this;
  }

  SimulatedFan rate(double hz) {
    rate = hz;
    return this;
  }

  /** Makes the sound: unit-variance noise, density 2/rate in 1 Hz. */
  SimulatedFan make(double seconds, long seed) {
    Random random = new Random(seed);
    int n = (int) (seconds * rate);
    samples = new double[n];
    turns = new double[n / TURNS_EVERY + 2];
    double density = 2.0 / rate;
    double[] amplitude = new double[orders.size()];
    double[] phase = new double[orders.size()];
    for (int i = 0; i < amplitude.length; i++) {
      amplitude[i] = Math.sqrt(2.0 * density * Math.pow(10.0, orders.get(i)[1] / 10.0));
      phase[i] = 2.0 * Math.PI * random.nextDouble();
    }
    // Ornstein-Uhlenbeck process: Gaussian noise through one pole.
    double keep = Math.exp(-2.0 * Math.PI * jitterCornerHz / rate);
    double push = jitter * Math.sqrt(1.0 - keep * keep);
    double deviation = jitter * random.nextGaussian();
    double turn = random.nextDouble();
    for (int i = 0; i < n; i++) {
      if (i % TURNS_EVERY == 0) {
        turns[i / TURNS_EVERY] = turn;
      }
      double x = random.nextGaussian();
      x *= 1.0 + swellDepth * Math.cos(2.0 * Math.PI * (swellOrder * turn % 1.0));
      double rpm = nominalRpm(i / rate);
      deviation = keep * deviation + push * random.nextGaussian();
      double hz = rpm / 60.0 * (1.0 + deviation);
      turn += hz / rate;
      if (rpm > SLOWEST_HEARD_RPM) {
        for (int l = 0; l < amplitude.length; l++) {
          double order = orders.get(l)[0];
          if (order * hz < 0.5 * rate) {
            x += amplitude[l] * Math.cos(2.0 * Math.PI * (order * turn % 1.0) + phase[l]);
          }
        }
      }
      samples[i] = x;
    }
    for (double[] line : fixed) {
      double level = Math.sqrt(2.0 * density * Math.pow(10.0, line[1] / 10.0));
      double start = 2.0 * Math.PI * random.nextDouble();
      for (int i = 0; i < n; i++) {
        samples[i] += level * Math.cos(2.0 * Math.PI * (line[0] * i / rate % 1.0) + start);
      }
    }
    return this;
  }

  int blades() {
    return blades;
  }

  double[] samples() {
    return samples;
  }

  double rate() {
    return rate;
  }

  double nominalRpm(double t) {
    if (timesAndRpm.length == 0) {
      return 0.0;
    }
    if (t <= timesAndRpm[0]) {
      return timesAndRpm[1];
    }
    for (int i = 2; i < timesAndRpm.length; i += 2) {
      if (t < timesAndRpm[i]) {
        double share = (t - timesAndRpm[i - 2]) / (timesAndRpm[i] - timesAndRpm[i - 2]);
        return timesAndRpm[i - 1] + share * (timesAndRpm[i + 1] - timesAndRpm[i - 1]);
      }
    }
    return timesAndRpm[timesAndRpm.length - 1];
  }

  /** Mean speed over a frame [1/min]. */
  double meanRpm(double middleS, double lengthS) {
    return 60.0 * (turnsAt(middleS + lengthS / 2) - turnsAt(middleS - lengthS / 2)) / lengthS;
  }

  private double turnsAt(double t) {
    double place = t * rate / TURNS_EVERY;
    int last = (samples.length - 1) / TURNS_EVERY;
    int i = Math.max(0, Math.min(last - 1, (int) Math.floor(place)));
    return turns[i] + (place - i) * (turns[i + 1] - turns[i]);
  }

  /** Runs the analyser over the sound. */
  SpeedResult analyse(SpeedHints hints, int blockSize) {
    SpeedAnalyser analyser = new SpeedAnalyser(rate, hints);
    for (int p = 0; p < samples.length; p += blockSize) {
      int n = Math.min(blockSize, samples.length - p);
      analyser.accept(SampleBlock.of(Arrays.copyOfRange(samples, p, p + n), n, rate, p));
    }
    return analyser.result();
  }
}
