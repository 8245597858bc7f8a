package org.whinograph.rehearsal;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.whinograph.quantity.Decibels;

/**
 * Works out the truth of a device: the densities of its noise filters integrated, its lines
 * averaged along its motion. Used once; not safe for use by several threads.
 */
public final class TruthMaker {
  private static final double[] NOMINAL = {
    20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250,
    1600, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10_000, 12_500, 16_000, 20_000
  };

  /** 10 lg of the midband frequency of the first band: 10^1.3 Hz. */
  private static final int FIRST_BAND = 13;

  /** Half a one-third octave and half an octave, in tenths of a decade. */
  private static final double HALF_THIRD_OCTAVE = 0.5;

  private static final double HALF_OCTAVE = 1.5;
  private static final double STEADY_FREQUENCY = 0.002;
  private static final double STEADY_LEVEL_DB = 0.5;
  private static final double TRACK_INTERVAL_S = 0.1;

  /** Range of the ratios (ECMA-418-1, clause 1): the one-third octaves 100 Hz to 10 kHz [Hz]. */
  private static final double LOWEST_RATED_HZ = 89.1;

  private static final double HIGHEST_RATED_HZ = 11_220;

  /** Control points that are looked at, at most; a longer device is looked at more rarely. */
  private static final long MOST_POINTS = 400_000;

  private final Device device;
  private final long seed;
  private final int lineCount;
  private final double[] meanSquare;
  private final double[] aMeanSquare;
  private final double[] cMeanSquare;
  private final double[] frequencySum;
  private final double[] lowHz;
  private final double[] highHz;
  private final double[] least;
  private final double[] greatest;
  private final BandLines thirdOctaveLines = new BandLines(3, HALF_THIRD_OCTAVE);
  private final BandLines octaveLines = new BandLines(1, HALF_OCTAVE);
  private final double[] fanPower;
  private final double[] lowRpm;
  private final double[] highRpm;
  private PowerDensity deviceNoise;
  private PowerDensity backgroundNoise;
  private PowerDensity noise;

  private TruthMaker(Device device, long seed) {
    this.device = device;
    this.seed = seed;
    lineCount = device.lines().size();
    meanSquare = new double[lineCount];
    aMeanSquare = new double[lineCount];
    cMeanSquare = new double[lineCount];
    frequencySum = new double[lineCount];
    lowHz = filled(lineCount, Double.POSITIVE_INFINITY);
    highHz = filled(lineCount, Double.NEGATIVE_INFINITY);
    least = filled(lineCount, Double.POSITIVE_INFINITY);
    greatest = new double[lineCount];
    int fans = device.fans().size();
    fanPower = new double[fans];
    lowRpm = filled(fans, Double.POSITIVE_INFINITY);
    highRpm = new double[fans];
  }

  /**
   * The truth of a device.
   *
   * @param device the device
   * @param seed seed of the device
   * @return what there is to find
   */
  public static DeviceTruth of(Device device, long seed) {
    return new TruthMaker(device, seed).make();
  }

  private DeviceTruth make() {
    move();
    sumNoises();
    return new DeviceTruth(
        "whinograph-truth",
        1,
        device.name(),
        device.description(),
        seed,
        device.sampleRateHz(),
        device.quantisation().bits(),
        device.durationS(),
        device.levelAtFullScaleDb(),
        levels(),
        bands(octaveLines),
        bands(thirdOctaveLines),
        tones(),
        fans());
  }

  /** Follows the device and averages its lines. */
  private void move() {
    DeviceMotion motion = new DeviceMotion(device, seed);
    long points = Math.max(1, device.frames() / DeviceMotion.STEP);
    long stride = 1 + points / MOST_POINTS;
    long looked = (points + stride - 1) / stride;
    for (long point = 0; point < points; point++) {
      if (point > 0) {
        motion.advance();
      }
      if (point % stride == 0) {
        look(motion, 1.0 / looked);
      }
    }
  }

  private void look(DeviceMotion motion, double share) {
    for (int i = 0; i < fanPower.length; i++) {
      fanPower[i] += motion.fanPower(i) * share;
      lowRpm[i] = Math.min(lowRpm[i], motion.revolutionsPerS(i) * 60);
      highRpm[i] = Math.max(highRpm[i], motion.revolutionsPerS(i) * 60);
    }
    for (int i = 0; i < lineCount; i++) {
      double power = motion.lineMeanSquare(i);
      least[i] = Math.min(least[i], power);
      greatest[i] = Math.max(greatest[i], power);
      double frequency = Math.abs(motion.lineFrequencyHz(i));
      if (power <= 0 || frequency <= 0) {
        continue;
      }
      double energy = power * share;
      meanSquare[i] += energy;
      aMeanSquare[i] += energy * AnalyticWeighting.a(frequency);
      cMeanSquare[i] += energy * AnalyticWeighting.c(frequency);
      frequencySum[i] += energy * frequency;
      lowHz[i] = Math.min(lowHz[i], frequency);
      highHz[i] = Math.max(highHz[i], frequency);
      double place = 10 * StrictMath.log10(frequency) - FIRST_BAND;
      thirdOctaveLines.add(place, energy);
      octaveLines.add(place, energy);
    }
  }

