package org.whinograph.rehearsal;

import org.whinograph.quantity.Decibels;

/**
 * What a device does, at control points {@value #STEP} samples apart: speeds, frequencies and
 * levels, all straight lines in between. The sound and the truth are both made from it, which is
 * why the truth is exact.
 *
 * <p>Steps forward only, in constant memory. Not safe for use by several threads.
 */
final class DeviceMotion {
  /** Samples between control points. */
  static final int STEP = 64;

  private static final long JITTER_STREAM = 1_000;

  /** Rise and fall of a line that starts or ends within the recording [s]. */
  private static final double EDGE_S = 0.02;

  /** Part of the reference speed below which a rotor's sound fades to nothing. */
  private static final double FADE = 0.05;

  private final Device device;
  private final long seed;
  private final double stepS;
  private final double[] jitter;
  private final double[] revolutionsPerS;
  private final double[] turns;
  private final double[] fanPower;
  private final double[] lineFrequencyHz;
  private final double[] lineMeanSquare;
  private double load;
  private long index;

  DeviceMotion(Device device, long seed) {
    this.device = device;
    this.seed = seed;
    this.stepS = STEP / device.sampleRateHz();
    int fans = device.fans().size();
    int lines = device.lines().size();
    jitter = new double[fans];
    revolutionsPerS = new double[fans];
    turns = new double[fans];
    fanPower = new double[fans];
    lineFrequencyHz = new double[lines];
    lineMeanSquare = new double[lines];
    for (int i = 0; i < fans; i++) {
      jitter[i] = Chance.normal(Chance.stream(seed, JITTER_STREAM + i), 0);
    }
    settle(0);
  }

  /** Goes on to the next control point. */
  void advance() {
    index++;
    for (int i = 0; i < jitter.length; i++) {
      SpeedProfile speed = device.fans().get(i).speed();
      if (speed.jitterPercent() > 0) {
        double keep = StrictMath.exp(-2 * Math.PI * speed.jitterCornerHz() * stepS);
        jitter[i] =
            keep * jitter[i]
                + Math.sqrt(1 - keep * keep)
                    * Chance.normal(Chance.stream(seed, JITTER_STREAM + i), index);
      }
    }
    settle(stepS);
  }

  private void settle(double sinceS) {
    double time = timeS();
    load = device.load().at(time);
    for (int i = 0; i < jitter.length; i++) {
      Fan fan = device.fans().get(i);
      SpeedProfile speed = fan.speed();
      double drift =
          speed.driftPercent() == 0
              ? 0
              : speed.driftPercent()
                  / 100
                  * StrictMath.sin(2 * Math.PI * time / speed.driftPeriodS());
      double before = revolutionsPerS[i];
      revolutionsPerS[i] =
          Math.max(
              0, speed.rpm().at(time) / 60 * (1 + drift + speed.jitterPercent() / 100 * jitter[i]));
      turns[i] += 0.5 * (before + revolutionsPerS[i]) * sinceS;
      fanPower[i] = rotorPower(i, fan.noiseSlopeDbPerDecade());
    }
    for (int i = 0; i < lineFrequencyHz.length; i++) {
      Line line = device.lines().get(i);
      boolean turning = line.order() != 0;
      double frequency =
          line.frequencyHz()
              + line.loadHz() * load
              + (turning ? line.order() * revolutionsPerS[line.fan()] : 0);
      lineFrequencyHz[i] = frequency;
      double power = Decibels.toEnergyRatio(line.levelDb() + line.loadDb() * load);
      if (turning) {
        power *= rotorPower(line.fan(), line.slopeDbPerDecade());
      }
      for (Resonance resonance : device.resonances()) {
        power *= resonance.powerGain(Math.abs(frequency));
      }
      double gate = Math.min(time - line.onS(), line.offS() - time) / EDGE_S;
      if (gate < 1) {
        power *= Math.max(0, gate) * Math.max(0, gate);
      }
      lineMeanSquare[i] = Math.abs(frequency) < device.sampleRateHz() / 2 ? power : 0;
    }
  }

  private double rotorPower(int fan, double slope) {
    double relative = revolutionsPerS[fan] * 60 / device.fans().get(fan).referenceRpm();
    if (relative <= 0) {
      return 0;
    }
    double fade = Math.min(1, relative / FADE);
    return fade * fade * StrictMath.pow(relative, slope / 10);
  }

  /** Time of the control point [s]. */
  double timeS() {
    return index * stepS;
  }

  /** Speed of a fan [1/s]. */
  double revolutionsPerS(int fan) {
    return revolutionsPerS[fan];
  }

  /** Revolutions of a fan since the start [1]. */
  double turns(int fan) {
    return turns[fan];
  }

  /** Power of a fan's noise relative to that at its reference speed [1]. */
  double fanPower(int fan) {
    return fanPower[fan];
  }

  /** Frequency of a line, which a sideband may have below zero [Hz]. */
  double lineFrequencyHz(int line) {
    return lineFrequencyHz[line];
  }

  /** Mean square of a line's sound pressure at the microphone [(20 µPa)²]. */
  double lineMeanSquare(int line) {
    return lineMeanSquare[line];
  }
}
