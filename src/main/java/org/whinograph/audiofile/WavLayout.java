package org.whinograph.audiofile;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.SeekableByteChannel;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Warning;

/**
 * Where the samples of a WAV, RF64 or BW64 file lie and how they are stored (Microsoft and IBM,
 * "Multimedia programming interface and data specifications 1.0", 1991; EBU Tech 3306, RF64; ITU-R
 * BS.2088, BW64).
 *
 * <p>Headers lie: programs that are cut off leave sizes of 0, of FFFFFFFF or of some seconds ago.
 * What a header claims is therefore only believed where the file's own length and the chunks behind
 * it bear it out, and nothing is ever allocated by its claims.
 *
 * @param format rate, channels, valid bits
 * @param encoding how one sample lies in bytes
 * @param frameBytes one sample of every channel [bytes]
 * @param dataStart where the first frame starts [bytes from the start of the file]
 * @param frames whole frames that are there
 * @param fileBytes length of the file when it was opened [bytes]
 * @param warnings what the reader of a result must know
 */
record WavLayout(
    SampleFormat format,
    SampleEncoding encoding,
    int frameBytes,
    long dataStart,
    long frames,
    long fileBytes,
    List<Warning> warnings) {
  private static final long UNKNOWN_SIZE = 0xFFFFFFFFL;
  private static final int CHUNK_HEADER = 8;

  /** Real files have a few dozen chunks; the limit only bounds the work on a hostile one. */
  private static final int MOST_CHUNKS = 10_000;

  /** Above every converter; the limit keeps absurd headers out of the filters' design. */
  private static final long HIGHEST_RATE_HZ = 10_000_000;

  private static final int MOST_TABLE_ENTRIES = 256;
  private static final int TAG_PCM = 1;
  private static final int TAG_FLOAT = 3;
  private static final int TAG_EXTENSIBLE = 0xFFFE;

  /** Bytes 2 to 15 of a sub-format GUID that stands for a plain format tag. */
  private static final byte[] GUID_TAIL = {
    0, 0, 0, 0, 0x10, 0, (byte) 0x80, 0, 0, (byte) 0xAA, 0, 0x38, (byte) 0x9B, 0x71
  };

  static WavLayout read(SeekableByteChannel file, String name)
      throws IOException, RefusedException {
    return new Parser(file, name).parse();
  }

  /** A chunk's name as it may stand in a message: printable, or in hexadecimal. */
  static String show(String id) {
    if (!id.isEmpty() && id.chars().allMatch(c -> c >= ' ' && c < 127)) {
      return "'" + id + "'";
    }
    StringBuilder hex = new StringBuilder("0x");
    id.chars().forEach(c -> hex.append(String.format(Locale.ROOT, "%02X", c & 0xFF)));
    return hex.toString();
  }

  private record Format(SampleFormat format, SampleEncoding encoding, int frameBytes) {}

  private record Data(long start, long bytes, Warning warning) {}

  private static final class Parser {
    private final SeekableByteChannel file;
    private final String name;
    private final long size;
    private final Map<String, Long> longSizes = new HashMap<>();

    Parser(SeekableByteChannel file, String name) throws IOException {
      this.file = file;
      this.name = name;
      this.size = file.size();
    }

    WavLayout parse() throws IOException, RefusedException {
      if (size == 0) {
        throw refuse("the file is empty; record again or give another file");
      }
      byte[] head = bytes(0, (int) Math.min(16, size));
      String text = new String(head, StandardCharsets.ISO_8859_1);
      boolean riff = text.startsWith("RIFF") || text.startsWith("RF64") || text.startsWith("BW64");
      if (!riff || !text.startsWith("WAVE", 8)) {
        if (riff && head.length < 12) {
          throw refuse("the file ends within its header; record again or give another file");
        }
        throw refuse("not a WAV file: " + ForeignFile.describe(head));
      }
      Format format = null;
      Data data = null;
      String broken = null;
      long at = 12;
      for (int count = 0; at + CHUNK_HEADER <= size && (format == null || data == null); count++) {
        if (count == MOST_CHUNKS) {
          throw refuse("more than " + MOST_CHUNKS + " chunks before the samples; give a WAV");
        }
        String id = id(at);
        long claimed = claimed(id, at);
        long body = at + CHUNK_HEADER;
        if (id.equals("ds64")) {
          readLongSizes(body, Math.min(claimed, size - body));
        } else if (id.equals("fmt ") && format == null) {
          format = readFormat(body, Math.min(claimed, size - body));
        } else if (id.equals("data") && data == null) {
          data = measure(body, claimed);
          if (data != null && data.start + data.bytes >= size) {
            break;
          }
        }
        if (claimed > size - body) {
          broken =
              "chunk "
                  + show(id)
                  + " claims "
                  + claimed
                  + " bytes where "
                  + (size - body)
                  + " are left";
          break;
        }
        at = next(body, claimed);
      }
      if (format == null) {
        throw refuse(
            "no format chunk ('fmt ')"
                + (broken == null ? "" : "; " + broken)
                + "; the file is damaged, give another one");
      }
      if (data == null) {
        throw refuse(
            "no samples (no 'data' chunk with any)"
                + (broken == null ? "" : "; " + broken)
                + "; record again or give another file");
      }
      return assemble(format, data);
    }

    private WavLayout assemble(Format format, Data data) throws RefusedException {
      long frames = data.bytes / format.frameBytes;
      if (frames == 0) {
        throw refuse("not one whole frame of samples is there; record again or give another file");
      }
      List<Warning> warnings = new ArrayList<>();
      if (data.warning != null) {
        double seconds = frames / format.format.sampleRateHz();
        warnings.add(
            new Warning(
                data.warning.code(),
                String.format(
                    Locale.ROOT,
                    "%s: %s; %d whole frames (%.3f s) were read",
                    name,
                    data.warning.message(),
                    frames,
                    seconds)));
      }
      return new WavLayout(
          format.format,
          format.encoding,
          format.frameBytes,
          data.start,
          frames,
          size,
          List.copyOf(warnings));
    }

    /** How far the samples really go, or null for a data chunk that is really empty. */
    private Data measure(long body, long claimed) throws IOException {
      long left = size - body;
      if (claimed == 0 && (left == 0 || chunksFollow(body))) {
        return null;
      }
      if (claimed == 0 || claimed == UNKNOWN_SIZE) {
        return new Data(
            body,
            left,
            new Warning(
                "size-not-written",
                "the header doesn't say how long the recording is (it was broken off, or written"
                    + " as a stream), so the file's length counts"));
      }
      if (claimed > left) {
        return new Data(
            body,
            left,
            new Warning(
                "truncated-file",
                "the file is cut off: its header claims "
                    + claimed
                    + " bytes of samples, "
                    + left
                    + " are there"));
      }
      long end = body + claimed;
      long paddedEnd = end + (claimed & 1);
      // Fewer bytes than a chunk header are no chunk and, with a pad, no frame worth reading.
      boolean toTheEnd = size - end < CHUNK_HEADER;
      if (toTheEnd || chunksFollow(paddedEnd) || (paddedEnd != end && chunksFollow(end))) {
        return new Data(body, claimed, null);
      }
      return new Data(
          body,
          left,
          new Warning(
              "stale-size",
              "the header counts "
                  + claimed
                  + " bytes of samples, but "
                  + (left - claimed)
                  + " more follow that are no chunk (a recording that was broken off), so the"
                  + " file's length counts"));
    }

    /** Whether whole chunks with printable names fill the file from here to its end. */
    private boolean chunksFollow(long from) throws IOException {
      long at = from;
      for (int count = 0; count < MOST_CHUNKS; count++) {
        if (count > 0 && size - at < CHUNK_HEADER) {
          return true;
        }
        if (size - at < CHUNK_HEADER) {
          return false;
        }
        String id = id(at);
        long body = at + CHUNK_HEADER;
        long claimed = claimed(id, at);
        if (!plausible(id) || claimed > size - body) {
          return false;
        }
        at = next(body, claimed);
      }
      return false;
    }

    /** Odd chunks are followed by a pad byte; some programs forget it. */
    private long next(long body, long claimed) throws IOException {
      long end = body + claimed;
      if ((claimed & 1) == 0) {
        return end;
      }
      boolean padded = end + 1 + CHUNK_HEADER > size || plausible(id(end + 1));
      return padded || end + CHUNK_HEADER > size || !plausible(id(end)) ? end + 1 : end;
    }

    private static boolean plausible(String id) {
      return id.chars()
              .allMatch(
                  c ->
                      (c >= 'a' && c <= 'z')
                          || (c >= 'A' && c <= 'Z')
                          || (c >= '0' && c <= '9')
                          || c == ' '
                          || c == '_'
                          || c == '-'
                          || c == '.')
          && id.charAt(0) != ' ';
    }

    private String id(long at) throws IOException {
      return new String(bytes(at, 4), StandardCharsets.ISO_8859_1);
    }

    private long claimed(String id, long at) throws IOException {
      long claimed = buffer(at + 4, 4).getInt() & 0xFFFFFFFFL;
      return claimed == UNKNOWN_SIZE ? longSizes.getOrDefault(id, claimed) : claimed;
    }

    /** EBU Tech 3306, ds64: sizes of 64 bits for the chunks that say FFFFFFFF. */
    private void readLongSizes(long body, long length) throws IOException {
      if (length < 24) {
        return;
      }
      ByteBuffer fixed = buffer(body, 24);
      put("data", fixed.getLong(8));
      if (length < 28) {
        return;
      }
      long entries = buffer(body + 24, 4).getInt() & 0xFFFFFFFFL;
      long there = Math.min(Math.min(entries, (length - 28) / 12), MOST_TABLE_ENTRIES);
      for (long i = 0; i < there; i++) {
        long entry = body + 28 + 12 * i;
        put(id(entry), buffer(entry + 4, 8).getLong());
      }
    }

    private void put(String id, long bytes) {
      // A negative size is one beyond any file; one of 0 was never filled in.
      if (bytes > 0) {
        longSizes.putIfAbsent(id, bytes);
      }
    }

    private Format readFormat(long body, long length) throws IOException, RefusedException {
      if (length < 16) {
        throw refuse("the format chunk ends within itself; the file is damaged, give another one");
      }
      ByteBuffer fields = buffer(body, (int) Math.min(40, length));
      int tag = fields.getShort(0) & 0xFFFF;
      int channels = fields.getShort(2) & 0xFFFF;
      long rate = fields.getInt(4) & 0xFFFFFFFFL;
      int frameBytes = fields.getShort(12) & 0xFFFF;
      int bits = fields.getShort(14) & 0xFFFF;
      int validBits = bits;
      if (tag == TAG_EXTENSIBLE) {
        if (fields.limit() < 40) {
          throw refuse(
              "the extensible format chunk ends within itself; the file is damaged, give another"
                  + " one");
        }
        byte[] tail = new byte[GUID_TAIL.length];
        fields.get(26, tail);
        if (!Arrays.equals(tail, GUID_TAIL)) {
          throw refuse("a sub-format that is not plain PCM or float; convert it to plain WAV");
        }
        int stated = fields.getShort(18) & 0xFFFF;
        validBits = stated == 0 ? bits : stated;
        tag = fields.getShort(24) & 0xFFFF;
      }
      if (tag != TAG_PCM && tag != TAG_FLOAT) {
        throw refuse(compressed(tag));
      }
      if (channels == 0) {
        throw refuse("the header says 0 channels; the file is damaged, give another one");
      }
      if (rate == 0 || rate > HIGHEST_RATE_HZ) {
        throw refuse(
            "the header says a sample rate of "
                + rate
                + " Hz, 1 to "
                + HIGHEST_RATE_HZ
                + " is possible; the file is damaged, give another one");
      }
      boolean floating = tag == TAG_FLOAT;
      int width = frameBytes / channels;
      boolean possible =
          frameBytes % channels == 0
              && (floating
                  ? bits == 8 * width && (width == 4 || width == 8)
                  : width >= 1 && width <= 4 && bits >= 1 && bits <= 8 * width);
      if (!possible || validBits < 8 || validBits > 8 * width) {
        throw refuse(
            "the header says "
                + channels
                + " channels, "
                + bits
                + " bits, "
                + validBits
                + " of them valid, and "
                + frameBytes
                + " bytes a frame, which fits no PCM of 8 to 32 bits and no float of 32 or 64;"
                + " convert it to plain WAV");
      }
      return new Format(
          new SampleFormat(rate, channels, floating ? bits : validBits, floating),
          SampleEncoding.of(width, floating),
          frameBytes);
    }

    private static String compressed(int tag) {
      String format =
          switch (tag) {
            case 0x0002, 0x0011 -> "ADPCM";
            case 0x0006 -> "A-law";
            case 0x0007 -> "mu-law";
            case 0x0050, 0x0055 -> "MPEG audio (MP3)";
            case 0x00FF, 0x1610 -> "AAC";
            case 0x0160, 0x0161, 0x0162 -> "Windows Media Audio";
            default -> String.format(Locale.ROOT, "format 0x%04X", tag);
          };
      return "the WAV holds "
          + format
          + ", not PCM or float; compression alters levels and tones, record as plain WAV";
    }

    private byte[] bytes(long at, int count) throws IOException {
      return buffer(at, count).array();
    }

    private ByteBuffer buffer(long at, int count) throws IOException {
      ByteBuffer buffer = ByteBuffer.allocate(count).order(ByteOrder.LITTLE_ENDIAN);
      file.position(at);
      while (buffer.hasRemaining()) {
        if (file.read(buffer) < 0) {
          throw new IOException("the file got shorter while it was read");
        }
      }
      return buffer.flip();
    }

    private RefusedException refuse(String reason) {
      return new RefusedException(name + ": " + reason);
    }
  }
}