  /** Energy of the lines in each band: with ideal edges, and as class 1 filters may pass it. */
  private static final class BandLines {
    private final double half;
    private final FilterLimits limits;
    private final double[] ideal = new double[NOMINAL.length];
    private final double[] least = new double[NOMINAL.length];
    private final double[] most = new double[NOMINAL.length];

    BandLines(int fraction, double half) {
      this.half = half;
      this.limits = new FilterLimits(fraction);
    }

    void add(double place, double energy) {
      int first = (int) Math.max(0, Math.ceil(place - 10 * FilterLimits.REACH));
      int last = (int) Math.min(ideal.length - 1, Math.floor(place + 10 * FilterLimits.REACH));
      for (int i = first; i <= last; i++) {
        double distance = Math.abs(place - i);
        ideal[i] += distance <= half ? energy : 0;
        least[i] += energy * limits.least(distance / 10);
        most[i] += energy * limits.most(distance / 10);
      }
    }
  }

  private void sumNoises() {
    double spacing = device.sampleRateHz() / NoiseFilter.GRID;
    DeviceNoise noises = new DeviceNoise(device);
    PowerDensity silence = new PowerDensity(new double[NoiseFilter.GRID / 2 + 1], spacing);
    deviceNoise = silence;
    for (int i = 0; i < fanPower.length; i++) {
      deviceNoise = added(deviceNoise, noises.fan(i), fanPower[i]);
    }
    backgroundNoise = added(silence, noises.stationary(), 1);
    for (int i = 0; i < device.bursts().size(); i++) {
      backgroundNoise = added(backgroundNoise, noises.burst(i), burstPower(i));
    }
    double rounding =
        device.quantisation().errorMeanSquare()
            * 2
            * Decibels.toEnergyRatio(device.levelAtFullScaleDb())
            / (device.sampleRateHz() / 2);
    backgroundNoise =
        backgroundNoise.plus(
            new PowerDensity(filled(NoiseFilter.GRID / 2 + 1, rounding), spacing), 1);
    if (!device.response().isFlat()) {
      deviceNoise = deviceNoise.times(f -> 1 / device.response().powerGain(f));
      backgroundNoise = backgroundNoise.times(f -> 1 / device.response().powerGain(f));
    }
    noise = deviceNoise.plus(backgroundNoise, 1);
  }

  private PowerDensity added(PowerDensity sum, NoiseFilter filter, double factor) {
    return filter == null
        ? sum
        : sum.plus(
            new PowerDensity(filter.density(), device.sampleRateHz() / NoiseFilter.GRID), factor);
  }

  private double burstPower(int index) {
    NoiseBurst burst = device.bursts().get(index);
    double sum = 0;
    int steps = 100_000;
    for (int i = 0; i < steps; i++) {
      double gain = burst.gain(device.durationS() * (i + 0.5) / steps);
      sum += gain * gain;
    }
    return sum / steps;
  }

  private DeviceTruth.Levels levels() {
    double aDevice = deviceNoise.times(AnalyticWeighting::a).total() + sum(aMeanSquare);
    double aBackground = backgroundNoise.times(AnalyticWeighting::a).total();
    double c = noise.times(AnalyticWeighting::c).total() + sum(cMeanSquare);
    return new DeviceTruth.Levels(
        level(aDevice + aBackground),
        level(c),
        level(noise.total() + sum(meanSquare)),
        level(aDevice),
        level(aBackground));
  }

  private List<DeviceTruth.Band> bands(BandLines lines) {
    List<DeviceTruth.Band> bands = new ArrayList<>();
    double half = lines.half;
    for (int i = 0; i < NOMINAL.length; i++) {
      // Octaves stand on every third band from 31.5 Hz to 16 kHz.
      if (half == HALF_OCTAVE && i % 3 != 2) {
        continue;
      }
      double lower = StrictMath.pow(10, (FIRST_BAND + i - half) / 10);
      double upper = StrictMath.pow(10, (FIRST_BAND + i + half) / 10);
      if (upper > device.sampleRateHz() / 2) {
        continue;
      }
      double hiss = noise.between(lower, upper);
      bands.add(
          new DeviceTruth.Band(
              NOMINAL[i],
              StrictMath.pow(10, (FIRST_BAND + i) / 10.0),
              level(hiss + lines.ideal[i]),
              level(hiss + lines.least[i]),
              level(hiss + lines.most[i]),
              level(hiss),
              level(deviceNoise.between(lower, upper) + lines.ideal[i]),
              level(backgroundNoise.between(lower, upper))));
    }
    return bands;
  }

