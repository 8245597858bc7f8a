package org.whinograph.audiofile;

import java.io.ByteArrayOutputStream;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.charset.StandardCharsets;

/** Builds WAV files byte by byte, right ones and wrong ones, independently of the writer. */
final class WavBytes {
  private final ByteArrayOutputStream chunks = new ByteArrayOutputStream();
  private final String container;

  WavBytes(String container) {
    this.container = container;
  }

  static WavBytes riff() {
    return new WavBytes("RIFF");
  }

  /** A plain file: fmt, then data. */
  static byte[] plain(int tag, int channels, int bits, byte[] data) {
    return riff().fmt(tag, channels, 48000, bits).chunk("data", data).bytes();
  }

  WavBytes fmt(int tag, int channels, int rate, int bits) {
    return fmt(tag, channels, rate, channels * ((bits + 7) / 8), bits);
  }

  WavBytes fmt(int tag, int channels, int rate, int frameBytes, int bits) {
    return chunk("fmt ", bytesOf(format(16, tag, channels, rate, frameBytes, bits)));
  }

  WavBytes extensible(int subTag, int channels, int rate, int bits, int validBits) {
    int frameBytes = channels * bits / 8;
    ByteBuffer body = format(40, 0xFFFE, channels, rate, frameBytes, bits);
    body.putShort((short) 22).putShort((short) validBits).putInt(0);
    body.putShort((short) subTag);
    // KSDATAFORMAT_SUBTYPE_PCM without its first two bytes: 0000-0000-0010-8000-00AA00389B71.
    body.put(
        new byte[] {
          0, 0, 0, 0, 0x10, 0, (byte) 0x80, 0, 0, (byte) 0xAA, 0, 0x38, (byte) 0x9B, 0x71
        });
    return chunk("fmt ", bytesOf(body));
  }

  private static ByteBuffer format(
      int length, int tag, int channels, int rate, int frameBytes, int bits) {
    return little(length)
        .putShort((short) tag)
        .putShort((short) channels)
        .putInt(rate)
        .putInt(rate * frameBytes)
        .putShort((short) frameBytes)
        .putShort((short) bits);
  }

  WavBytes chunk(String id, byte[] body) {
    claiming(id, body.length, body);
    return (body.length & 1) == 1 ? raw(new byte[1]) : this;
  }

  /** A chunk whose header claims any length, without pad. */
  WavBytes claiming(String id, long claimed, byte[] body) {
    raw(id.getBytes(StandardCharsets.ISO_8859_1));
    raw(little(4).putInt((int) claimed).array());
    return raw(body);
  }

  WavBytes ds64(long riffSize, long dataSize, long frames) {
    return chunk(
        "ds64", little(28).putLong(riffSize).putLong(dataSize).putLong(frames).putInt(0).array());
  }

  WavBytes raw(byte[] bytes) {
    chunks.writeBytes(bytes);
    return this;
  }

  byte[] bytes() {
    ByteArrayOutputStream file = new ByteArrayOutputStream();
    file.writeBytes(container.getBytes(StandardCharsets.ISO_8859_1));
    file.writeBytes(little(4).putInt(container.equals("RIFF") ? 4 + chunks.size() : -1).array());
    file.writeBytes("WAVE".getBytes(StandardCharsets.ISO_8859_1));
    file.writeBytes(chunks.toByteArray());
    return file.toByteArray();
  }

  private static byte[] bytesOf(ByteBuffer buffer) {
    byte[] bytes = new byte[buffer.capacity()];
    buffer.get(0, bytes);
    return bytes;
  }

  static ByteBuffer little(int length) {
    return ByteBuffer.allocate(length).order(ByteOrder.LITTLE_ENDIAN);
  }

  /** Codes of an integer width, little end first, one behind the other. */
  static byte[] codes(int bytesEach, long... codes) {
    byte[] result = new byte[codes.length * bytesEach];
    for (int i = 0; i < codes.length; i++) {
      for (int b = 0; b < bytesEach; b++) {
        result[i * bytesEach + b] = (byte) (codes[i] >> (8 * b));
      }
    }
    return result;
  }

  static byte[] doubles(double... values) {
    ByteBuffer buffer = little(8 * values.length);
    for (double value : values) {
      buffer.putDouble(value);
    }
    return bytesOf(buffer);
  }

  static byte[] floats(double... values) {
    ByteBuffer buffer = little(4 * values.length);
    for (double value : values) {
      buffer.putFloat((float) value);
    }
    return bytesOf(buffer);
  }
}
