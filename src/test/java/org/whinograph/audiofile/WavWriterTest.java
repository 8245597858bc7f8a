package org.whinograph.audiofile;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.RandomAccessFile;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;

class WavWriterTest {
  private static final SampleFormat MONO_24 = new SampleFormat(48000, 1, 24, false);

  @TempDir Path folder;

  static Stream<Arguments> formats() {
    List<Arguments> all = new ArrayList<>();
    for (int channels : new int[] {1, 2, 3, 8}) {
      for (int bits : new int[] {16, 24, 32}) {
        all.add(Arguments.of(new SampleFormat(44100, channels, bits, false)));
      }
      all.add(Arguments.of(new SampleFormat(192000, channels, 32, true)));
      all.add(Arguments.of(new SampleFormat(96000, channels, 64, true)));
    }
    return all.stream();
  }

  /** Every code of the format survives, and so does every channel in its place. */
  @ParameterizedTest
  @MethodSource("formats")
  void roundTripIsExact(SampleFormat format) throws RefusedException {
    int channels = format.channels();
    int frames = 100_001;
    double[] samples = codes(format, frames * channels);
    Path path = folder.resolve("trip.wav");
    try (WavWriter writer = WavWriter.growing(path, format, false)) {
      writer.write(samples, 0, 7 * channels);
      writer.write(samples, 7 * channels, (frames - 7) * channels);
      assertEquals(frames, writer.frames());
      assertEquals(0, writer.heldSamples());
    }
    for (int channel = 1; channel <= channels; channel++) {
      try (WavSource source = WavSource.open(path, channel)) {
        assertEquals(format, source.format());
        double[] read = WavReading.of(source, 4096).samples();
        double[] expected = new double[frames];
        for (int i = 0; i < frames; i++) {
          expected[i] = samples[i * channels + channel - 1];
        }
        assertArrayEquals(expected, read, "channel " + channel);
      }
    }
  }

  private static double[] codes(SampleFormat format, int count) {
    SplittableRandom random = new SplittableRandom(9);
    double[] samples = new double[count];
    long top = 1L << (format.bitDepth() - 1);
    for (int i = 0; i < count; i++) {
      samples[i] =
          format.floatingPoint()
              ? (format.bitDepth() == 32
                  ? (double) (float) random.nextDouble(-2, 2)
                  : random.nextDouble(-2, 2))
              : random.nextLong(-top, top) / (double) top;
    }
    if (!format.floatingPoint()) {
      samples[0] = -1;
      samples[1] = (top - 1) / (double) top;
    }
    return samples;
  }

  @Test
  void samplesOutsideTheCodesAreHeldAndCounted() throws RefusedException {
    Path path = folder.resolve("held.wav");
    try (WavWriter writer = WavWriter.growing(path, MONO_24, false)) {
      writer.write(new double[] {1.0, 0.25, -1.5, -1.0}, 0, 4);
      assertEquals(2, writer.heldSamples());
      assertThrows(
          IllegalArgumentException.class, () -> writer.write(new double[] {Double.NaN}, 0, 1));
    }
    try (WavSource source = WavSource.open(path, 1)) {
      assertArrayEquals(
          new double[] {1 - 0x1p-23, 0.25, -1, -1}, WavReading.of(source, 10).samples());
    }
  }

  @Test
  void rawBytesGoThroughUntouched() throws Exception {
    SampleFormat stereo = new SampleFormat(48000, 2, 24, false);
    byte[] raw = new byte[6 * 50_000];
    new java.util.Random(4).nextBytes(raw);
    Path path = folder.resolve("raw.wav");
    try (WavWriter writer = WavWriter.growing(path, stereo, false)) {
      writer.write(raw, 0, 600);
      writer.write(raw, 600, raw.length - 600);
      assertThrows(IllegalArgumentException.class, () -> writer.write(raw, 0, 5));
    }
    byte[] file = Files.readAllBytes(path);
    assertArrayEquals(raw, Arrays.copyOfRange(file, file.length - raw.length, file.length));
  }

  /**
   * What a kill at any moment leaves: the bytes in the file, no more. Whenever it comes, the file
   * opens, and all but the last second is there, whether a reader trusts the header or the length.
   */
  @Test
  void aGrowingFileIsWholeAtAnyMoment() throws Exception {
    Path path = folder.resolve("growing.wav");
    double[] block = new double[480];
    try (WavWriter writer = WavWriter.growing(path, MONO_24, false)) {
      for (int blocks = 1; blocks <= 700; blocks++) {
        Arrays.fill(block, blocks / 1024.0);
        writer.write(block, 0, block.length);
        if (blocks % 37 == 0) {
          byte[] left = Files.readAllBytes(path);
          long headerFrames = (WavBytes.little(4).put(left, 76, 4).getInt(0) & 0xFFFFFFFFL) / 3;
          assertTrue(headerFrames > 480 * blocks - 48_000, "header after block " + blocks);
          if (headerFrames > 0) {
            double[] read = WavReading.of(left).samples();
            assertTrue(read.length >= headerFrames && read.length <= 480 * blocks);
            for (int i = 0; i < read.length; i++) {
              assertEquals((i / 480 + 1) / 1024.0, read[i]);
            }
          }
        }
      }
    }
  }

