package org.whinograph.audiofile;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.ByteOrder;
import java.nio.channels.FileChannel;
import java.nio.channels.FileLock;
import java.nio.channels.OverlappingFileLockException;
import java.nio.charset.StandardCharsets;
import java.nio.file.FileAlreadyExistsException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.nio.file.StandardOpenOption;
import java.util.Locale;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;
import org.whinograph.storage.FileFailure;

/**
 * Writes a WAV file as a stream, so that nothing that was written can be lost.
 *
 * <p>Two ways of coming into being: a {@linkplain #growing growing} file carries its own name from
 * the first moment and is a whole WAV at any time, give or take the last second, whatever kills the
 * program; a {@linkplain #whole whole} file appears under its name only when it is finished, so
 * that a failed job leaves nothing behind.
 *
 * <p>After each second of samples the data are forced to the disk, then the sizes in the header are
 * set and forced. 28 bytes are reserved at the start; past 4 GiB they become the ds64 chunk and the
 * file an RF64 (EBU Tech 3306): first ds64, then both sizes of FFFFFFFF, last the file's type, so
 * that each state between reads right.
 *
 * <p>Not safe for use by several threads.
 */
public final class WavWriter implements FrameWriter {
  private static final int BUFFER_BYTES = 1 << 16;
  private static final int DS64_BODY = 28;
  private static final int LONG_SIZES_AT = 12;
  private static final long UNKNOWN_SIZE = 0xFFFFFFFFL;

  /** PCM of more than two channels needs a channel mask, so the extensible format chunk. */
  private static final int MOST_PLAIN_CHANNELS = 2;

  private static final long LOCK_AT = Long.MAX_VALUE - 1;

  private static final byte[] GUID_TAIL = {
    0, 0, 0, 0, 0x10, 0, (byte) 0x80, 0, 0, (byte) 0xAA, 0, 0x38, (byte) 0x9B, 0x71
  };

  private final Path target;
  private final Path written;
  private final boolean replace;
  private final boolean growing;
  private final FileChannel file;
  private final SampleFormat format;
  private final SampleEncoding encoding;
  private final int frameBytes;
  private final long dataStart;
  private final long factAt;
  private final byte[] bytes;
  private final ByteBuffer buffer;

  private long dataBytes;
  private long syncedBytes;
  private long heldSamples;
  private boolean locked;
  private boolean rf64;
  private boolean failed;
  private boolean open = true;

  private WavWriter(
      Path target, Path written, boolean replace, boolean growing, SampleFormat format)
      throws IOException {
    this.target = target;
    this.written = written;
    this.replace = replace;
    this.growing = growing;
    this.format = format;
    this.encoding = encodingOf(format);
    this.frameBytes = encoding.bytes() * format.channels();
    int capacity = Math.max(1, BUFFER_BYTES / frameBytes) * frameBytes;
    this.bytes = new byte[capacity];
    this.buffer = ByteBuffer.wrap(bytes);
    ByteBuffer header = ByteBuffer.allocate(256).order(ByteOrder.LITTLE_ENDIAN);
    this.factAt = putHeader(header);
    this.dataStart = header.position();
    this.file =
        FileChannel.open(
            written,
            StandardOpenOption.CREATE_NEW,
            StandardOpenOption.READ,
            StandardOpenOption.WRITE);
    try {
      locked = holdLock(file);
      writeFully(header.flip(), 0);
      file.force(true);
    } catch (IOException e) {
      file.close();
      Files.deleteIfExists(written);
      throw e;
    }
  }

  /** Over an existing file, for repair. */
  private WavWriter(Path existing, SampleFormat format, FileChannel file) {
    this.target = existing;
    this.written = existing;
    this.replace = false;
    this.growing = true;
    this.format = format;
    this.encoding = encodingOf(format);
    this.frameBytes = encoding.bytes() * format.channels();
    this.bytes = new byte[0];
    this.buffer = ByteBuffer.wrap(bytes);
    ByteBuffer header = ByteBuffer.allocate(256).order(ByteOrder.LITTLE_ENDIAN);
    this.factAt = putHeader(header);
    this.dataStart = header.position();
    this.file = file;
  }

