package org.whinograph.signal;

import java.util.OptionalLong;

/** Where samples come from: a file, a microphone, a simulated device. Pulled by one thread. */
public interface SampleSource extends AutoCloseable {
  /**
   * How the samples are stored at the source.
   *
   * @return the format
   */
  SampleFormat format();

  /**
   * A name for messages and results, such as the file's name.
   *
   * @return the name
   */
  String name();

  /**
   * Length if it is known beforehand, for a progress bar.
   *
   * @return number of frames, or empty for a live input
   */
  OptionalLong frames();

  /**
   * Reads the next samples of the chosen channel, as parts of full scale: the largest negative
   * value of integer PCM is −1.
   *
   * @param maximumLength most samples wanted, at least 1
   * @return the next block with at least 1 sample, or null at the end. Its array may be used again
   *     by the next call
   * @throws RefusedException if the source is damaged or gone; the message says what to do
   */
  SampleBlock read(int maximumLength) throws RefusedException;

  /**
   * The same samples from the start once more, for what needs two passes. What was overloaded need
   * not be flagged again.
   *
   * @return another source of the same samples, to be closed by the caller; null if they can't be
   *     had again, as from a live input
   * @throws RefusedException if the source is damaged or gone; the message says what to do
   */
  default SampleSource again() throws RefusedException {
    return null;
  }

  /**
   * Releases the source. Calling it twice does nothing.
   *
   * @throws RefusedException if the source can't be closed whole
   */
  @Override
  void close() throws RefusedException;
}
