package org.whinograph.signal;

import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;

/**
 * A stretch of another source. Its positions start at 0, so that every consumer starts as it would
 * on a recording of just that stretch.
 */
public final class Excerpt implements SampleSource {
  private final SampleSource source;
  private final long from;
  private final long to;
  private boolean started;

  /**
   * Cuts a stretch.
   *
   * @param source the whole; closed with this
   * @param from first frame wanted, at least 0
   * @param to first frame not wanted, above {@code from}; Long.MAX_VALUE for the end
   * @throws IllegalArgumentException if the limits are broken
   */
  public Excerpt(SampleSource source, long from, long to) {
    if (from < 0 || to <= from) {
      throw new IllegalArgumentException("from, to: 0 <= from < to, got " + from + ", " + to);
    }
    this.source = source;
    this.from = from;
    this.to = to;
  }

  @Override
  public SampleFormat format() {
    return source.format();
  }

  @Override
  public String name() {
    return source.name();
  }

  @Override
  public OptionalLong frames() {
    OptionalLong whole = source.frames();
    return whole.isEmpty()
        ? whole
        : OptionalLong.of(Math.max(0, Math.min(whole.getAsLong(), to) - from));
  }

  @Override
  public SampleBlock read(int maximumLength) throws RefusedException {
    SampleBlock block = source.read(maximumLength);
    while (!started && block != null && block.position() + block.length() <= from) {
      block = source.read(maximumLength);
    }
    if (block == null || block.position() >= to) {
      return null;
    }
    started = true;
    int skip = (int) Math.max(0, from - block.position());
    int length = (int) Math.min(block.length(), to - block.position()) - skip;
    double[] samples = block.samples();
    if (skip > 0) {
      samples = java.util.Arrays.copyOfRange(samples, skip, skip + length);
    }
    long start = block.position() + skip;
    return new SampleBlock(
        samples,
        length,
        block.sampleRateHz(),
        start - from,
        shifted(block.overloads(), start, start + length),
        shifted(block.gaps(), start, start + length));
  }

  private List<Span> shifted(List<Span> spans, long start, long end) {
    if (spans.isEmpty()) {
      return spans;
    }
    List<Span> kept = new ArrayList<>();
    for (Span span : spans) {
      long first = Math.max(span.position(), start);
      long last = Math.min(span.end(), end);
      if (first < last) {
        kept.add(new Span(first - from, last - first));
      }
    }
    return kept;
  }

  @Override
  public SampleSource again() throws RefusedException {
    SampleSource whole = source.again();
    return whole == null ? null : new Excerpt(whole, from, to);
  }

  @Override
  public void close() throws RefusedException {
    source.close();
  }
}
