package org.whinograph.spectrum;

/** What consumes the transformed frames of a {@link FrameStream}. */
@FunctionalInterface
public interface FrameListener {
  /**
   * Takes the next frame.
   *
   * @param index number of the frame: its first sample lies index · hop samples after the first of
   *     the stream. Frames that touch a gap are left out, so numbers can be skipped
   * @param lines packed lines [Re 0, Re N/2, Re 1, Im 1, Re 2, Im 2, …], scaled so that |line k|²
   *     of a sine on its centre is the sine's mean square; lines 0 and N/2 read √2 too large [Pa or
   *     parts of full scale, length N]. Read, never written; the array is used again
   */
  void frame(long index, double[] lines);
}
