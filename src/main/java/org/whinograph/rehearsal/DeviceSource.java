package org.whinograph.rehearsal;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import org.whinograph.quantity.Decibels;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;
import org.whinograph.signal.Span;

/**
 * A device as the microphone hears it, sample by sample. The same device and seed give the same
 * samples, bit for bit and however they are read; memory is constant at any length. Not safe for
 * use by several threads.
 */
public final class DeviceSource implements SampleSource {
  private static final int CHUNK = NoiseStream.CHUNK;
  private static final int STEP = DeviceMotion.STEP;
  private static final long PHASE_STREAM = 2_000;
  private static final long STATIONARY_STREAM = 3_000;
  private static final long FAN_STREAM = 4_000;
  private static final long BURST_STREAM = 5_000;
  private static final long DITHER_STREAM = 6_000;

  private final Device device;
  private final long seed;
  private final DeviceMotion motion;
  private final NoiseStream stationary;
  private final NoiseStream[] fanNoise;
  private final double[][] noises;
  private final double[] fanGain;
  private final NoiseStream[] bursts;
  private final double[] phase;
  private final double[] amplitude;
  private final double[] frequency;
  private final double toFullScale;
  private final long ditherSeed;
  private final double[] chunk = new double[CHUNK];
  private final List<Span> clipped = new ArrayList<>();
  private double[] delivered = new double[0];
  private long chunkIndex = -1;
  private long position;

  /**
   * Sets a device up.
   *
   * @param device the device
   * @param seed seed of everything about it that is random
   */
  public DeviceSource(Device device, long seed) {
    this.device = device;
    this.seed = seed;
    this.motion = new DeviceMotion(device, seed);
    DeviceNoise noise = new DeviceNoise(device);
    NoiseFilter still = noise.stationary();
    stationary =
        still == null ? null : new NoiseStream(still, Chance.stream(seed, STATIONARY_STREAM));
    int fans = device.fans().size();
    fanNoise = new NoiseStream[fans];
    noises = new double[fans][];
    fanGain = new double[fans];
    for (int i = 0; i < fans; i++) {
      NoiseFilter filter = noise.fan(i);
      if (filter != null) {
        fanNoise[i] = new NoiseStream(filter, Chance.stream(seed, FAN_STREAM + i));
      }
      fanGain[i] = Math.sqrt(motion.fanPower(i));
    }
    bursts = new NoiseStream[device.bursts().size()];
    for (int i = 0; i < bursts.length; i++) {
      bursts[i] = new NoiseStream(noise.burst(i), Chance.stream(seed, BURST_STREAM + i));
    }
    int lines = device.lines().size();
    phase = new double[lines];
    amplitude = new double[lines];
    frequency = new double[lines];
    for (int i = 0; i < lines; i++) {
      phase[i] = startPhaseTurns(seed, i);
      amplitude[i] = amplitudeNow(i);
      frequency[i] = motion.lineFrequencyHz(i);
    }
    // A full-scale sine has a peak of 1 and thus √2 times the pressure of its level.
    toFullScale = 1 / (Math.sqrt(2) * Decibels.toAmplitudeRatio(device.levelAtFullScaleDb()));
    ditherSeed = Chance.stream(seed, DITHER_STREAM);
  }

  /**
   * Phase of a line at the first sample, of which it is the sine.
   *
   * @param seed seed of the device
   * @param line index of the line
   * @return phase [turns], 0 to 1
   */
  public static double startPhaseTurns(long seed, int line) {
    return Chance.uniform(Chance.stream(seed, PHASE_STREAM), line);
  }

  @Override
  public SampleFormat format() {
    int bits = device.quantisation().bits();
    return new SampleFormat(device.sampleRateHz(), 1, bits == 0 ? 64 : bits, bits == 0);
  }

  @Override
  public String name() {
    return device.name();
  }

  @Override
  public OptionalLong frames() {
    return OptionalLong.of(device.frames());
  }

  @Override
  public SampleBlock read(int maximumLength) {
    if (maximumLength < 1) {
      throw new IllegalArgumentException("maximumLength: at least 1, got " + maximumLength);
    }
    if (position >= device.frames()) {
      return null;
    }
    long wanted = position / CHUNK;
    while (chunkIndex < wanted) {
      chunkIndex++;
      fill();
    }
    int offset = (int) (position - chunkIndex * CHUNK);
    int length =
        (int) Math.min(Math.min(maximumLength, CHUNK - offset), device.frames() - position);
    if (delivered.length < length) {
      delivered = new double[Math.min(CHUNK, maximumLength)];
    }
    System.arraycopy(chunk, offset, delivered, 0, length);
    SampleBlock block =
        new SampleBlock(
            delivered, length, device.sampleRateHz(), position, clippedWithin(length), List.of());
    position += length;
    return block;
  }

  @Override
  public SampleSource again() {
    return new DeviceSource(device, seed);
  }

  /** Does nothing: there is nothing to release. */
  @Override
  public void close() {
    // Only memory is held.
  }

