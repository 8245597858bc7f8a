package org.whinograph.band;

import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.Span;

/**
 * Gaps of a recording in order, as input frames. Spans that touch become one, so that a long gap
 * takes one entry however small the blocks are. One thread at a time.
 */
final class GapList {
  private long[] starts = new long[8];
  private long[] ends = new long[8];
  private int size;

  /** Adds the gaps of the next block. */
  void add(List<Span> spans) {
    for (Span span : spans) {
      if (size > 0 && span.position() <= ends[size - 1]) {
        ends[size - 1] = Math.max(ends[size - 1], span.end());
        continue;
      }
      if (size == starts.length) {
        starts = Arrays.copyOf(starts, 2 * size);
        ends = Arrays.copyOf(ends, 2 * size);
      }
      starts[size] = span.position();
      ends[size] = span.end();
      size++;
    }
  }

  int size() {
    return size;
  }

  long start(int index) {
    return starts[index];
  }

  long end(int index) {
    return ends[index];
  }

  /** Lost frames together. */
  long frames() {
    long frames = 0;
    for (int i = 0; i < size; i++) {
      frames += ends[i] - starts[i];
    }
    return frames;
  }
}
