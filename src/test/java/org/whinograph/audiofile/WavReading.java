package org.whinograph.audiofile;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.whinograph.fuzz.MemoryChannel;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;

/** All that a test asks of a source that was read to its end. */
record WavReading(double[] samples, List<Span> overloads, List<Warning> warnings) {

  static WavReading of(byte[] file, int channel, int blockSize) throws RefusedException {
    try (WavSource source = WavSource.open(new MemoryChannel(file), "test.wav", channel)) {
      return of(source, blockSize);
    }
  }

  static WavReading of(byte[] file) throws RefusedException {
    return of(file, 1, 1000);
  }

  static WavReading of(WavSource source, int blockSize) throws RefusedException {
    double[] samples = new double[1024];
    int count = 0;
    List<Span> overloads = new ArrayList<>();
    for (SampleBlock block = source.read(blockSize);
        block != null;
        block = source.read(blockSize)) {
      if (block.position() != count) {
        throw new AssertionError("block at " + block.position() + " after " + count + " samples");
      }
      if (count + block.length() > samples.length) {
        samples = Arrays.copyOf(samples, 2 * (count + block.length()));
      }
      System.arraycopy(block.samples(), 0, samples, count, block.length());
      count += block.length();
      for (Span span : block.overloads()) {
        if (span.position() < block.position() || span.end() > count) {
          throw new AssertionError(span + " outside of its block");
        }
        join(overloads, span);
      }
    }
    return new WavReading(Arrays.copyOf(samples, count), overloads, source.warnings());
  }

  private static void join(List<Span> spans, Span next) {
    if (!spans.isEmpty() && spans.get(spans.size() - 1).end() == next.position()) {
      Span last = spans.remove(spans.size() - 1);
      spans.add(new Span(last.position(), last.length() + next.length()));
    } else {
      spans.add(next);
    }
  }

  List<String> warningCodes() {
    return warnings.stream().map(Warning::code).toList();
  }
}
