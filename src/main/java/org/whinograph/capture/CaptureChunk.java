package org.whinograph.capture;

/** What one read brought, and when. Used again and again, so that capture allocates nothing. */
final class CaptureChunk {
  final byte[] bytes;
  int length;

  /** When the read began and when it came back [ns]. */
  long startNanos;

  long endNanos;

  /** Frames that were thrown away before this chunk because nobody fetched them in time. */
  long dropped;

  CaptureChunk(int capacity) {
    bytes = new byte[capacity];
  }
}
