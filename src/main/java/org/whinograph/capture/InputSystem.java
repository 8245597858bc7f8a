package org.whinograph.capture;

import java.util.List;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/** What offers inputs: the computer's sound system, or a test. */
public interface InputSystem {
  /**
   * What there is.
   *
   * @return names of the inputs, each once, in the system's order
   */
  List<String> names();

  /**
   * Opens an input; it delivers once {@link CaptureLine#start} is called.
   *
   * @param name one of {@link #names}
   * @param format rate, channels; 16, 24 or 32 bits, packed
   * @return the line
   * @throws RefusedException if it is gone, in use, not permitted, or doesn't know the format
   */
  CaptureLine open(String name, SampleFormat format) throws RefusedException;
}
