package org.whinograph.audiofile;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.channels.SeekableByteChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.security.MessageDigest;
import java.util.ArrayList;
import java.util.HexFormat;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import java.util.OptionalLong;
import org.whinograph.quantity.Decibels;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;
import org.whinograph.storage.FileFailure;

/**
 * One channel of a WAV, RF64 or BW64 file as a stream, in memory that doesn't grow with the file.
 *
 * <p>PCM of 8 to 32 bits and float of 32 and 64 are read; channels are never mixed, because a sum
 * of microphones is no sound pressure anywhere. What was cut off is read as far as it is whole,
 * with a warning. Damaged, compressed and foreign files are refused in one sentence.
 *
 * <p>The file's SHA-256 is taken on the way, from the bytes that are read anyway, so that it costs
 * no second pass. Not safe for use by several threads.
 */
public final class WavSource implements SampleSource {
  private static final int BUFFER_BYTES = 1 << 18;
  private static final int LONGEST_BLOCK = 1 << 16;

  private final SeekableByteChannel file;
  private final String name;

  /** Where the bytes lie, or null. */
  private Path path;

  private final WavLayout layout;
  private final int channel;
  private final int channelOffset;
  private final OverloadFinder overloadFinder;
  private final List<Warning> openingWarnings;
  private final MessageDigest digest = FileDigest.newSha256();
  private final ByteBuffer buffer;
  private final byte[] bytes;
  private final double[] ahead = new double[1];
  private final OverloadFinder.LookAhead lookAhead = this::sampleAhead;
  private final List<Span> gaps;
  private final InputVerdict inputCheck;

  private double[] samples = new double[0];
  private long position;
  private int cursor;
  private long digested;

  /** Whether it is read anew: a digest is taken only if asked for, and overloads are known. */
  private boolean again;

  private String sha256;
  private boolean lowBitsInUse;

  private WavSource(
      SeekableByteChannel file, String name, WavLayout layout, int channel, RunRecord run) {
    this.file = file;
    this.gaps = run == null ? List.of() : run.gaps();
    this.inputCheck = run == null ? null : run.inputCheck();
    this.name = name;
    this.layout = layout;
    this.channel = channel;
    this.channelOffset = (channel - 1) * layout.encoding().bytes();
    this.overloadFinder = new OverloadFinder(layout.format());
    this.openingWarnings = new ArrayList<>(layout.warnings());
    int channels = layout.format().channels();
    if (channels > 1) {
      openingWarnings.add(
          new Warning(
              "channel-chosen",
              name
                  + ": channel "
                  + channel
                  + " of "
                  + channels
                  + " is used, channels are never"
                  + " mixed; --channel chooses another"));
    }
    if (!gaps.isEmpty()) {
      openingWarnings.add(lostSamples(name, run, layout.format()));
    }
    if (run != null && run.state() != RunRecord.State.COMPLETE) {
      openingWarnings.add(brokenOff(name, run));
    }
    long frameBytes = layout.frameBytes();
    long wanted = Math.min(layout.frames(), Math.max(3, BUFFER_BYTES / frameBytes)) * frameBytes;
    this.bytes = new byte[(int) wanted];
    this.buffer = ByteBuffer.wrap(bytes).limit(0);
  }

  /**
   * Opens a file. If a run record lies beside it, the samples that the recording lost are flagged.
   *
   * @param path the file
   * @param channel the channel to deliver, from 1
   * @return the source, at its first frame
   * @throws RefusedException if it is no WAV that can be read, is damaged, or lacks the channel
   * @throws IllegalArgumentException if the channel is below 1
   */
  public static WavSource open(Path path, int channel) throws RefusedException {
    checkChannel(channel);
    if (!Files.exists(path)) {
      throw new RefusedException(path + ": no such file; check the name");
    }
    if (Files.isDirectory(path)) {
      throw new RefusedException(path + ": a folder, not a file; give a WAV file");
    }
    if (!Files.isRegularFile(path)) {
      throw new RefusedException(path + ": a device or pipe, not a file; give a WAV file");
    }
    RunRecord run = RunFile.find(path).orElse(null);
    try {
      WavSource source =
          open(FileChannel.open(path, StandardOpenOption.READ), path.toString(), channel, run);
      source.path = path;
      return source;
    } catch (IOException e) {
      throw unreadable(path.toString(), e);
    }
  }

  /**
   * Opens bytes that lie anywhere.
   *
   * @param file the bytes; closed with the source, or here if they are refused
   * @param name a name for messages
   * @param channel the channel to deliver, from 1
   * @return the source, at its first frame
   * @throws RefusedException if it is no WAV that can be read, is damaged, or lacks the channel
   * @throws IllegalArgumentException if the channel is below 1
   */
  public static WavSource open(SeekableByteChannel file, String name, int channel)
      throws RefusedException {
    checkChannel(channel);
    return open(file, name, channel, null);
  }