  private List<DeviceTruth.Tone> tones() {
    List<DeviceTruth.Tone> tones = new ArrayList<>();
    for (int i = 0; i < lineCount; i++) {
      Line line = device.lines().get(i);
      boolean turning = line.order() != 0;
      boolean sounds = meanSquare[i] > 0;
      double frequency = sounds ? frequencySum[i] / meanSquare[i] : 0;
      LineCause cause =
          turning && line.fan() > 0 && line.cause() != LineCause.DRIVE
              ? LineCause.SECOND_FAN
              : line.cause();
      boolean rated =
          frequency >= LOWEST_RATED_HZ
              && frequency <= HIGHEST_RATED_HZ
              && steady(i)
              && alone(i, frequency);
      tones.add(
          new DeviceTruth.Tone(
              cause.label(),
              turning ? line.fan() : null,
              turning ? line.order() : null,
              sounds ? frequency : null,
              sounds ? lowHz[i] : null,
              sounds ? highHz[i] : null,
              sounds && steady(i),
              level(meanSquare[i]),
              sounds ? level(noise.at(frequency)) : null,
              rated ? toneToNoise(i, frequency) : null,
              rated ? prominence(frequency) : null,
              DeviceSource.startPhaseTurns(seed, i)));
    }
    return tones;
  }

  private boolean steady(int line) {
    return least[line] > 0
        && highHz[line] - lowHz[line] <= STEADY_FREQUENCY * highHz[line]
        && Decibels.ofEnergyRatio(greatest[line] / least[line]) <= STEADY_LEVEL_DB;
  }

  /** Whether a line is the strongest of its critical band, with steady lines only around it. */
  private boolean alone(int line, double frequency) {
    CriticalBand band = CriticalBand.around(frequency);
    for (int i = 0; i < lineCount; i++) {
      if (i == line || meanSquare[i] <= 0) {
        continue;
      }
      boolean near = highHz[i] >= band.belowHz() && lowHz[i] <= band.aboveHz();
      boolean inside = band.contains(frequencySum[i] / meanSquare[i]);
      if ((near && !steady(i)) || (inside && meanSquare[i] > meanSquare[line])) {
        return false;
      }
    }
    return true;
  }

  private Double toneToNoise(int line, double frequency) {
    CriticalBand band = CriticalBand.around(frequency);
    double tone = meanSquare[line];
    for (int i = 0; i < lineCount; i++) {
      if (i != line && meanSquare[i] > 0) {
        double other = frequencySum[i] / meanSquare[i];
        if (band.contains(other) && CriticalBand.proximate(frequency, other)) {
          tone += meanSquare[i];
        }
      }
    }
    double masking = noise.between(band.lowerHz(), band.upperHz());
    return masking > 0 ? Decibels.ofEnergyRatio(tone / masking) : null;
  }

  private Double prominence(double frequency) {
    CriticalBand band = CriticalBand.around(frequency);
    double middle = power(band.lowerHz(), band.upperHz());
    double below = power(band.belowHz(), band.lowerHz());
    if (frequency <= 171.4) {
      below *= 100 / (band.lowerHz() - band.belowHz());
    }
    double beside = 0.5 * (below + power(band.upperHz(), band.aboveHz()));
    return beside > 0 ? Decibels.ofEnergyRatio(middle / beside) : null;
  }

  private double power(double fromHz, double toHz) {
    double power = noise.between(fromHz, toHz);
    for (int i = 0; i < lineCount; i++) {
      double frequency = meanSquare[i] > 0 ? frequencySum[i] / meanSquare[i] : 0;
      if (frequency > fromHz && frequency <= toHz) {
        power += meanSquare[i];
      }
    }
    return power;
  }

  private List<DeviceTruth.FanSpeed> fans() {
    List<DeviceTruth.FanSpeed> fans = new ArrayList<>();
    for (int i = 0; i < fanPower.length; i++) {
      SpeedTrack track = SpeedTrack.of(device, seed, i, TRACK_INTERVAL_S);
      double[] times = new double[track.rpm().length];
      for (int j = 0; j < times.length; j++) {
        times[j] = j * track.intervalS();
      }
      fans.add(
          new DeviceTruth.FanSpeed(
              device.fans().get(i).blades(),
              track.meanRpm(0, device.durationS()),
              lowRpm[i],
              highRpm[i],
              times,
              track.rpm()));
    }
    return fans;
  }

  private static Double level(double power) {
    return power > 0 ? Decibels.ofEnergyRatio(power) : null;
  }

  private static double sum(double[] values) {
    return Arrays.stream(values).sum();
  }

  private static double[] filled(int length, double value) {
    double[] values = new double[length];
    Arrays.fill(values, value);
    return values;
  }
}
