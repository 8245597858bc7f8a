package org.whinograph.rehearsal;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.storage.AtomicFile;

/** Writes a device's recording with its truth beside it. */
public final class DeviceRecording {
  private static final int BLOCK = 8192;

  private DeviceRecording() {}

  /**
   * Writes {@code <name>.wav} and {@code <name>.truth.json}; each appears whole or not at all.
   *
   * @param device the device; its quantisation must be of 16, 24 or 32 bits, or none for float
   * @param seed seed of what is random about it
   * @param folder an existing folder
   * @param replace whether existing files may be replaced
   * @return the WAV file
   * @throws RefusedException if a file exists and may not be replaced, or can't be written
   */
  public static Path write(Device device, long seed, Path folder, boolean replace)
      throws RefusedException {
    Path truth = folder.resolve(device.name() + ".truth.json");
    if (!replace && Files.exists(truth)) {
      throw new RefusedException(
          truth + ": exists already; give another folder, or --force to replace it");
    }
    Path wav = folder.resolve(device.name() + ".wav");
    try (DeviceSource source = new DeviceSource(device, seed);
        WavWriter writer = WavWriter.whole(wav, source.format(), replace)) {
      for (SampleBlock block = source.read(BLOCK); block != null; block = source.read(BLOCK)) {
        writer.write(block.samples(), 0, block.length());
      }
      writer.finish();
    }
    writeText(truth, TruthFile.toJson(TruthMaker.of(device, seed)), replace);
    return wav;
  }

  /** Writes a text file that appears whole or not at all. */
  static void writeText(Path file, String text, boolean replace) throws RefusedException {
    byte[] bytes = text.getBytes(StandardCharsets.UTF_8);
    AtomicFile.write(file, replace, out -> out.write(bytes));
  }
}