  /**
   * Starts a recording that carries its name from the start.
   *
   * @param target the file
   * @param format rate (a whole number of Hz), channels; 16, 24 or 32 bits, or float of 32 or 64
   * @param replace whether an existing file may be replaced; it is, in one step, once the new one
   *     has its header
   * @return the writer
   * @throws RefusedException if the file exists and may not be replaced, or can't be made
   * @throws IllegalArgumentException if the format is none of these
   */
  public static WavWriter growing(Path target, SampleFormat format, boolean replace)
      throws RefusedException {
    try {
      if (!replace || !Files.exists(target)) {
        return new WavWriter(target, target, false, true, format);
      }
      refuseFolder(target);
      Path part = partOf(target);
      Files.deleteIfExists(part);
      WavWriter writer = new WavWriter(target, part, true, true, format);
      Files.move(part, target, StandardCopyOption.ATOMIC_MOVE);
      return writer;
    } catch (IOException e) {
      throw unwritable(target, e);
    }
  }

  /**
   * Starts a file that appears under its name only when {@link #finish} is called.
   *
   * @param target the file
   * @param format rate (a whole number of Hz), channels; 16, 24 or 32 bits, or float of 32 or 64
   * @param replace whether an existing file may be replaced
   * @return the writer
   * @throws RefusedException if the file exists and may not be replaced, or can't be made
   * @throws IllegalArgumentException if the format is none of these
   */
  public static WavWriter whole(Path target, SampleFormat format, boolean replace)
      throws RefusedException {
    try {
      refuseExisting(target, replace);
      Path part = partOf(target);
      Files.deleteIfExists(part);
      return new WavWriter(target, part, replace, false, format);
    } catch (IOException e) {
      throw unwritable(target, e);
    }
  }

  /**
   * How the samples are stored.
   *
   * @return the format
   */
  public SampleFormat format() {
    return format;
  }

  /**
   * Length so far.
   *
   * @return whole frames taken
   */
  @Override
  public long frames() {
    return (dataBytes + buffer.position()) / frameBytes;
  }

  /**
   * Whether others can see that this recording goes on.
   *
   * @return false on a disk that knows no locks
   */
  public boolean locked() {
    return locked;
  }

  /**
   * How many samples lay outside the codes of the format and were held at the edge.
   *
   * @return samples
   */
  public long heldSamples() {
    return heldSamples;
  }

  /**
   * Writes samples; integers are rounded to the nearest code without dither.
   *
   * @param samples samples [parts of full scale, −1 the largest negative code; channels of a frame
   *     one behind the other]
   * @param offset index of the first one
   * @param count number of samples, whole frames
   * @throws RefusedException if they can't be written; what was written before is whole
   */
  public void write(double[] samples, int offset, int count) throws RefusedException {
    checkWhole(count, format.channels(), "count");
    int at = offset;
    int left = count;
    while (left > 0) {
      int samplesNow = Math.min(left, buffer.remaining() / encoding.bytes());
      heldSamples += encoding.encode(samples, at, bytes, buffer.position(), samplesNow);
      at += samplesNow;
      left -= samplesNow;
      took(samplesNow * encoding.bytes());
    }
  }

  /**
   * Writes frames that are in the format of the file already, little end first.
   *
   * @param raw bytes
   * @param offset index of the first one
   * @param count number of bytes, whole frames
   * @throws RefusedException if they can't be written; what was written before is whole
   */
  @Override
  public void write(byte[] raw, int offset, int count) throws RefusedException {
    checkWhole(count, frameBytes, "count");
    int at = offset;
    int left = count;
    while (left > 0) {
      int bytesNow = Math.min(left, buffer.remaining());
      System.arraycopy(raw, at, bytes, buffer.position(), bytesNow);
      at += bytesNow;
      left -= bytesNow;
      took(bytesNow);
    }
  }

