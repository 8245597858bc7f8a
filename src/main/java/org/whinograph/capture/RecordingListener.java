package org.whinograph.capture;

import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Warning;

/**
 * Watches a recording, on a thread of its own: however long it takes, the recording waits for
 * nothing. If it falls more than ten seconds behind, it gets zeros, flagged as a gap, for what it
 * missed; the file has them.
 */
public interface RecordingListener {
  /**
   * The next samples of the chosen channel.
   *
   * @param block the samples; read, never kept
   * @param status how the recording stands
   */
  void samples(SampleBlock block, RecordingStatus status);

  /**
   * Something that the tester must know at once.
   *
   * @param warning what it is
   */
  void warning(Warning warning);
}
