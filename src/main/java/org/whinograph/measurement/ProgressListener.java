package org.whinograph.measurement;

/**
 * Hears how far a measurement has come. Called by the thread that measures, once a block.
 *
 * <p>A recording that is read twice counts twice, from the start on: the end is reached when the
 * measurement is done, and not before. Where it turns out that once is enough, the rest passes in
 * one step.
 */
@FunctionalInterface
public interface ProgressListener {
  /** Nobody watches. */
  ProgressListener NONE = (seconds, totalSeconds) -> {};

  /**
   * Tells how far it is.
   *
   * @param seconds how much has been read [s]
   * @param totalSeconds how much is to be read, the second pass included [s]; infinite if unknown
   */
  void advanced(double seconds, double totalSeconds);
}
