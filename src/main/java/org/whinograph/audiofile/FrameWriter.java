package org.whinograph.audiofile;

import java.nio.file.Path;
import org.whinograph.signal.RefusedException;

/**
 * Where a recording goes while it grows: a WAV file, or in a test whatever counts what comes. Used
 * by one thread.
 */
public interface FrameWriter extends AutoCloseable {
  /**
   * Writes frames in the format of the recording, little end first.
   *
   * @param raw bytes
   * @param offset index of the first one
   * @param count number of bytes, whole frames
   * @throws RefusedException if they can't be written; what was written before is whole
   */
  void write(byte[] raw, int offset, int count) throws RefusedException;

  /**
   * Writes zeros.
   *
   * @param frames number of frames, at least 0
   * @throws RefusedException if they can't be written; what was written before is whole
   */
  void writeSilence(long frames) throws RefusedException;

  /**
   * Length so far.
   *
   * @return whole frames taken
   */
  long frames();

  /**
   * Completes the recording.
   *
   * @throws RefusedException if that fails; what was written before is whole
   */
  void finish() throws RefusedException;

  /**
   * Saves a recording whose folder was deleted under it.
   *
   * @param rescue the file to make
   * @throws RefusedException if it exists or can't be written
   */
  void rescueTo(Path rescue) throws RefusedException;

  @Override
  void close() throws RefusedException;
}
