package org.whinograph.audiofile;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.ByteArrayInputStream;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import java.util.stream.Stream;
import javax.sound.sampled.AudioFileFormat;
import javax.sound.sampled.AudioFormat;
import javax.sound.sampled.AudioFormat.Encoding;
import javax.sound.sampled.AudioInputStream;
import javax.sound.sampled.AudioSystem;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.whinograph.signal.SampleFormat;

/** The Java platform's own WAV reader and writer as a second opinion, where they read right. */
class WavSecondOpinionTest {
  @TempDir Path folder;

  static Stream<Arguments> formats() {
    List<Arguments> all = new ArrayList<>();
    for (int channels : new int[] {1, 2, 6}) {
      for (int bits : new int[] {16, 24, 32}) {
        all.add(Arguments.of(Encoding.PCM_SIGNED, bits, channels));
      }
      all.add(Arguments.of(Encoding.PCM_FLOAT, 32, channels));
    }
    return all.stream();
  }

  private static byte[] noise(Encoding encoding, int bits, int count) {
    Random random = new Random(2);
    if (encoding.equals(Encoding.PCM_FLOAT)) {
      return WavBytes.floats(random.doubles(count, -1, 1).toArray());
    }
    byte[] bytes = new byte[count * bits / 8];
    random.nextBytes(bytes);
    return bytes;
  }

  private static AudioFormat format(Encoding encoding, int bits, int channels) {
    return new AudioFormat(encoding, 44100, bits, channels, channels * bits / 8, 44100, false);
  }

  @ParameterizedTest
  @MethodSource("formats")
  void thePlatformReadsWhatIsWritten(Encoding encoding, int bits, int channels) throws Exception {
    byte[] raw = noise(encoding, bits, 5001 * channels);
    Path path = folder.resolve("ours.wav");
    SampleFormat ours =
        new SampleFormat(44100, channels, bits, encoding.equals(Encoding.PCM_FLOAT));
    try (WavWriter writer = WavWriter.growing(path, ours, false)) {
      writer.write(raw, 0, raw.length);
    }
    try (AudioInputStream in = AudioSystem.getAudioInputStream(path.toFile())) {
      assertEquals(encoding, in.getFormat().getEncoding());
      assertEquals(bits, in.getFormat().getSampleSizeInBits());
      assertEquals(channels, in.getFormat().getChannels());
      assertEquals(44100, in.getFormat().getSampleRate());
      assertEquals(5001, in.getFrameLength());
      assertArrayEquals(raw, in.readAllBytes());
    }
  }

  static Stream<Arguments> platformFormats() {
    return Stream.concat(
        Stream.of(
            Arguments.of(Encoding.PCM_UNSIGNED, 8, 1), Arguments.of(Encoding.PCM_UNSIGNED, 8, 2)),
        formats());
  }

  /**
   * The platform decodes to 64-bit float, an arithmetic of its own, that is compared bit by bit.
   */
  @ParameterizedTest
  @MethodSource("platformFormats")
  void readsWhatThePlatformWrites(Encoding encoding, int bits, int channels) throws Exception {
    byte[] raw = noise(encoding, bits, 5001 * channels);
    AudioFormat format = format(encoding, bits, channels);
    Path path = folder.resolve("platform.wav");
    AudioSystem.write(
        new AudioInputStream(new ByteArrayInputStream(raw), format, 5001),
        AudioFileFormat.Type.WAVE,
        path.toFile());
    double[][] expected = platformDecodes(raw, format);
    for (int channel = 1; channel <= channels; channel++) {
      try (WavSource source = WavSource.open(path, channel)) {
        assertEquals(bits, source.format().bitDepth());
        assertEquals(44100.0, source.format().sampleRateHz());
        double[] read = WavReading.of(source, 777).samples();
        // The platform scales by 2^(n-1) - 1 or 2^(n-1) depending on the width and computes in
        // 32-bit float: half a code of 16 bits bounds both.
        assertArrayEquals(expected[channel - 1], read, bits == 8 ? 0x1p-7 : 0x1p-15);
      }
    }
  }

  private static double[][] platformDecodes(byte[] raw, AudioFormat format) throws Exception {
    int channels = format.getChannels();
    AudioFormat floats = format(Encoding.PCM_FLOAT, 32, channels);
    try (AudioInputStream in =
        AudioSystem.getAudioInputStream(
            floats, new AudioInputStream(new ByteArrayInputStream(raw), format, 5001))) {
      byte[] bytes = in.readAllBytes();
      double[][] samples = new double[channels][bytes.length / 4 / channels];
      var view = java.nio.ByteBuffer.wrap(bytes).order(java.nio.ByteOrder.LITTLE_ENDIAN);
      for (int i = 0; i < samples[0].length; i++) {
        for (int c = 0; c < channels; c++) {
          samples[c][i] = view.getFloat();
        }
      }
      assertEquals(5001, Arrays.stream(samples).mapToInt(s -> s.length).min().getAsInt());
      return samples;
    }
  }
}
