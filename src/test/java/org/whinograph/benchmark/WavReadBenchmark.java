package org.whinograph.benchmark;

import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import org.openjdk.jmh.annotations.Benchmark;
import org.openjdk.jmh.annotations.BenchmarkMode;
import org.openjdk.jmh.annotations.Fork;
import org.openjdk.jmh.annotations.Measurement;
import org.openjdk.jmh.annotations.Mode;
import org.openjdk.jmh.annotations.OutputTimeUnit;
import org.openjdk.jmh.annotations.Scope;
import org.openjdk.jmh.annotations.Setup;
import org.openjdk.jmh.annotations.State;
import org.openjdk.jmh.annotations.TearDown;
import org.openjdk.jmh.annotations.Warmup;
import org.whinograph.audiofile.FileDigest;
import org.whinograph.audiofile.WavSource;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;

/** Reading ten minutes of 48 kHz, 24 bits, mono: with its digest, and the digest alone. */
@State(Scope.Thread)
@BenchmarkMode(Mode.AverageTime)
@OutputTimeUnit(TimeUnit.MILLISECONDS)
@Fork(1)
@Warmup(iterations = 2, time = 2)
@Measurement(iterations = 3, time = 2)
public class WavReadBenchmark {
  private Path file;

  @Setup
  public void write() throws Exception {
    file = Files.createTempFile("read", ".wav");
    byte[] second = new byte[48_000 * 3];
    Random random = new Random(1);
    try (WavWriter writer = WavWriter.whole(file, new SampleFormat(48_000, 1, 24, false), true)) {
      for (int i = 0; i < 600; i++) {
        random.nextBytes(second);
        writer.write(second, 0, second.length);
      }
      writer.finish();
    }
  }

  @TearDown
  public void delete() throws Exception {
    Files.delete(file);
  }

  @Benchmark
  public double samplesAndDigest() throws RefusedException {
    double sum = 0;
    try (WavSource source = WavSource.open(file, 1)) {
      for (SampleBlock block = source.read(8192); block != null; block = source.read(8192)) {
        sum += block.samples()[0];
      }
      return sum + source.sha256().length();
    }
  }

  @Benchmark
  public String digestAlone() throws RefusedException {
    return FileDigest.sha256(file);
  }
}