  @Test
  void refusesToReplaceUnlessAsked() throws Exception {
    Path path = Files.writeString(folder.resolve("old.wav"), "old");
    for (boolean growing : new boolean[] {true, false}) {
      RefusedException refusal =
          assertThrows(RefusedException.class, () -> start(growing, path, false));
      assertTrue(refusal.getMessage().contains("--force"), refusal.getMessage());
      assertEquals("old", Files.readString(path));
    }
    try (WavWriter writer = start(false, path, true)) {
      writer.write(new double[10], 0, 10);
      assertEquals("old", Files.readString(path));
      writer.finish();
    }
    assertEquals(80 + 30, Files.size(path));
    Files.writeString(path, "old");
    try (WavWriter writer = start(true, path, true)) {
      writer.write(new double[3], 0, 3);
    }
    // Nine bytes of samples and their pad.
    assertEquals(80 + 10, Files.size(path));
    assertThrows(RefusedException.class, () -> start(true, folder, true));
    assertThrows(
        RefusedException.class, () -> start(true, folder.resolve("gone").resolve("a.wav"), false));
    assertOnly(path);
  }

  @Test
  void aWholeFileAppearsFinishedOrNotAtAll() throws Exception {
    Path path = folder.resolve("whole.wav");
    try (WavWriter writer = WavWriter.whole(path, MONO_24, false)) {
      writer.write(new double[200_000], 0, 200_000);
      assertFalse(Files.exists(path));
    }
    assertOnly();
    try (WavWriter writer = WavWriter.whole(path, MONO_24, false)) {
      writer.write(new double[200_000], 0, 200_000);
      writer.finish();
    }
    assertOnly(path);
    assertEquals(80 + 600_000, Files.size(path));
  }

  private void assertOnly(Path... expected) throws IOException {
    try (Stream<Path> files = Files.list(folder)) {
      assertEquals(List.of(expected), files.toList());
    }
  }

  private static WavWriter start(boolean growing, Path path, boolean replace)
      throws RefusedException {
    return growing
        ? WavWriter.growing(path, MONO_24, replace)
        : WavWriter.whole(path, MONO_24, replace);
  }

  @Test
  void refusesFormatsThatItDoesNotWrite() {
    for (SampleFormat format :
        List.of(
            new SampleFormat(48000, 1, 8, false),
            new SampleFormat(48000, 1, 20, false),
            new SampleFormat(48000, 1, 16, true),
            new SampleFormat(44100.5, 1, 24, false),
            new SampleFormat(48000, 40_000, 24, false))) {
      assertThrows(
          IllegalArgumentException.class,
          () -> WavWriter.growing(folder.resolve("no.wav"), format, false));
    }
    assertFalse(Files.exists(folder.resolve("no.wav")));
  }

  /**
   * EBU Tech 3306: past 4 GiB the reserve becomes ds64 and the file an RF64. Holes keep it small.
   */
  @Test
  void becomesRf64Past4GiB() throws Exception {
    Path path = folder.resolve("long.wav");
    long before = 4_294_967_200L / 3 - 100;
    double[] marks = {0.5, -0.5, 0.25};
    try (WavWriter writer = WavWriter.growing(path, MONO_24, false)) {
      writer.write(marks, 0, 3);
      writer.writeSilence(before - 3);
      writer.sync();
      assertEquals("RIFF", text(path, 0));
      writer.write(new double[200], 0, 200);
      writer.write(marks, 0, 3);
      writer.sync();
      assertEquals("RF64", text(path, 0));
      assertEquals("ds64", text(path, 12));
      try (WavSource source = WavSource.open(path, 1)) {
        assertEquals(before + 203, source.frames().getAsLong());
      }
      writer.writeSilence(500_000_000);
      writer.write(marks, 0, 3);
    }
    try (WavSource source = WavSource.open(path, 1)) {
      assertEquals(List.of(), source.warnings());
      assertEquals(before + 200 + 3 + 500_000_000 + 3, source.frames().getAsLong());
      assertEquals(0.5, source.read(1).samples()[0]);
      source.skip(before + 198);
      SampleBlock block = source.read(5);
      assertEquals(before + 199, block.position());
      assertArrayEquals(
          new double[] {0, 0.5, -0.5, 0.25, 0}, Arrays.copyOf(block.samples(), block.length()));
      source.skip(500_000_000 - 1);
      assertArrayEquals(marks, Arrays.copyOf(source.read(9).samples(), 3));
    }
    Files.delete(path);
  }

  private static String text(Path path, long at) throws IOException {
    try (RandomAccessFile file = new RandomAccessFile(path.toFile(), "r")) {
      file.seek(at);
      byte[] id = new byte[4];
      file.readFully(id);
      return new String(id, StandardCharsets.US_ASCII);
    }
  }
}
