package org.whinograph.capture;

import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/**
 * An input that is about to deliver, of a sound card or of a test. One thread reads; any may close.
 */
public interface CaptureLine extends AutoCloseable {
  /**
   * Name of the input.
   *
   * @return the name
   */
  String name();

  /**
   * How samples come: packed, little end first, channels of a frame one behind the other.
   *
   * @return rate, channels and bits
   */
  SampleFormat format();

  /**
   * Starts delivery.
   *
   * @throws RefusedException if the input is gone or in use
   */
  void start() throws RefusedException;

  /**
   * Waits for frames and reads them.
   *
   * @param target takes the bytes
   * @param length how many are wanted, whole frames
   * @return how many came, whole frames; 0 if none did and none may come any more
   */
  int read(byte[] target, int length);

  /** Ends delivery; a read that waits returns. Calling it twice does nothing. */
  @Override
  void close();
}
