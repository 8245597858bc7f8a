package org.whinograph.audiofile;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.fuzz.MemoryChannel;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;

class WavSourceTest {
  private static final byte[] FOUR = WavBytes.codes(2, 1, -2, 3, -32768);
  private static final double[] FOUR_READ = {0x1p-15, -0x1p-14, 3 * 0x1p-15, -1.0};

  @TempDir Path folder;

  /** The largest negative code is −1, the largest positive one step below 1, zero is 0. */
  static Stream<Arguments> fullScales() {
    return Stream.of(
        Arguments.of(1, 8, WavBytes.codes(1, 0, 128, 255), 0x1p-7),
        Arguments.of(1, 16, WavBytes.codes(2, -0x8000, 0, 0x7FFF), 0x1p-15),
        Arguments.of(1, 24, WavBytes.codes(3, -0x800000, 0, 0x7FFFFF), 0x1p-23),
        Arguments.of(1, 32, WavBytes.codes(4, -0x80000000L, 0, 0x7FFFFFFF), 0x1p-31),
        Arguments.of(3, 32, WavBytes.floats(-1, 0, 1 - 0x1p-20), 0x1p-20),
        Arguments.of(3, 64, WavBytes.doubles(-1, 0, 1 - 0x1p-50), 0x1p-50));
  }

  @ParameterizedTest
  @MethodSource("fullScales")
  void fullScaleIsOne(int tag, int bits, byte[] data, double step) throws RefusedException {
    byte[] file = WavBytes.plain(tag, 1, bits, data);
    assertArrayEquals(new double[] {-1, 0, 1 - step}, WavReading.of(file).samples());
    try (WavSource source = WavSource.open(new MemoryChannel(file), "test.wav", 1)) {
      assertEquals(bits, source.format().bitDepth());
      assertEquals(tag == 3, source.format().floatingPoint());
      assertEquals(48000.0, source.format().sampleRateHz());
      assertEquals(3, source.frames().getAsLong());
    }
  }

  /** wValidBitsPerSample: valid bits stand at the upper end of the container. */
  @Test
  void validBitsAreLeftJustified() throws RefusedException {
    byte[] data = WavBytes.codes(4, -0x80000000L, 0x7FFFFF00, 0x100);
    byte[] extensible = WavBytes.riff().extensible(1, 1, 48000, 32, 24).chunk("data", data).bytes();
    byte[] plain = WavBytes.riff().fmt(1, 1, 48000, 4, 24).chunk("data", data).bytes();
    for (byte[] file : List.of(extensible, plain)) {
      WavReading reading = WavReading.of(file);
      assertArrayEquals(new double[] {-1, 1 - 0x1p-23, 0x1p-23}, reading.samples());
      assertEquals(List.of(), reading.warnings());
      try (WavSource source = WavSource.open(new MemoryChannel(file), "test.wav", 1)) {
        assertEquals(24, source.format().bitDepth());
      }
    }
  }

  @Test
  void bitsBelowTheValidOnesAreTold() throws RefusedException {
    byte[] data = WavBytes.codes(4, 0x1234);
    WavReading reading =
        WavReading.of(WavBytes.riff().extensible(1, 1, 48000, 32, 24).chunk("data", data).bytes());
    assertEquals(List.of("low-bits-in-use"), reading.warningCodes());
    // 8 bits at the wrong end are a factor of 256, 20 lg 256 = 48.2 dB.
    assertTrue(reading.warnings().get(0).message().contains("48 dB"));
  }