  private static WavSource open(SeekableByteChannel file, String name, int channel, RunRecord run)
      throws RefusedException {
    boolean opened = false;
    try {
      WavLayout layout = WavLayout.read(file, name);
      int channels = layout.format().channels();
      if (channel > channels) {
        throw new RefusedException(
            name + ": there is no channel " + channel + "; choose from 1 to " + channels);
      }
      WavSource source = new WavSource(file, name, layout, channel, run);
      opened = true;
      return source;
    } catch (IOException e) {
      throw unreadable(name, e);
    } finally {
      if (!opened) {
        closeQuietly(file);
      }
    }
  }

  @Override
  public SampleFormat format() {
    return layout.format();
  }

  /** Opens the file once more; null for bytes that have no path. {@inheritDoc} */
  @Override
  public WavSource again() throws RefusedException {
    if (path == null) {
      return null;
    }
    WavSource source = open(path, channel);
    source.again = true;
    return source;
  }

  /**
   * The channel that is delivered.
   *
   * @return channel, from 1
   */
  public int channel() {
    return channel;
  }

  @Override
  public String name() {
    return name;
  }

  @Override
  public OptionalLong frames() {
    return OptionalLong.of(layout.frames());
  }

  /**
   * What the reader of a result must know: {@code truncated-file}, {@code size-not-written}, {@code
   * stale-size}, {@code channel-chosen}, {@code lost-samples}, {@code broken-off}, {@code
   * low-bits-in-use}. The last is known once the samples have been read.
   *
   * @return the warnings, in the order of the file
   */
  public List<Warning> warnings() {
    List<Warning> all = new ArrayList<>(openingWarnings);
    if (lowBitsInUse) {
      int valid = layout.format().bitDepth();
      int spare = 8 * layout.encoding().bytes() - valid;
      all.add(
          new Warning(
              "low-bits-in-use",
              String.format(
                  Locale.ROOT,
                  "%s: the header says %d valid bits, but samples use the %d bits below; if they"
                      + " were stored at the wrong end, levels read %.0f dB too low",
                  name,
                  valid,
                  spare,
                  Decibels.ofAmplitudeRatio(Math.scalb(1.0, spare)))));
    }
    return List.copyOf(all);
  }

  @Override
  public SampleBlock read(int maximumLength) throws RefusedException {
    if (maximumLength < 1) {
      throw new IllegalArgumentException("maximumLength: at least 1, got " + maximumLength);
    }
    int length = (int) Math.min(layout.frames() - position, Math.min(maximumLength, LONGEST_BLOCK));
    if (length == 0) {
      return null;
    }
    if (samples.length < length) {
      samples = new double[length];
    }
    for (int done = 0; done < length; ) {
      if (buffered() == 0) {
        fill(done);
      }
      int count = Math.min(buffered(), length - done);
      layout
          .encoding()
          .decode(bytes, cursor + channelOffset, layout.frameBytes(), samples, done, count);
      cursor += count * layout.frameBytes();
      done += count;
    }
    checkSamples(length);
    SampleBlock block =
        new SampleBlock(
            samples,
            length,
            layout.format().sampleRateHz(),
            position,
            again ? List.of() : overloads(length),
            within(gaps, position, position + length));
    position += length;
    return block;
  }

  private List<Span> overloads(int length) throws RefusedException {
    if (buffered() < overloadFinder.lookAhead()) {
      fill(length);
    }
    return overloadFinder.find(samples, length, position, lookAhead);
  }

  /**
   * Jumps over frames without decoding them.
   *
   * @param frames how many, at least 0; those beyond the end are forgiven
   * @throws RefusedException if the file can't be read
   */
  public void skip(long frames) throws RefusedException {
    if (frames < 0) {
      throw new IllegalArgumentException("frames: at least 0, got " + frames);
    }
    position += Math.min(frames, layout.frames() - position);
    cursor = 0;
    buffer.clear().limit(0);
    overloadFinder.reset();
  }

  /**
   * SHA-256 of the whole file. After the samples have been read to their end this costs nothing
   * more; before, what is missing is read.
   *
   * @return 64 hexadecimal digits, lower case
   * @throws RefusedException if the file can't be read
   */
  public String sha256() throws RefusedException {
    if (sha256 == null) {
      digestUpTo(layout.fileBytes());
      sha256 = HexFormat.of().formatHex(digest.digest());
    }
    return sha256;
  }

  @Override
  public void close() throws RefusedException {
    try {
      file.close();
    } catch (IOException e) {
      throw unreadable(name, e);
    }
  }

  /**
   * What is known of the input that the file was recorded through.
   *
   * @return the verdict of its last check before, or empty if the run record knows of none
   */
  public Optional<InputVerdict> inputCheck() {
    return Optional.ofNullable(inputCheck);
  }

