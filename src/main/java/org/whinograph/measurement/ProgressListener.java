package org.whinograph.measurement;

/** Hears how far a measurement has come. Called by the thread that measures, once a block. */
@FunctionalInterface
public interface ProgressListener {
  /** Nobody watches. */
  ProgressListener NONE = (seconds, totalSeconds) -> {};

  /**
   * Tells how far it is.
   *
   * @param seconds how much of the recording has been read [s]
   * @param totalSeconds length of the recording [s]; infinite if unknown
   */
  void advanced(double seconds, double totalSeconds);
}