  /**
   * Writes zeros, as a hole where the file system knows holes, so that no length is too long.
   *
   * @param frames number of frames, at least 0
   * @throws RefusedException if they can't be written; what was written before is whole
   */
  @Override
  public void writeSilence(long frames) throws RefusedException {
    if (frames < 0) {
      throw new IllegalArgumentException("frames: at least 0, got " + frames);
    }
    if (frames == 0) {
      return;
    }
    flush();
    long before = dataBytes;
    try {
      long silent = frames * frameBytes;
      writeFully(ByteBuffer.wrap(new byte[frameBytes]), dataStart + before + silent - frameBytes);
      dataBytes = before + silent;
    } catch (IOException e) {
      throw fail(e);
    }
    syncIfDue();
  }

  /**
   * Brings all that was taken to the disk and sets the sizes in the header.
   *
   * @throws RefusedException if that fails; what was written before is whole
   */
  public void sync() throws RefusedException {
    flush();
    try {
      file.force(false);
      patchSizes(false);
      file.force(false);
      syncedBytes = dataBytes;
    } catch (IOException e) {
      throw fail(e);
    }
  }

  /**
   * Completes the file and closes it; a {@linkplain #whole whole} one now appears under its name.
   *
   * @throws RefusedException if that fails; of a growing file, what was written before is whole
   */
  @Override
  public void finish() throws RefusedException {
    if (!open) {
      return;
    }
    try {
      if (!failed) {
        flush();
      }
      file.force(false);
      patchSizes(!failed);
      file.force(true);
      open = false;
      file.close();
      if (!growing) {
        refuseExisting(target, replace);
        Files.move(written, target, StandardCopyOption.ATOMIC_MOVE);
      }
    } catch (IOException e) {
      throw fail(e);
    } finally {
      abandon();
    }
  }

  /**
   * Closes the file. A growing one is completed; a whole one that was not finished vanishes.
   *
   * @throws RefusedException if a growing file can't be completed
   */
  @Override
  public void close() throws RefusedException {
    if (growing) {
      finish();
    } else {
      abandon();
    }
  }

  /**
   * Saves a recording whose folder was deleted under it: as long as the file is open, its bytes are
   * there and can be copied to another place.
   *
   * @param rescue the file to make
   * @throws RefusedException if it exists or can't be written
   */
  @Override
  public void rescueTo(Path rescue) throws RefusedException {
    sync();
    try (FileChannel copy =
        FileChannel.open(rescue, StandardOpenOption.CREATE_NEW, StandardOpenOption.WRITE)) {
      long length = file.size();
      for (long done = 0; done < length; ) {
        done += file.transferTo(done, length - done, copy);
      }
      copy.force(true);
    } catch (IOException e) {
      throw unwritable(rescue, e);
    }
  }

  /**
   * Whether some program, this one included, still records into a file.
   *
   * @param wav a file that {@link #growing} made
   * @return true if its writer is open
   * @throws RefusedException if the file can't be opened
   */
  public static boolean isBeingWritten(Path wav) throws RefusedException {
    try (FileChannel file = FileChannel.open(wav, StandardOpenOption.WRITE);
        FileLock lock = file.tryLock(LOCK_AT, 1, false)) {
      return lock == null;
    } catch (OverlappingFileLockException e) {
      return true;
    } catch (IOException e) {
      throw unwritable(wav, e);
    }
  }

  /**
   * Sets the sizes in the header of a recording that was broken off to what is really there, in
   * whole frames. The samples are not touched.
   *
   * @param wav a file that {@link #growing} made
   * @return the frames that are there
   * @throws RefusedException if it is none of ours, can't be read or written
   */
  public static long repair(Path wav) throws RefusedException {
    try (FileChannel file =
        FileChannel.open(wav, StandardOpenOption.READ, StandardOpenOption.WRITE)) {
      WavLayout layout = WavLayout.read(file, wav.toString());
      if (!isWritable(layout.format())
          || new WavWriter(wav, layout.format(), file).dataStart != layout.dataStart()) {
        throw new RefusedException(
            wav + ": its header is not laid out by this program; it reads as it is, no repair");
      }
      WavWriter writer = new WavWriter(wav, layout.format(), file);
      writer.dataBytes = layout.frames() * layout.frameBytes();
      file.truncate(writer.dataStart + writer.dataBytes);
      writer.patchSizes(true);
      file.force(true);
      return layout.frames();
    } catch (IOException e) {
      throw unwritable(wav, e);
    }
  }

