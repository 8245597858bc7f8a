package org.whinograph.signal;

import java.util.List;

/**
 * A run of consecutive samples of one channel on its way through the chain.
 *
 * <p>The array belongs to whoever made the block and may be used again once every consumer has
 * returned: consumers read it and keep nothing of it. Nobody writes to it. How a recording is cut
 * into blocks never changes a result.
 *
 * @param samples samples [parts of full scale, or Pa after calibration; length at least {@code
 *     length}, sample i at position + i]
 * @param length how many of them count, from index 0
 * @param sampleRateHz frames a second [Hz]
 * @param position index of the first sample, counted from the start of the recording [frames]
 * @param overloads where the input was overloaded within this block; positions count from the start
 *     of the recording, in order, without overlap
 * @param gaps where samples were lost, likewise; a gap's samples are in the block as zeros
 */
public record SampleBlock(
    double[] samples,
    int length,
    double sampleRateHz,
    long position,
    List<Span> overloads,
    List<Span> gaps) {
  /** Checks the components. {@inheritDoc} */
  public SampleBlock {
    if (length < 0 || length > samples.length) {
      throw new IllegalArgumentException(
          "length: 0 to samples.length = " + samples.length + ", got " + length);
    }
    if (position < 0) {
      throw new IllegalArgumentException("position: at least 0, got " + position);
    }
    overloads = List.copyOf(overloads);
    gaps = List.copyOf(gaps);
  }

  /**
   * A block without overloads and gaps.
   *
   * @param samples samples
   * @param length how many count
   * @param sampleRateHz frames a second [Hz]
   * @param position index of the first sample [frames]
   * @return the block
   */
  public static SampleBlock of(double[] samples, int length, double sampleRateHz, long position) {
    return new SampleBlock(samples, length, sampleRateHz, position, List.of(), List.of());
  }

  /**
   * The same flags and place over other samples: how calibration turns full scale into pascals.
   *
   * @param replacement samples [length at least {@link #length()}]
   * @return a block of the same length and position
   */
  public SampleBlock withSamples(double[] replacement) {
    return new SampleBlock(replacement, length, sampleRateHz, position, overloads, gaps);
  }
}
