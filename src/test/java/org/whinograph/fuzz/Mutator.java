package org.whinograph.fuzz;

import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;

/**
 * Damages files at random, always the same way for the same seed: flips, edges of integer ranges,
 * cuts, repeats, splices and words that mean something to the reader under test.
 *
 * <p>Give it valid files of every kind that the reader knows and the words of its format, then hand
 * each of {@link #next()} to the reader, which may refuse it but do nothing worse.
 */
public final class Mutator {
  private static final long[] EDGES = {
    0,
    1,
    2,
    3,
    4,
    7,
    8,
    16,
    24,
    32,
    64,
    127,
    128,
    255,
    256,
    0x7FFF,
    0x8000,
    0xFFFE,
    0xFFFF,
    0x10000,
    0x7FFFFFFFL,
    0x80000000L,
    0xFFFFFFFEL,
    0xFFFFFFFFL,
    Long.MAX_VALUE,
    Long.MIN_VALUE,
    -1
  };
  private static final int MOST_CHANGES = 6;

  private final List<byte[]> seeds;
  private final List<byte[]> words;
  private final int longest;
  private final SplittableRandom random;

  /**
   * Prepares a stream of damaged files.
   *
   * @param seed fixes the stream
   * @param seeds valid files, at least one
   * @param words byte sequences that mean something in the format; may be empty
   * @param longest no mutant gets longer [bytes]
   */
  public Mutator(long seed, List<byte[]> seeds, List<byte[]> words, int longest) {
    this.seeds = List.copyOf(seeds);
    this.words = List.copyOf(words);
    this.longest = longest;
    this.random = new SplittableRandom(seed);
  }

  /**
   * The next damaged file.
   *
   * @return its bytes, the caller's own
   */
  public byte[] next() {
    byte[] bytes = any(seeds).clone();
    for (int i = random.nextInt(1, MOST_CHANGES + 1); i > 0; i--) {
      bytes = change(bytes);
    }
    return bytes.length > longest ? Arrays.copyOf(bytes, longest) : bytes;
  }

  private byte[] change(byte[] bytes) {
    if (bytes.length == 0) {
      return any(seeds).clone();
    }
    int at = position(bytes);
    switch (random.nextInt(9)) {
      case 0 -> bytes[at] ^= (byte) (1 << random.nextInt(8));
      case 1 -> bytes[at] = (byte) random.nextInt(256);
      case 2, 3 -> put(bytes, at, EDGES[random.nextInt(EDGES.length)], 1 << random.nextInt(4));
      case 4 -> {
        return Arrays.copyOf(bytes, at);
      }
      case 5 -> {
        return replaced(bytes, at, at + random.nextInt(bytes.length - at + 1), new byte[0]);
      }
      case 6 -> {
        int from = random.nextInt(bytes.length);
        int length = random.nextInt(Math.min(64, bytes.length - from) + 1);
        return replaced(bytes, at, at, Arrays.copyOfRange(bytes, from, from + length));
      }
      case 7 -> {
        byte[] other = any(seeds);
        int from = random.nextInt(other.length);
        return replaced(bytes, at, bytes.length, Arrays.copyOfRange(other, from, other.length));
      }
      default -> {
        byte[] word = words.isEmpty() ? new byte[] {0} : any(words);
        int over = random.nextBoolean() ? Math.min(bytes.length, at + word.length) : at;
        return replaced(bytes, at, over, word);
      }
    }
    return bytes;
  }

  /** Headers decide most, so half of all changes fall into the first 128 bytes. */
  private int position(byte[] bytes) {
    return random.nextInt(random.nextBoolean() ? Math.min(128, bytes.length) : bytes.length);
  }

  private static void put(byte[] bytes, int at, long value, int width) {
    for (int i = 0; i < width && at + i < bytes.length; i++) {
      bytes[at + i] = (byte) (value >> (8 * i));
    }
  }

  private static byte[] replaced(byte[] bytes, int from, int to, byte[] by) {
    byte[] result = Arrays.copyOf(bytes, from + by.length + bytes.length - to);
    System.arraycopy(by, 0, result, from, by.length);
    System.arraycopy(bytes, to, result, from + by.length, bytes.length - to);
    return result;
  }

  private byte[] any(List<byte[]> list) {
    return list.get(random.nextInt(list.size()));
  }
}
