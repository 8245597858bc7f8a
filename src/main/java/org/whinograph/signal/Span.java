package org.whinograph.signal;

/**
 * A stretch of samples, counted from the first sample of its recording.
 *
 * @param position index of its first sample [frames], at least 0
 * @param length number of samples [frames], at least 1
 */
public record Span(long position, long length) {
  /** Checks the components. {@inheritDoc} */
  public Span {
    if (position < 0 || length < 1) {
      throw new IllegalArgumentException(
          "span: position at least 0 and length at least 1, got " + position + ", " + length);
    }
  }

  /**
   * First sample after the stretch.
   *
   * @return position + length [frames]
   */
  public long end() {
    return position + length;
  }
}