  /**
   * The lock shows others that the writer lives; a byte far behind the end disturbs no reader. Some
   * network disks know no locks, and a recording without one is better than none.
   */
  private static boolean holdLock(FileChannel file) {
    try {
      return file.tryLock(LOCK_AT, 1, false) != null;
    } catch (IOException | OverlappingFileLockException e) {
      return false;
    }
  }

  private void abandon() {
    try {
      file.close();
      if (!growing) {
        Files.deleteIfExists(written);
      }
    } catch (IOException e) {
      // Nothing is lost with a temporary file that stays: the next writer of that name removes it.
      failed = true;
    }
    open = false;
  }

  private void took(int count) throws RefusedException {
    buffer.position(buffer.position() + count);
    boolean second = dataBytes + buffer.position() - syncedBytes >= secondBytes();
    if (!buffer.hasRemaining() || (growing && second)) {
      flush();
    }
    syncIfDue();
  }

  private void syncIfDue() throws RefusedException {
    if (growing && dataBytes - syncedBytes >= secondBytes()) {
      sync();
    }
  }

  private long secondBytes() {
    return Math.round(format.sampleRateHz()) * frameBytes;
  }

  private void flush() throws RefusedException {
    if (failed || !open) {
      throw new IllegalStateException("the file is closed or a write has failed before");
    }
    int count = buffer.position();
    try {
      writeFully(buffer.flip(), dataStart + dataBytes);
      dataBytes += count;
      buffer.clear();
    } catch (IOException e) {
      throw fail(e);
    }
  }

  /** Notes how much of a write that failed reached the file, in whole frames. */
  private RefusedException fail(IOException cause) {
    failed = true;
    try {
      if (file.isOpen()) {
        long there = Math.max(0, file.size() - dataStart) / frameBytes * frameBytes;
        dataBytes = Math.min(there, dataBytes + buffer.limit());
        buffer.clear();
      }
    } catch (IOException e) {
      cause.addSuppressed(e);
    }
    String reason = FileFailure.reason(cause);
    return new RefusedException(
        growing
            ? String.format(
                Locale.ROOT,
                "%s: can't be written (%s); the %.3f s before are whole, go on with free room on"
                    + " the disk or in another folder",
                target,
                reason,
                frames() / format.sampleRateHz())
            : target + ": can't be written (" + reason + "); free room or choose another folder",
        cause);
  }

  /** RIFF, then the reserve, format, fact for float, and the head of the data. */
  private long putHeader(ByteBuffer header) {
    int channels = format.channels();
    boolean extensible = channels > MOST_PLAIN_CHANNELS;
    boolean floating = format.floatingPoint();
    put(header, "RIFF").putInt(0);
    put(header, "WAVE");
    put(header, "JUNK").putInt(DS64_BODY).put(new byte[DS64_BODY]);
    put(header, "fmt ").putInt(extensible ? 40 : floating ? 18 : 16);
    int tag = floating ? 3 : 1;
    header.putShort((short) (extensible ? 0xFFFE : tag)).putShort((short) channels);
    int rate = (int) format.sampleRateHz();
    header.putInt(rate).putInt(rate * frameBytes).putShort((short) frameBytes);
    header.putShort((short) format.bitDepth());
    if (extensible) {
      // Mask 0: the channels are microphones, not loudspeaker positions.
      header.putShort((short) 22).putShort((short) format.bitDepth()).putInt(0);
      header.putShort((short) tag).put(GUID_TAIL);
    } else if (floating) {
      header.putShort((short) 0);
    }
    long fact = -1;
    if (floating) {
      put(header, "fact").putInt(4);
      fact = header.position();
      header.putInt(0);
    }
    put(header, "data").putInt(0);
    header.putInt(4, header.position() - 8);
    return fact;
  }

