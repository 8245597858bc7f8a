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
import org.openjdk.jmh.infra.Blackhole;
import org.whinograph.calibration.MicrophoneResponse;
import org.whinograph.calibration.PressureStage;
import org.whinograph.calibration.ReferenceToneMeter;
import org.whinograph.calibration.ToneBench;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;

/** Cost a sample of the microphone's correction and of judging a calibrator's tone. */
@State(Scope.Benchmark)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.NANOSECONDS)
@Warmup(iterations = 2, time = 2)
@Measurement(iterations = 3, time = 2)
@Fork(1)
public class CalibrationBenchmark {
  private static final int LENGTH = 10 * 48_000;

  private double[] samples;
  private MicrophoneResponse response;

  /** Ten seconds of a calibrator's tone. */
  @Setup
  public void record() {
    samples = new ToneBench(48_000, 10).tone(1000, 0.1).noise(1e-4, 1).samples;
    response =
        new MicrophoneResponse(
            "mic.txt", new double[] {20, 1000, 20_000}, new double[] {-2, 0, 3}, null);
  }

  /** The correction, its design for each recording included. */
  @Benchmark
  @OperationsPerInvocation(LENGTH)
  public void correctResponse(Blackhole blackhole) throws RefusedException {
    PressureStage stage =
        new PressureStage(48_000, null, response, block -> blackhole.consume(block.samples()));
    for (int from = 0; from < LENGTH; from += 4800) {
      stage.accept(SampleBlock.of(samples, 4800, 48_000, from));
    }
    stage.finish();
  }

  /** A tone, judged and measured. */
  @Benchmark
  @OperationsPerInvocation(LENGTH)
  public double measureTone() throws RefusedException {
    ReferenceToneMeter meter =
        new ReferenceToneMeter(new SampleFormat(48_000, 1, 24, false), 1000, "tone.wav");
    meter.accept(SampleBlock.of(samples, LENGTH, 48_000, 0));
    return meter.finish().levelDb();
  }
}
