package org.whinograph.signal;

/**
 * What consumes samples, block by block in order. One thread at a time; results never depend on how
 * the samples are cut into blocks.
 */
public interface SampleSink {
  /**
   * Takes the next block. Its position is the end of the one before.
   *
   * @param block the next samples; read, never kept
   */
  void accept(SampleBlock block);
}
