package org.whinograph.rehearsal;

import org.whinograph.signal.RealTransform;

/**
 * Noise of a given density, chunk by chunk in order, from the first sample on as if it had always
 * been there. Constant memory; not safe for use by several threads.
 */
final class NoiseStream {
  /**
   * Samples of a chunk; as many as the filter has taps, so that a transform of twice that serves.
   */
  static final int CHUNK = NoiseFilter.TAPS;

  private final long seed;
  private final RealTransform transform = new RealTransform(2 * CHUNK);
  private final double[] response = new double[2 * CHUNK];
  private final double[] input = new double[2 * CHUNK];
  private final double[] work = new double[2 * CHUNK];
  private long filled = Long.MIN_VALUE;

  NoiseStream(NoiseFilter filter, long seed) {
    this.seed = seed;
    System.arraycopy(filter.taps(), 0, response, 0, NoiseFilter.TAPS);
    transform.forward(response);
  }

  /**
   * The noise of one chunk.
   *
   * @param chunk its index
   * @return samples from index {@link #CHUNK} on [20 µPa]; used again by the next call
   */
  double[] at(long chunk) {
    long start = chunk * CHUNK;
    int from = 0;
    if (filled == start) {
      System.arraycopy(input, CHUNK, input, 0, CHUNK);
      from = CHUNK;
    }
    for (int i = from; i < 2 * CHUNK; i++) {
      input[i] = Chance.normal(seed, start - CHUNK + i);
    }
    filled = start + CHUNK;
    System.arraycopy(input, 0, work, 0, 2 * CHUNK);
    transform.forward(work);
    work[0] *= response[0];
    work[1] *= response[1];
    for (int i = 2; i < 2 * CHUNK; i += 2) {
      double re = work[i] * response[i] - work[i + 1] * response[i + 1];
      work[i + 1] = work[i] * response[i + 1] + work[i + 1] * response[i];
      work[i] = re;
    }
    transform.inverse(work);
    return work;
  }
}
