package org.whinograph.capture;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.OptionalLong;
import org.whinograph.audiofile.SampleEncoding;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;
import org.whinograph.signal.Span;

/**
 * A live input as a stream of samples, which is what a file is too. Capture runs on its own thread;
 * lost samples come as zeros, flagged as gaps, so that time stays true; overloads are marked to the
 * sample.
 *
 * <p>Reading belongs to one thread; {@link #stop} to any.
 */
public final class LiveSource implements SampleSource {
  private final CaptureLine line;
  private final CaptureStream stream;
  private final BlockDecoder decoder;
  private final SampleEncoding encoding;
  private double[][] all = new double[0][];
  private ChannelListener channelListener;
  private double[] cut = new double[0];
  private SampleBlock rest;
  private int restOffset;
  private long gapLeft;
  private boolean ended;

  /**
   * Prepares a line; delivery starts with {@link #start}.
   *
   * @param line the input, closed with this
   * @param clock time
   * @param channel the channel to deliver, from 1
   * @throws RefusedException if the input lacks the channel
   */
  public LiveSource(CaptureLine line, CaptureClock clock, int channel) throws RefusedException {
    this.line = line;
    checkChannel(line, channel);
    this.stream = new CaptureStream(line, clock);
    this.decoder = new BlockDecoder(line.format(), channel);
    this.encoding = SampleEncoding.of(line.format().bitDepth() / 8, line.format().floatingPoint());
  }

  /** Hears all channels of an input while one of them is read. */
  @FunctionalInterface
  public interface ChannelListener {
    /**
     * The next samples as they came; those that were lost are left out.
     *
     * @param channels samples of the channels in order [parts of full scale, at least {@code count}
     *     each]; read, never kept
     * @param count how many samples of each
     */
    void samples(double[][] channels, int count);
  }

  /**
   * Has all channels heard, on the thread that reads.
   *
   * @param listener hears them
   */
  public void listenToChannels(ChannelListener listener) {
    channelListener = listener;
  }

  /**
   * Starts capture.
   *
   * @throws RefusedException if the input is gone or in use
   */
  public void start() throws RefusedException {
    stream.start();
  }

  /** Ends capture; what was captured can still be read. */
  public void stop() {
    stream.stop();
  }

  /**
   * How many reads wait to be fetched; if nobody fetches for ten seconds, samples are lost.
   *
   * @return reads of 10 ms
   */
  public int backlog() {
    return stream.backlog();
  }

  @Override
  public SampleFormat format() {
    return line.format();
  }

  @Override
  public String name() {
    return line.name();
  }

  @Override
  public OptionalLong frames() {
    return OptionalLong.empty();
  }

  @Override
  public SampleBlock read(int maximumLength) throws RefusedException {
    if (maximumLength < 1) {
      throw new IllegalArgumentException("maximumLength: at least 1, got " + maximumLength);
    }
    if (rest == null) {
      rest = fetch();
      restOffset = 0;
      if (rest == null) {
        refuseIfFailed();
        return null;
      }
    }
    int count = Math.min(maximumLength, rest.length() - restOffset);
    SampleBlock block = count == rest.length() ? rest : part(rest, restOffset, restOffset + count);
    restOffset += count;
    if (restOffset == rest.length()) {
      rest = null;
    }
    return block;
  }

  @Override
  public void close() {
    stream.close();
  }

  static void checkChannel(CaptureLine line, int channel) throws RefusedException {
    int channels = line.format().channels();
    if (channel < 1 || channel > channels) {
      throw new RefusedException(
          line.name() + ": there is no channel " + channel + "; choose from 1 to " + channels);
    }
  }

  private void refuseIfFailed() throws RefusedException {
    if (stream.failure() != null) {
      throw new RefusedException(
          "input " + line.name() + " " + stream.failure() + "; check it and start again");
    }
  }

  private SampleBlock fetch() {
    while (!ended) {
      if (gapLeft > 0) {
        return silence();
      }
      CaptureStream.Piece piece = stream.next();
      SampleBlock block;
      if (piece == null) {
        ended = true;
        block = decoder.flush();
      } else if (piece.gap() > 0) {
        gapLeft = piece.gap();
        block = decoder.flush();
      } else {
        tellChannels(piece);
        block = decoder.decode(piece.bytes(), piece.offset(), piece.length());
      }
      if (block != null) {
        return block;
      }
    }
    return null;
  }

  private void tellChannels(CaptureStream.Piece piece) {
    if (channelListener == null) {
      return;
    }
    int channels = format().channels();
    int frameBytes = channels * encoding.bytes();
    int count = piece.length() / frameBytes;
    if (all.length == 0 || all[0].length < count) {
      all = new double[channels][count];
    }
    for (int channel = 0; channel < channels; channel++) {
      int first = piece.offset() + channel * encoding.bytes();
      encoding.decode(piece.bytes(), first, frameBytes, all[channel], 0, count);
    }
    channelListener.samples(all, count);
  }

  private SampleBlock silence() {
    SampleBlock block = decoder.silence(gapLeft);
    gapLeft -= block.length();
    return block;
  }

  private SampleBlock part(SampleBlock block, int from, int to) {
    if (cut.length < block.length()) {
      cut = Arrays.copyOf(cut, block.length());
    }
    System.arraycopy(block.samples(), from, cut, 0, to - from);
    long start = block.position() + from;
    long end = block.position() + to;
    return new SampleBlock(
        cut,
        to - from,
        block.sampleRateHz(),
        start,
        within(block.overloads(), start, end),
        within(block.gaps(), start, end));
  }

  private static List<Span> within(List<Span> spans, long start, long end) {
    List<Span> inside = new ArrayList<>();
    for (Span span : spans) {
      long from = Math.max(span.position(), start);
      long to = Math.min(span.end(), end);
      if (from < to) {
        inside.add(new Span(from, to - from));
      }
    }
    return inside;
  }
}
