package org.whinograph.audiofile;

import java.lang.invoke.MethodHandles;
import java.lang.invoke.VarHandle;
import java.nio.ByteOrder;

/**
 * How one sample lies in bytes, little end first. One place turns bytes into numbers and back, for
 * files and for live lines alike, so that full scale means the same for both: the largest negative
 * integer is −1, so an n-bit code c is c / 2^(n−1).
 *
 * <p>Fewer valid bits than the container holds change nothing here, since they stand at its upper
 * end (left-justified; Microsoft, "Multiple channel audio data and WAVE files", 2007, section on
 * wValidBitsPerSample).
 *
 * <p>Constants are immutable and safe for use by several threads.
 */
public enum SampleEncoding {
  /** 8 bits, unsigned, 128 in the middle. */
  UNSIGNED_8(1, false),
  /** 16 bits, two's complement. */
  SIGNED_16(2, false),
  /** 24 bits in three bytes, two's complement. */
  SIGNED_24(3, false),
  /** 32 bits, two's complement. */
  SIGNED_32(4, false),
  /** 32-bit floating point of IEEE 754, full scale ±1. */
  FLOAT_32(4, true),
  /** 64-bit floating point of IEEE 754, full scale ±1. */
  FLOAT_64(8, true);

  private static final VarHandle SHORTS =
      MethodHandles.byteArrayViewVarHandle(short[].class, ByteOrder.LITTLE_ENDIAN);
  private static final VarHandle INTS =
      MethodHandles.byteArrayViewVarHandle(int[].class, ByteOrder.LITTLE_ENDIAN);
  private static final VarHandle FLOATS =
      MethodHandles.byteArrayViewVarHandle(float[].class, ByteOrder.LITTLE_ENDIAN);
  private static final VarHandle DOUBLES =
      MethodHandles.byteArrayViewVarHandle(double[].class, ByteOrder.LITTLE_ENDIAN);

  private final int bytes;
  private final boolean floatingPoint;

  SampleEncoding(int bytes, boolean floatingPoint) {
    this.bytes = bytes;
    this.floatingPoint = floatingPoint;
  }

  /**
   * The encoding of a width.
   *
   * @param bytes width of a sample [bytes]: 1 to 4 for integers, 4 or 8 for floating point
   * @param floatingPoint whether samples are floating point
   * @return the encoding
   * @throws IllegalArgumentException if there is none of that width
   */
  public static SampleEncoding of(int bytes, boolean floatingPoint) {
    for (SampleEncoding encoding : values()) {
      if (encoding.bytes == bytes && encoding.floatingPoint == floatingPoint) {
        return encoding;
      }
    }
    throw new IllegalArgumentException(
        "bytes: 1 to 4 for integers, 4 or 8 for floating point, got " + bytes);
  }

  /**
   * Width of a sample.
   *
   * @return width [bytes]
   */
  public int bytes() {
    return bytes;
  }

  /**
   * Whether samples are floating point.
   *
   * @return true for {@link #FLOAT_32} and {@link #FLOAT_64}
   */
  public boolean floatingPoint() {
    return floatingPoint;
  }

  /**
   * Decodes samples that lie at a fixed distance from each other: one channel of interleaved
   * frames.
   *
   * @param source bytes, little end first
   * @param offset where the first sample starts [bytes]
   * @param stride from the start of one sample to the next [bytes]
   * @param target takes the samples [parts of full scale]
   * @param at index in {@code target} of the first one
   * @param count number of samples
   */
  public void decode(byte[] source, int offset, int stride, double[] target, int at, int count) {
    int end = at + count;
    int p = offset;
    switch (this) {
      case UNSIGNED_8 -> {
        for (int i = at; i < end; i++, p += stride) {
          target[i] = ((source[p] & 0xFF) - 128) * 0x1p-7;
        }
      }
      case SIGNED_16 -> {
        for (int i = at; i < end; i++, p += stride) {
          target[i] = (short) SHORTS.get(source, p) * 0x1p-15;
        }
      }
      case SIGNED_24 -> {
        for (int i = at; i < end; i++, p += stride) {
          int code = (source[p] & 0xFF) | ((source[p + 1] & 0xFF) << 8) | (source[p + 2] << 16);
          target[i] = code * 0x1p-23;
        }
      }
      case SIGNED_32 -> {
        for (int i = at; i < end; i++, p += stride) {
          target[i] = (int) INTS.get(source, p) * 0x1p-31;
        }
      }
      case FLOAT_32 -> {
        for (int i = at; i < end; i++, p += stride) {
          target[i] = (float) FLOATS.get(source, p);
        }
      }
      case FLOAT_64 -> {
        for (int i = at; i < end; i++, p += stride) {
          target[i] = (double) DOUBLES.get(source, p);
        }
      }
    }
  }

  /**
   * Encodes samples one behind the other. Integers are rounded to the nearest code, halves to even,
   * and held at the largest and smallest code.
   *
   * @param source samples [parts of full scale]
   * @param from index of the first one
   * @param target takes the bytes, little end first
   * @param offset where the first sample starts [bytes]
   * @param count number of samples
   * @return how many samples lay outside the codes and were held at the edge
   * @throws IllegalArgumentException if a sample is not finite
   */
  public int encode(double[] source, int from, byte[] target, int offset, int count) {
    double scale = Math.scalb(1.0, 8 * bytes - 1);
    int held = 0;
    for (int i = 0, p = offset; i < count; i++, p += bytes) {
      double sample = source[from + i];
      if (!Double.isFinite(sample)) {
        throw new IllegalArgumentException(
            "source: finite samples, got " + sample + " at index " + (from + i));
      }
      if (this == FLOAT_32) {
        FLOATS.set(target, p, (float) sample);
      } else if (this == FLOAT_64) {
        DOUBLES.set(target, p, sample);
      } else {
        double exact = Math.rint(sample * scale);
        double code = Math.max(-scale, Math.min(scale - 1, exact));
        if (code != exact) {
          held++;
        }
        // The middle of unsigned bytes is 128; adding it modulo 256 is what the cast keeps.
        long bits = this == UNSIGNED_8 ? (long) code + 128 : (long) code;
        for (int b = 0; b < bytes; b++) {
          target[p + b] = (byte) (bits >> (8 * b));
        }
      }
    }
    return held;
  }
}