  private void fill() {
    long start = chunkIndex * CHUNK;
    if (stationary == null) {
      java.util.Arrays.fill(chunk, 0);
    } else {
      System.arraycopy(stationary.at(chunkIndex), CHUNK, chunk, 0, CHUNK);
    }
    addBursts(start);
    for (int i = 0; i < fanNoise.length; i++) {
      noises[i] = fanNoise[i] == null ? null : fanNoise[i].at(chunkIndex);
    }
    for (int from = 0; from < CHUNK; from += STEP) {
      motion.advance();
      for (int i = 0; i < noises.length; i++) {
        double before = fanGain[i];
        fanGain[i] = Math.sqrt(motion.fanPower(i));
        if (noises[i] != null) {
          double slope = (fanGain[i] - before) / STEP;
          for (int j = 0; j < STEP; j++) {
            chunk[from + j] += (before + slope * j) * noises[i][CHUNK + from + j];
          }
        }
      }
      for (int i = 0; i < phase.length; i++) {
        addLine(i, from);
      }
    }
    finish(start);
  }

  private void addLine(int line, int from) {
    double a0 = amplitude[line];
    double f0 = frequency[line] / device.sampleRateHz();
    amplitude[line] = amplitudeNow(line);
    frequency[line] = motion.lineFrequencyHz(line);
    double f1 = frequency[line] / device.sampleRateHz();
    double start = phase[line];
    double end = start + 0.5 * (f0 + f1) * STEP;
    phase[line] = end - Math.floor(end);
    if (a0 == 0 && amplitude[line] == 0) {
      return;
    }
    double slope = (amplitude[line] - a0) / STEP;
    double chirp = (f1 - f0) / (2 * STEP);
    for (int j = 0; j < STEP; j++) {
      chunk[from + j] += (a0 + slope * j) * sineOfTurns(start + j * (f0 + chirp * j));
    }
  }

  private double amplitudeNow(int line) {
    double response = device.response().powerGain(Math.abs(motion.lineFrequencyHz(line)));
    return Math.sqrt(2 * motion.lineMeanSquare(line) * response);
  }

  private void addBursts(long start) {
    for (int i = 0; i < bursts.length; i++) {
      NoiseBurst burst = device.bursts().get(i);
      double rate = device.sampleRateHz();
      if (burst.endS() * rate <= start || burst.startS() * rate >= start + CHUNK) {
        continue;
      }
      double[] noise = bursts[i].at(chunkIndex);
      for (int j = 0; j < CHUNK; j++) {
        chunk[j] += burst.gain((start + j) / rate) * noise[CHUNK + j];
      }
    }
  }

  private void finish(long start) {
    clipped.clear();
    int bits = device.quantisation().bits();
    if (bits == 0) {
      for (int i = 0; i < CHUNK; i++) {
        chunk[i] *= toFullScale;
      }
      return;
    }
    double half = StrictMath.scalb(1.0, bits - 1);
    long clipStart = -1;
    for (int i = 0; i < CHUNK; i++) {
      double steps = chunk[i] * toFullScale * half;
      if (device.quantisation().dither()) {
        long index = 2 * (start + i);
        steps += Chance.uniform(ditherSeed, index) - Chance.uniform(ditherSeed, index + 1);
      }
      double whole = Math.rint(steps);
      boolean clips = whole < -half || whole > half - 1;
      if (clips && clipStart < 0) {
        clipStart = start + i;
      } else if (!clips && clipStart >= 0) {
        clipped.add(new Span(clipStart, start + i - clipStart));
        clipStart = -1;
      }
      chunk[i] = Math.max(-half, Math.min(half - 1, whole)) / half;
    }
    if (clipStart >= 0) {
      clipped.add(new Span(clipStart, start + CHUNK - clipStart));
    }
  }

  private List<Span> clippedWithin(int length) {
    if (clipped.isEmpty()) {
      return List.of();
    }
    List<Span> within = new ArrayList<>();
    for (Span span : clipped) {
      long from = Math.max(span.position(), position);
      long to = Math.min(span.end(), position + length);
      if (from < to) {
        within.add(new Span(from, to - from));
      }
    }
    return within;
  }

  /**
   * Sine of an angle in turns, by its Taylor series up to the 21st power over a quarter turn, where
   * the rest is below 2e−18: fast, and the same to the bit on every machine.
   */
  static double sineOfTurns(double turns) {
    double x = turns - Math.rint(turns);
    if (x > 0.25) {
      x = 0.5 - x;
    } else if (x < -0.25) {
      x = -0.5 - x;
    }
    double angle = 2 * Math.PI * x;
    double s = angle * angle;
    double sum = 1.0 / 51090942171709440000.0;
    sum = sum * s - 1.0 / 121645100408832000.0;
    sum = sum * s + 1.0 / 355687428096000.0;
    sum = sum * s - 1.0 / 1307674368000.0;
    sum = sum * s + 1.0 / 6227020800.0;
    sum = sum * s - 1.0 / 39916800.0;
    sum = sum * s + 1.0 / 362880.0;
    sum = sum * s - 1.0 / 5040.0;
    sum = sum * s + 1.0 / 120.0;
    sum = sum * s - 1.0 / 6.0;
    return angle + angle * s * sum;
  }
}