  static Stream<Arguments> layouts() {
    byte[] text = "odd".getBytes(StandardCharsets.US_ASCII);
    byte[] bext = new byte[602];
    WavBytes unpadded = WavBytes.riff().claiming("LIST", 3, text);
    return Stream.of(
        Arguments.of(
            "JUNK, bext and odd LIST before fmt",
            WavBytes.riff()
                .chunk("JUNK", new byte[28])
                .chunk("bext", bext)
                .chunk("LIST", text)
                .fmt(1, 1, 48000, 16)
                .chunk("data", FOUR)),
        Arguments.of(
            "5 MB before fmt",
            WavBytes.riff()
                .chunk("JUNK", new byte[5_000_001])
                .fmt(1, 1, 48000, 16)
                .chunk("data", FOUR)),
        Arguments.of(
            "samples before fmt", WavBytes.riff().chunk("data", FOUR).fmt(1, 1, 48000, 16)),
        Arguments.of("odd chunk without pad", unpadded.fmt(1, 1, 48000, 16).chunk("data", FOUR)),
        Arguments.of(
            "chunks behind",
            WavBytes.riff().fmt(1, 1, 48000, 16).chunk("data", FOUR).chunk("LIST", text)),
        Arguments.of(
            "empty data first",
            WavBytes.riff().chunk("data", new byte[0]).fmt(1, 1, 48000, 16).chunk("data", FOUR)),
        Arguments.of(
            "long fmt",
            WavBytes.riff()
                .chunk(
                    "fmt ",
                    Arrays.copyOf(
                        Arrays.copyOfRange(WavBytes.riff().fmt(1, 1, 48000, 16).bytes(), 20, 36),
                        18))
                .chunk("data", FOUR)),
        Arguments.of(
            "RF64",
            new WavBytes("RF64")
                .ds64(0, 8, 4)
                .fmt(1, 1, 48000, 16)
                .claiming("data", 0xFFFFFFFFL, FOUR)
                .chunk("LIST", text)),
        Arguments.of(
            "BW64",
            new WavBytes("BW64")
                .ds64(0, 8, 4)
                .fmt(1, 1, 48000, 16)
                .claiming("data", 0xFFFFFFFFL, FOUR)),
        Arguments.of(
            "broken off while it became an RF64",
            WavBytes.riff()
                .ds64(0, 8, 4)
                .fmt(1, 1, 48000, 16)
                .claiming("data", 0xFFFFFFFFL, FOUR)));
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("layouts")
  void chunksComeInAnyOrderAndSize(String what, WavBytes file) throws RefusedException {
    WavReading reading = WavReading.of(file.bytes());
    assertArrayEquals(FOUR_READ, reading.samples(), what);
    assertEquals(List.of(), reading.warnings(), what);
  }

  static Stream<Arguments> wrongSizes() {
    WavBytes start = WavBytes.riff().fmt(1, 1, 48000, 16);
    return Stream.of(
        Arguments.of("size-not-written", start().claiming("data", 0, FOUR)),
        Arguments.of("size-not-written", start().claiming("data", 0xFFFFFFFFL, FOUR)),
        Arguments.of("truncated-file", start().claiming("data", 2_000_000_000, FOUR)),
        Arguments.of("truncated-file", start().claiming("data", 10, FOUR).raw(new byte[] {9})),
        Arguments.of(
            "stale-size",
            start()
                .claiming("data", 2, Arrays.copyOf(FOUR, 2))
                .raw(Arrays.copyOfRange(FOUR, 2, 8))
                .raw(new byte[40])),
        Arguments.of(
            "size-not-written",
            new WavBytes("RF64")
                .ds64(0, 0, 0)
                .fmt(1, 1, 48000, 16)
                .claiming("data", 0xFFFFFFFFL, FOUR)),
        Arguments.of(
            "size-not-written",
            new WavBytes("RF64").fmt(1, 1, 48000, 16).claiming("data", 0xFFFFFFFFL, FOUR)),
        Arguments.of("size-not-written", start.claiming("data", 0, FOUR).raw(new byte[] {1})));
  }

  private static WavBytes start() {
    return WavBytes.riff().fmt(1, 1, 48000, 16);
  }

  @ParameterizedTest
  @MethodSource("wrongSizes")
  void aSizeThatIsWrongMeansTheFilesLength(String code, WavBytes file) throws RefusedException {
    WavReading reading = WavReading.of(file.bytes());
    assertArrayEquals(FOUR_READ, Arrays.copyOf(reading.samples(), 4));
    assertEquals(List.of(code), reading.warningCodes());
    assertTrue(
        reading.warnings().get(0).message().contains(reading.samples().length + " whole frames"));
  }

  static Stream<Arguments> refusals() {
    byte[] zero = new byte[8];
    return Stream.of(
        Arguments.of("empty", new byte[0]),
        Arguments.of("ends within its header", "RIFF".getBytes(StandardCharsets.US_ASCII)),
        Arguments.of("FLAC", text("fLaC0000000000000000")),
        Arguments.of("Ogg", text("OggS0000000000000000")),
        Arguments.of("MP3", text("ID3\u0003000000000000000")),
        Arguments.of("MP3", text("\u00ff\u00fb\u0090d\u0000\u0000\u0000")),
        Arguments.of("M4A", text("\u0000\u0000\u0000 ftypM4A 0000")),
        Arguments.of("AIFF", text("FORM0000AIFF00000000")),
        Arguments.of("'AVI '", text("RIFF0000AVI 00000000")),
        Arguments.of("bytes reversed", text("RIFX0000WAVE00000000")),
        Arguments.of("text", text("time_s,level_db\n1,2\n")),
        Arguments.of("zeros", new byte[4096]),
        Arguments.of("MPEG audio (MP3)", WavBytes.plain(0x55, 1, 16, FOUR)),
        Arguments.of("ADPCM", WavBytes.plain(0x11, 1, 4, FOUR)),
        Arguments.of("A-law", WavBytes.plain(6, 1, 8, FOUR)),
        Arguments.of("mu-law", WavBytes.plain(7, 1, 8, FOUR)),
        Arguments.of(
            "A-law", WavBytes.riff().extensible(6, 1, 8000, 8, 8).chunk("data", FOUR).bytes()),
        Arguments.of("0 channels", WavBytes.plain(1, 0, 16, FOUR)),
        Arguments.of(
            "sample rate of 0", WavBytes.riff().fmt(1, 1, 0, 16).chunk("data", FOUR).bytes()),
        Arguments.of(
            "0 bytes a frame", WavBytes.riff().fmt(1, 1, 48000, 0, 16).chunk("data", FOUR).bytes()),
        Arguments.of(
            "9999 bytes a frame",
            WavBytes.riff().fmt(1, 2, 48000, 9999, 16).chunk("data", FOUR).bytes()),
        Arguments.of("48 bits", WavBytes.riff().fmt(1, 1, 48000, 48).chunk("data", zero).bytes()),
        Arguments.of("no 'data' chunk", WavBytes.riff().fmt(1, 1, 48000, 16).bytes()),
        Arguments.of("no 'data' chunk", WavBytes.plain(1, 1, 16, new byte[0])),
        Arguments.of(
            "no 'data' chunk with any); chunk 'LIST' claims 2000000000 bytes where 8 are left",
            start().claiming("LIST", 2_000_000_000, zero).bytes()),
        Arguments.of(
            "not one whole frame", start().claiming("data", 2_000_000_000, new byte[0]).bytes()),
        Arguments.of("no format chunk", WavBytes.riff().chunk("data", FOUR).bytes()),
        Arguments.of("not one whole frame", start().chunk("data", new byte[1]).bytes()),
        Arguments.of(
            "at 0.000042 s (frame 2) is NaN",
            WavBytes.plain(3, 1, 32, WavBytes.floats(0, 0, Double.NaN))),
        Arguments.of(
            "(frame 1) is infinite",
            WavBytes.plain(3, 1, 64, WavBytes.doubles(0, Double.NEGATIVE_INFINITY))));
  }

  private static byte[] text(String text) {
    return text.getBytes(StandardCharsets.ISO_8859_1);
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("refusals")
  void refusesInOneClearLine(String reason, byte[] file) {
    RefusedException refusal = assertThrows(RefusedException.class, () -> WavReading.of(file));
    assertTrue(refusal.getMessage().startsWith("test.wav: "), refusal.getMessage());
    assertTrue(refusal.getMessage().contains(reason), refusal.getMessage());
    assertEquals(1, refusal.getMessage().lines().count());
  }

  @Test
  void refusesWhatIsNoFile() {
    Path missing = folder.resolve("missing.wav");
    assertTrue(messageOf(missing).contains("no such file"));
    assertTrue(messageOf(folder).contains("a folder"));
  }

  private static String messageOf(Path path) {
    return assertThrows(RefusedException.class, () -> WavSource.open(path, 1)).getMessage();
  }

  @Test
  void channelsAreChosenNeverMixed() throws RefusedException {
    byte[] file = WavBytes.plain(1, 2, 16, WavBytes.codes(2, 16384, -8192, 4096, -2048));
    WavReading first = WavReading.of(file, 1, 1);
    WavReading second = WavReading.of(file, 2, 1);
    assertArrayEquals(new double[] {0.5, 0.125}, first.samples());
    assertArrayEquals(new double[] {-0.25, -0.0625}, second.samples());
    assertEquals(List.of("channel-chosen"), second.warningCodes());
    assertTrue(second.warnings().get(0).message().contains("channel 2 of 2"));
    RefusedException refusal =
        assertThrows(RefusedException.class, () -> WavReading.of(file, 3, 1));
    assertTrue(refusal.getMessage().contains("choose from 1 to 2"));
    assertThrows(IllegalArgumentException.class, () -> WavReading.of(file, 0, 1));
  }

  /** Runs of three and more at a full-scale code, wherever blocks and buffers are cut. */
  @Test
  void overloadsAreExactToTheSampleForEveryBlockSize() throws RefusedException {
    int length = 300_000;
    long[] codes = new long[length];
    SplittableRandom random = new SplittableRandom(5);
    for (int i = 0; i < length; i++) {
      codes[i] = random.nextInt(-8000000, 8000000);
    }
    long top = 0x7FFFFF;
    long bottom = -0x800000;
    fill(codes, 100, 2, top); // too short
    fill(codes, 999, 3, top); // over the edge of a block of 1000
    fill(codes, 65_534, 5, bottom); // over the edge of the longest block
    fill(codes, 87_380, 4, -0x7FFFFF); // over the edge of the buffer; clipped symmetrically
    codes[87_381] = top; // signs may change within a run
    fill(codes, length - 3, 3, top); // at the end
    byte[] file = WavBytes.plain(1, 1, 24, WavBytes.codes(3, codes));
    List<Span> expected =
        List.of(
            new Span(999, 3), new Span(65_534, 5), new Span(87_380, 4), new Span(length - 3, 3));
    WavReading reference = WavReading.of(file, 1, 65_536);
    assertEquals(expected, reference.overloads());
    for (int blockSize : new int[] {1, 2, 3, 7, 1000, 1001, 4096, 65_535}) {
      WavReading reading = WavReading.of(file, 1, blockSize);
      assertEquals(expected, reading.overloads(), "blocks of " + blockSize);
      assertArrayEquals(reference.samples(), reading.samples(), "blocks of " + blockSize);
    }
  }

  private static void fill(long[] codes, int from, int length, long code) {
    Arrays.fill(codes, from, from + length, code);
  }

  /** What needs the samples twice gets the same ones; what was overloaded has been told. */
  @Test
  void aSecondReadingIsOfTheSameSamples() throws Exception {
    Path file = folder.resolve("twice.wav");
    Files.write(file, WavBytes.plain(1, 1, 16, WavBytes.codes(2, 1, -2, 32767, 32767, 32767, 5)));
    try (WavSource first = WavSource.open(file, 1);
        WavSource second = first.again()) {
      WavReading told = WavReading.of(first, 4);
      WavReading again = WavReading.of(second, 3);
      assertArrayEquals(told.samples(), again.samples());
      assertEquals(List.of(new Span(2, 3)), told.overloads());
      assertEquals(List.of(), again.overloads());
      assertEquals(first.sha256(), second.sha256());
    }
  }

  /** A sine whose crest touches full scale has one sample there a period: no overload. */
  @Test
  void aSineThatTouchesFullScaleIsNoOverload() throws RefusedException {
    long[] codes = new long[480];
    for (int i = 0; i < codes.length; i++) {
      codes[i] = Math.round(32767 * Math.sin(2 * Math.PI * i / 48.0));
    }
    assertEquals(32767, Arrays.stream(codes).max().getAsLong());
    assertEquals(
        List.of(), WavReading.of(WavBytes.plain(1, 1, 16, WavBytes.codes(2, codes))).overloads());
    // Twice as loud it is clipped: the same crest now stays at the code.
    long[] clipped =
        Arrays.stream(codes).map(c -> Math.max(-32768, Math.min(32767, 2 * c))).toArray();
    assertEquals(
        20, WavReading.of(WavBytes.plain(1, 1, 16, WavBytes.codes(2, clipped))).overloads().size());
  }

  @Test
  void floatsAtAndAboveOneAreOverloads() throws RefusedException {
    byte[] file = WavBytes.plain(3, 1, 32, WavBytes.floats(0.999, 1.0, 0.5, -3.0, -2.0, 0));
    for (int blockSize : new int[] {1, 2, 100}) {
      assertEquals(
          List.of(new Span(1, 1), new Span(3, 2)), WavReading.of(file, 1, blockSize).overloads());
    }
  }

  /** FIPS 180-4, example "abc" (NIST, SHA-256 example values). */
  @Test
  void digestIsSha256() throws Exception {
    Path file = Files.writeString(folder.resolve("abc"), "abc");
    assertEquals(
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        FileDigest.sha256(file));
  }

  @ParameterizedTest
  @ValueSource(ints = {0, 1, 1000, 150_000})
  void digestIsOfTheWholeFileWhateverWasRead(int framesRead) throws Exception {
    byte[] data = new byte[400_000];
    new java.util.Random(3).nextBytes(data);
    Path file = folder.resolve("noise.wav");
    Files.write(
        file,
        WavBytes.riff()
            .chunk("JUNK", new byte[300_001])
            .fmt(1, 1, 48000, 16)
            .chunk("data", data)
            .chunk("LIST", new byte[77])
            .bytes());
    String expected = FileDigest.sha256(file);
    for (int skipped : new int[] {0, 1, 190_000}) {
      try (WavSource source = WavSource.open(file, 1)) {
        for (int read = 0; read < framesRead; ) {
          read += source.read(framesRead - read).length();
        }
        if (skipped > 0) {
          source.skip(skipped);
          source.read(100);
        }
        assertEquals(expected, source.sha256());
        assertEquals(expected, source.sha256());
      }
    }
  }

  @Test
  void skippingKeepsPositions() throws RefusedException {
    byte[] file = WavBytes.plain(1, 1, 16, FOUR);
    try (WavSource source = WavSource.open(new MemoryChannel(file), "test.wav", 1)) {
      source.read(1);
      source.skip(1);
      SampleBlock block = source.read(10);
      assertEquals(2, block.position());
      assertEquals(2, block.length());
      assertEquals(FOUR_READ[2], block.samples()[0]);
      source.skip(Long.MAX_VALUE);
      assertFalse(source.read(1) != null);
    }
  }
}
