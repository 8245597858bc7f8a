package org.whinograph.capture;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.audiofile.RunRecord;
import org.whinograph.signal.Span;

/** Spans of a recording, joined where they touch; beyond a number they are only counted. */
final class SpanLog {
  private final List<Span> spans = new ArrayList<>();
  private long samples;

  void add(Span next) {
    samples += next.length();
    int last = spans.size() - 1;
    if (last >= 0 && spans.get(last).end() == next.position()) {
      Span before = spans.get(last);
      spans.set(last, new Span(before.position(), before.length() + next.length()));
    } else if (spans.size() < RunRecord.MOST_SPANS) {
      spans.add(next);
    }
  }

  List<Span> spans() {
    return spans;
  }

  /** All samples, listed or not. */
  long samples() {
    return samples;
  }
}
