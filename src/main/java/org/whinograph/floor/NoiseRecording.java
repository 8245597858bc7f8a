package org.whinograph.floor;

import java.util.Objects;
import org.whinograph.band.BandResult;
import org.whinograph.level.LevelResult;
import org.whinograph.quantity.LevelUnit;

/**
 * A recording of what is there without the device: the background, or the microphone's own noise in
 * the quietest place.
 *
 * @param name name of the recording, for messages
 * @param unit unit of its levels
 * @param levels its levels, for the A-weighted level through time
 * @param bands its band levels
 */
public record NoiseRecording(String name, LevelUnit unit, LevelResult levels, BandResult bands) {
  /** Checks the components. {@inheritDoc} */
  public NoiseRecording {
    Objects.requireNonNull(unit, "unit");
    Objects.requireNonNull(levels, "levels");
    Objects.requireNonNull(bands, "bands");
  }
}
