package org.whinograph.rehearsal;

import java.nio.file.Files;
import java.nio.file.Path;

/**
 * Makes the {@code samples} folder anew from {@link SampleDevices}. Start its main in the root of
 * the project when a device changes, and commit what it writes.
 */
public final class SampleRecordings {
  static final Path FOLDER = Path.of("samples");

  private SampleRecordings() {}

  /** Writes all recordings with their truth, replacing what is there. */
  public static void main(String[] args) throws Exception {
    Files.createDirectories(FOLDER);
    for (SampleDevices.Sample sample : SampleDevices.all()) {
      DeviceRecording.write(sample.device(), sample.seed(), FOLDER, true);
    }
  }
}