  private void patchSizes(boolean last) throws IOException {
    long end = dataStart + dataBytes;
    if (last && (dataBytes & 1) == 1) {
      writeFully(ByteBuffer.wrap(new byte[1]), end);
      end++;
    }
    long riff = end - 8;
    long frames = dataBytes / frameBytes;
    if (riff < UNKNOWN_SIZE) {
      writeFully(int32(riff), 4);
      if (factAt >= 0) {
        writeFully(int32(frames), factAt);
      }
      writeFully(int32(dataBytes), dataStart - 4);
      return;
    }
    ByteBuffer ds64 = ByteBuffer.allocate(8 + DS64_BODY).order(ByteOrder.LITTLE_ENDIAN);
    put(ds64, "ds64").putInt(DS64_BODY).putLong(riff).putLong(dataBytes).putLong(frames).putInt(0);
    writeFully(ds64.flip(), LONG_SIZES_AT);
    if (!rf64) {
      if (factAt >= 0) {
        writeFully(int32(UNKNOWN_SIZE), factAt);
      }
      writeFully(int32(UNKNOWN_SIZE), dataStart - 4);
      writeFully(int32(UNKNOWN_SIZE), 4);
      writeFully(put(ByteBuffer.allocate(4), "RF64").flip(), 0);
      rf64 = true;
    }
  }

  private void writeFully(ByteBuffer source, long at) throws IOException {
    long position = at;
    while (source.hasRemaining()) {
      position += file.write(source, position);
    }
  }

  private static ByteBuffer int32(long value) {
    return ByteBuffer.allocate(4).order(ByteOrder.LITTLE_ENDIAN).putInt((int) value).flip();
  }

  private static ByteBuffer put(ByteBuffer target, String id) {
    return target.put(id.getBytes(StandardCharsets.US_ASCII));
  }

  private static boolean isWritable(SampleFormat format) {
    int bits = format.bitDepth();
    double rate = format.sampleRateHz();
    boolean width =
        format.floatingPoint() ? bits == 32 || bits == 64 : bits == 16 || bits == 24 || bits == 32;
    return width
        && rate == Math.rint(rate)
        && rate >= 1
        && rate <= Integer.MAX_VALUE
        && (long) format.channels() * (bits / 8) <= 0xFFFF;
  }

  private static SampleEncoding encodingOf(SampleFormat format) {
    if (!isWritable(format)) {
      throw new IllegalArgumentException(
          "format: a whole rate, 16, 24 or 32 bits or float of 32 or 64, at most 65535 bytes a"
              + " frame, got "
              + format);
    }
    return SampleEncoding.of(format.bitDepth() / 8, format.floatingPoint());
  }

  private static void checkWhole(int count, int unit, String parameter) {
    if (count < 0 || count % unit != 0) {
      throw new IllegalArgumentException(
          parameter + ": at least 0 and whole frames of " + unit + ", got " + count);
    }
  }

  private static void refuseFolder(Path target) throws RefusedException {
    if (Files.isDirectory(target)) {
      throw new RefusedException(target + ": a folder, not a file; give another name");
    }
  }

  private static void refuseExisting(Path target, boolean replace)
      throws IOException, RefusedException {
    refuseFolder(target);
    if (!replace && Files.exists(target)) {
      throw new FileAlreadyExistsException(target.toString());
    }
  }

  private static Path partOf(Path target) {
    return target.resolveSibling(target.getFileName() + ".part");
  }

  private static RefusedException unwritable(Path target, IOException cause) {
    if (cause instanceof FileAlreadyExistsException) {
      return new RefusedException(
          target + ": exists already; give another name, or --force to replace it", cause);
    }
    return new RefusedException(
        target + ": can't be written (" + FileFailure.reason(cause) + "); choose another folder",
        cause);
  }
}
