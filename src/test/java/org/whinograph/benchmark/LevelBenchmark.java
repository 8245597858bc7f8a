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
import org.whinograph.level.LevelMeter;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;

/**
 * Time of all levels for one sample: ten seconds of seeded noise at 48 kHz, in blocks as files
 * deliver them.
 */
@State(Scope.Thread)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.NANOSECONDS)
@Warmup(iterations = 3, time = 1)
@Measurement(iterations = 5, time = 1)
@Fork(1)
public class LevelBenchmark {
  private static final int RATE_HZ = 48_000;
  private static final int SAMPLES = 10 * RATE_HZ;

  /** Length of a block [samples]. */
  @Param({"4096"})
  int blockLength;

  private double[][] blocks;

  /** Makes the noise. */
  @Setup
  public void makeNoise() {
    Random random = new Random(1);
    blocks = new double[(SAMPLES + blockLength - 1) / blockLength][];
    int left = SAMPLES;
    for (int i = 0; i < blocks.length; i++) {
      blocks[i] = random.doubles(Math.min(left, blockLength), -0.1, 0.1).toArray();
      left -= blocks[i].length;
    }
  }

  /** Every level of the recording, per sample. */
  @Benchmark
  @OperationsPerInvocation(SAMPLES)
  public LevelResult levels() {
    LevelMeter meter = new LevelMeter(RATE_HZ, LevelUnit.FULL_SCALE);
    long position = 0;
    for (double[] block : blocks) {
      meter.accept(SampleBlock.of(block, block.length, RATE_HZ, position));
      position += block.length;
    }
    return meter.result();
  }
}
