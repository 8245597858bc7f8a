package org.whinograph.benchmark;

import java.util.concurrent.TimeUnit;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OperationsPerInvocation;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.Warmup;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RealTransform;
import org.whinograph.signal.SampleBlock;
import org.whinograph.tone.ToneAnalyser;
import org.whinograph.tone.ToneResult;
import org.whinograph.tone.ToneSignals;

/** Cost a sample of spectrum and tones at 48 kHz, beside the bare transforms within it. */
@State(Scope.Thread)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.NANOSECONDS)
@Fork(1)
@Warmup(iterations = 3, time = 2)
@Measurement(iterations = 5, time = 2)
public class SpectrumBenchmark {
  private static final int SAMPLES = 1 << 20;
  private static final int BLOCK = 8_192;
  private static final int FRAME = 65_536;

  private double[] samples;
  private ToneAnalyser analyser;
  private ToneAnalyser finished;
  private RealTransform transform;
  private double[] lines;
  private double[] block;
  private long position;

  /** Makes the signal. */
  @Setup
  public void prepare() {
    samples = ToneSignals.white(48_000, SAMPLES / 48_000.0, 20, 1);
    for (int n = 1; n <= 20; n++) {
      ToneSignals.addTone(samples, 48_000, 417.3 * n, 50, n);
    }
    analyser = new ToneAnalyser(48_000, LevelUnit.SOUND_PRESSURE);
    finished = ToneSignals.analyser(samples, 48_000, LevelUnit.SOUND_PRESSURE, BLOCK);
    transform = new RealTransform(FRAME);
    lines = new double[FRAME];
    block = new double[BLOCK];
  }

  /** All that a sample costs on its way through the analyser. */
  @Benchmark
  @OperationsPerInvocation(SAMPLES)
  public long accept() {
    for (int at = 0; at < SAMPLES; at += BLOCK) {
      System.arraycopy(samples, at, block, 0, BLOCK);
      analyser.accept(SampleBlock.of(block, BLOCK, 48_000, position));
      position += BLOCK;
    }
    return position;
  }

  /** The two transforms a frame length that half overlap needs, and nothing else. */
  @Benchmark
  @OperationsPerInvocation(SAMPLES)
  public double transformsAlone() {
    double sum = 0.0;
    for (int i = 0; i < 2 * SAMPLES / FRAME; i++) {
      System.arraycopy(samples, 0, lines, 0, FRAME);
      transform.forward(lines);
      sum += lines[3];
    }
    return sum;
  }

  /** Finding and judging the tones at the end of a recording, once. */
  @Benchmark
  public ToneResult result() {
    return finished.result();
  }
}
