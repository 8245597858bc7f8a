package org.whinograph.calibration;

import java.util.List;
import java.util.OptionalLong;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;
import org.whinograph.signal.Span;

/** A recording held in memory, delivered in blocks of any size. */
public final class ArraySource implements SampleSource {
  private final double[] samples;
  private final SampleFormat format;
  private final int blockLength;
  private final List<Span> overloads;
  private final List<Span> gaps;
  private int position;

  public ArraySource(double[] samples, double sampleRateHz) {
    this(samples, new SampleFormat(sampleRateHz, 1, 24, false), 4096, List.of(), List.of());
  }

  public ArraySource(
      double[] samples,
      SampleFormat format,
      int blockLength,
      List<Span> overloads,
      List<Span> gaps) {
    this.samples = samples;
    this.format = format;
    this.blockLength = blockLength;
    this.overloads = overloads;
    this.gaps = gaps;
  }

  @Override
  public SampleFormat format() {
    return format;
  }

  @Override
  public String name() {
    return "tone.wav";
  }

  @Override
  public OptionalLong frames() {
    return OptionalLong.of(samples.length);
  }

  @Override
  public SampleBlock read(int maximumLength) {
    int length = Math.min(Math.min(maximumLength, blockLength), samples.length - position);
    if (length <= 0) {
      return null;
    }
    double[] block = new double[length];
    System.arraycopy(samples, position, block, 0, length);
    SampleBlock result =
        new SampleBlock(
            block,
            length,
            format.sampleRateHz(),
            position,
            within(overloads, position, length),
            within(gaps, position, length));
    position += length;
    return result;
  }

  @Override
  public void close() {}

  private static List<Span> within(List<Span> spans, long position, int length) {
    return spans.stream()
        .filter(span -> span.position() < position + length && span.end() > position)
        .map(
            span -> {
              long from = Math.max(position, span.position());
              return new Span(from, Math.min(position + length, span.end()) - from);
            })
        .toList();
  }
}
