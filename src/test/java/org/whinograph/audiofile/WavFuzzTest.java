package org.whinograph.audiofile;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import com.sun.management.ThreadMXBean;
import java.lang.management.ManagementFactory;
import java.nio.charset.StandardCharsets;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.whinograph.fuzz.MemoryChannel;
import org.whinograph.fuzz.Mutator;
import org.whinograph.signal.RefusedException;

/**
 * 200,000 damaged files: the reader may refuse each in one line, and nothing else. Work and memory
 * are bounded by what is in the file, never by what its header claims.
 */
class WavFuzzTest {
  private static final int MUTANTS = 200_000;
  private static final int LONGEST = 8192;

  /** Opening looks at each chunk a few times over, reading and digest once each. */
  private static final int MOST_BYTES_READ_PER_BYTE = 16;

  /** A reader's buffers are no longer than the file; samples take eight bytes for one at most. */
  private static final long MOST_ALLOCATED = 1 << 20;

  private static final List<byte[]> WORDS =
      Stream.of(
              "RIFF",
              "RF64",
              "BW64",
              "WAVE",
              "fmt ",
              "data",
              "ds64",
              "JUNK",
              "LIST",
              "bext",
              "fact",
              "\u00ff\u00ff\u00ff\u00ff",
              "\u0000\u0000\u0000\u0000",
              "\u00fe\u00ff",
              "\u0000\u0000\u00c0\u007f",
              "data\u0000\u0000\u0000\u0000",
              "data\u00ff\u00ff\u00ff\u00ff",
              "data\u0000\u00ca\u009a;")
          .map(word -> word.getBytes(StandardCharsets.ISO_8859_1))
          .toList();

  private static List<byte[]> seeds() {
    byte[] data = new byte[240];
    new java.util.Random(1).nextBytes(data);
    double[] sine = new double[60];
    Arrays.setAll(sine, i -> Math.sin(i));
    return List.of(
        WavBytes.plain(1, 1, 8, data),
        WavBytes.plain(1, 1, 16, data),
        WavBytes.plain(1, 2, 24, data),
        WavBytes.plain(1, 3, 32, data),
        WavBytes.plain(3, 1, 32, WavBytes.floats(sine)),
        WavBytes.plain(3, 2, 64, WavBytes.doubles(sine)),
        WavBytes.riff().extensible(1, 1, 44100, 32, 24).chunk("data", data).bytes(),
        WavBytes.riff()
            .chunk("JUNK", new byte[28])
            .chunk("LIST", new byte[13])
            .fmt(1, 2, 96000, 16)
            .claiming("data", 0, data)
            .bytes(),
        WavBytes.riff().chunk("data", data).fmt(1, 1, 48000, 24).chunk("bext", data).bytes(),
        new WavBytes("RF64")
            .ds64(400, 240, 80)
            .fmt(1, 1, 48000, 24)
            .claiming("data", 0xFFFFFFFFL, data)
            .chunk("LIST", new byte[20])
            .bytes());
  }

  @Test
  @Timeout(value = 180, unit = TimeUnit.SECONDS, threadMode = Timeout.ThreadMode.SEPARATE_THREAD)
  void damagedFilesAreReadOrRefused() {
    List<byte[]> seeds = seeds();
    seeds.forEach(seed -> assertTrue(survives(seed, 1), "a seed is no valid file"));
    Mutator mutator = new Mutator(20_260_101, seeds, WORDS, LONGEST);
    int read = 0;
    for (int i = 0; i < MUTANTS; i++) {
      if (survives(mutator.next(), 1 + i % 3)) {
        read++;
      }
    }
    // If nearly all or nearly none were refused, the mutants would test little.
    assertTrue(read > MUTANTS / 20 && read < MUTANTS * 19 / 20, read + " mutants were read");
  }

  /** Whether the file was read to its end; fails on anything but a refusal in one line. */
  private static boolean survives(byte[] file, int channel) {
    ThreadMXBean threads = (ThreadMXBean) ManagementFactory.getThreadMXBean();
    MemoryChannel bytes = new MemoryChannel(file);
    long before = threads.getCurrentThreadAllocatedBytes();
    boolean whole = false;
    try (WavSource source = WavSource.open(bytes, "mutant.wav", channel)) {
      long frames = 0;
      for (var block = source.read(97); block != null; block = source.read(97)) {
        frames += block.length();
        assertTrue(frames <= file.length, "more frames than bytes");
      }
      assertEquals(source.frames().getAsLong(), frames);
      assertEquals(64, source.sha256().length());
      source.warnings().forEach(warning -> assertEquals(1, warning.message().lines().count()));
      whole = true;
    } catch (RefusedException e) {
      String message = e.getMessage();
      assertTrue(
          message.startsWith("mutant.wav: ")
              && message.lines().count() == 1
              && message.length() < 400,
          message);
    } catch (RuntimeException e) {
      throw new AssertionError("mutant " + HexFormat.of().formatHex(file), e);
    }
    long allocated = threads.getCurrentThreadAllocatedBytes() - before;
    assertTrue(allocated < MOST_ALLOCATED, () -> allocated + " bytes for " + file.length);
    assertTrue(
        bytes.bytesRead() <= MOST_BYTES_READ_PER_BYTE * (file.length + 64L),
        () -> bytes.bytesRead() + " bytes read of " + file.length);
    return whole;
  }
}
