package org.whinograph.benchmark;

import java.util.Random;
import java.util.concurrent.TimeUnit;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OperationsPerInvocation;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Param;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;
import org.whinograph.band.BandAnalyser;
import org.whinograph.band.BandResult;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;

/**
 * Time of all band levels for one sample: twenty seconds at 48 kHz, in blocks as files deliver
 * them; noise, and noise that stops for digital silence, where denormal numbers would show. The
 * design of the filters, some milliseconds, is included.
 */
@State(Scope.Thread)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.NANOSECONDS)
@Warmup(iterations = 3, time = 1)
@Measurement(iterations = 5, time = 1)
@Fork(1)
public class BandBenchmark {
  private static final int RATE_HZ = 48_000;
  private static final int BLOCK = 4096;
  private static final int BLOCKS = 234;
  private static final int SAMPLES = BLOCK * BLOCKS;

  /** What is measured. */
  @Param({"noise", "silence"})
  String sound;

  private double[] noise;
  private double[] later;

  /** Makes the noise. */
  @Setup
  public void makeNoise() {
    noise = new Random(1).doubles(BLOCK, -0.1, 0.1).toArray();
    later = "noise".equals(sound) ? noise : new double[BLOCK];
  }

  /** Every band of the recording, per sample. */
  @Benchmark
  @OperationsPerInvocation(SAMPLES)
  public BandResult bands() {
    BandAnalyser analyser = new BandAnalyser(RATE_HZ, LevelUnit.FULL_SCALE);
    for (int i = 0; i < BLOCKS; i++) {
      analyser.accept(SampleBlock.of(i < 10 ? noise : later, BLOCK, RATE_HZ, (long) i * BLOCK));
    }
    return analyser.result();
  }
}