  private static Warning lostSamples(String name, RunRecord run, SampleFormat format) {
    return new Warning(
        "lost-samples",
        String.format(
            Locale.ROOT,
            "%s: the recording lost %d samples (%.3f s) in %d place%s, the first at %.3f s; zeros"
                + " stand there",
            name,
            run.lostSamples(),
            run.lostSamples() / format.sampleRateHz(),
            run.gaps().size(),
            run.gaps().size() == 1 ? "" : "s",
            run.gaps().get(0).position() / format.sampleRateHz()));
  }

  private static Warning brokenOff(String name, RunRecord run) {
    return new Warning(
        "broken-off",
        run.state() == RunRecord.State.REPAIRED
            ? name + ": the recording was broken off; it is whole up to where it ends"
            : name
                + ": the recording was broken off, or still goes on, so that its run record may"
                + " lack losses, overloads and markers near its end; record --repair completes it");
  }

  private static List<Span> within(List<Span> spans, long start, long end) {
    List<Span> inside = List.of();
    for (Span span : spans) {
      long from = Math.max(span.position(), start);
      long to = Math.min(span.end(), end);
      if (from < to) {
        if (inside.isEmpty()) {
          inside = new ArrayList<>();
        }
        inside.add(new Span(from, to - from));
      }
    }
    return inside;
  }

  private int buffered() {
    return (buffer.limit() - cursor) / layout.frameBytes();
  }

  private double sampleAhead(int index) {
    if (index >= buffered()) {
      return 0.0;
    }
    int at = cursor + index * layout.frameBytes() + channelOffset;
    layout.encoding().decode(bytes, at, layout.frameBytes(), ahead, 0, 1);
    return ahead[0];
  }

  /**
   * Reads on, keeping the frames that are buffered and not decoded yet.
   *
   * @param decoded frames decoded since {@link #position}
   */
  private void fill(int decoded) throws RefusedException {
    int kept = buffer.limit() - cursor;
    System.arraycopy(bytes, cursor, bytes, 0, kept);
    cursor = 0;
    long frame = position + decoded + kept / layout.frameBytes();
    long at = layout.dataStart() + frame * layout.frameBytes();
    long left = layout.dataStart() + layout.frames() * layout.frameBytes() - at;
    buffer.limit(kept + (int) Math.min(left, bytes.length - kept)).position(kept);
    if (!again && digested < at && position + decoded == 0 && kept == 0) {
      digestUpTo(at);
    }
    readFully(buffer, at);
    if (digested == at) {
      int count = buffer.limit() - kept;
      digest.update(bytes, kept, count);
      digested += count;
    }
  }

  private void digestUpTo(long end) throws RefusedException {
    ByteBuffer part = ByteBuffer.allocate((int) Math.min(BUFFER_BYTES, end - digested));
    while (digested < end) {
      part.clear().limit((int) Math.min(part.capacity(), end - digested));
      readFully(part, digested);
      digested += part.limit();
      digest.update(part.flip());
    }
  }

  private void readFully(ByteBuffer target, long at) throws RefusedException {
    try {
      file.position(at);
      while (target.hasRemaining()) {
        if (file.read(target) < 0) {
          throw new RefusedException(
              name
                  + ": the file got shorter while it was read; try again when nothing writes to"
                  + " it");
        }
      }
    } catch (IOException e) {
      throw unreadable(name, e);
    }
  }

  private void checkSamples(int length) throws RefusedException {
    if (layout.encoding().floatingPoint()) {
      for (int i = 0; i < length; i++) {
        if (!Double.isFinite(samples[i])) {
          throw new RefusedException(
              String.format(
                  Locale.ROOT,
                  "%s: the sample at %.6f s (frame %d) is %s, no number; the file is damaged, give"
                      + " another one",
                  name,
                  (position + i) / layout.format().sampleRateHz(),
                  position + i,
                  Double.isNaN(samples[i]) ? "NaN" : "infinite"));
        }
      }
    } else if (!lowBitsInUse && layout.format().bitDepth() < 8 * layout.encoding().bytes()) {
      double scale = Math.scalb(1.0, layout.format().bitDepth() - 1);
      for (int i = 0; i < length && !lowBitsInUse; i++) {
        double code = samples[i] * scale;
        lowBitsInUse = code != Math.rint(code);
      }
    }
  }

  private static void checkChannel(int channel) {
    if (channel < 1) {
      throw new IllegalArgumentException("channel: at least 1, got " + channel);
    }
  }

  private static RefusedException unreadable(String name, IOException cause) {
    return new RefusedException(
        name + ": can't be read (" + FileFailure.reason(cause) + "); check the file and its disk",
        cause);
  }

  private static void closeQuietly(SeekableByteChannel file) {
    try {
      file.close();
    } catch (IOException e) {
      // The reason for refusing the file matters more than a failure to let go of it.
      return;
    }
  }
}
