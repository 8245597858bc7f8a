package org.whinograph.benchmark;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.function.Supplier;
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
import org.openjdk.jmh.infra.Blackhole;
import org.whinograph.band.BandAnalyser;
import org.whinograph.level.LevelMeter;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.tone.ToneAnalyser;

/**
 * Time that levels, bands and the spectrum with its tones take for one sample, on one thread: a
 * minute of seeded noise at 48 kHz. A sample lasts 20 833 ns, so t nanoseconds are 20 833/t times
 * real time.
 */
@State(Scope.Thread)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.NANOSECONDS)
@Warmup(iterations = 2, time = 5)
@Measurement(iterations = 5, time = 5)
@Fork(1)
public class CoreBenchmark {
  private static final int RATE_HZ = 48_000;
  private static final int BLOCK = 4096;
  private static final int BLOCKS = 60 * RATE_HZ / BLOCK;
  private static final int SAMPLES = BLOCKS * BLOCK;

  /** Which of the analyses run. */
  @Param({"levels", "bands", "tones", "all"})
  String stage;

  private double[][] blocks;

  /** Makes the noise. */
  @Setup
  public void makeNoise() {
    Random random = new Random(1);
    blocks = new double[BLOCKS][];
    for (int i = 0; i < BLOCKS; i++) {
      blocks[i] = random.doubles(BLOCK, -0.1, 0.1).toArray();
    }
  }

  /** The recording through the analyses and their results, per sample. */
  @Benchmark
  @OperationsPerInvocation(SAMPLES)
  public void analyse(Blackhole results) {
    List<SampleSink> sinks = new ArrayList<>();
    List<Supplier<Object>> ends = new ArrayList<>();
    if (runs("levels")) {
      LevelMeter levels = new LevelMeter(RATE_HZ, LevelUnit.FULL_SCALE);
      sinks.add(levels);
      ends.add(levels::result);
    }
    if (runs("bands")) {
      BandAnalyser bands = new BandAnalyser(RATE_HZ, LevelUnit.FULL_SCALE);
      sinks.add(bands);
      ends.add(bands::result);
    }
    if (runs("tones")) {
      ToneAnalyser tones = new ToneAnalyser(RATE_HZ, LevelUnit.FULL_SCALE);
      sinks.add(tones);
      ends.add(tones::result);
    }
    long position = 0;
    for (double[] samples : blocks) {
      SampleBlock block = SampleBlock.of(samples, BLOCK, RATE_HZ, position);
      for (SampleSink sink : sinks) {
        sink.accept(block);
      }
      position += BLOCK;
    }
    for (Supplier<Object> end : ends) {
      results.consume(end.get());
    }
  }

  private boolean runs(String name) {
    return stage.equals(name) || stage.equals("all");
  }
}
