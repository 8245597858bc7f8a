package org.whinograph.capture;

import java.util.List;
import org.whinograph.audiofile.OverloadFinder;
import org.whinograph.audiofile.SampleEncoding;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;

/**
 * Turns raw frames into blocks of one channel with overloads marked to the sample. Up to two
 * samples at full scale at the end of a piece are kept until the next one tells whether they are
 * part of an overload. Not safe for use by several threads.
 */
final class BlockDecoder {
  private static final OverloadFinder.LookAhead NOTHING = ahead -> 0.0;
  private static final int LONGEST_SILENCE = 4096;

  private final SampleFormat format;
  private final SampleEncoding encoding;
  private final int channel;
  private final int frameBytes;
  private final OverloadFinder overloads;
  private final double fullScale;
  private final double[] kept = new double[OverloadFinder.SHORTEST_RUN];
  private double[] samples = new double[0];
  private int keptCount;
  private int run;
  private long position;

  BlockDecoder(SampleFormat format, int channel) {
    this.format = format;
    this.encoding = SampleEncoding.of(format.bitDepth() / 8, format.floatingPoint());
    this.channel = channel;
    this.frameBytes = encoding.bytes() * format.channels();
    this.overloads = new OverloadFinder(format);
    this.fullScale = 1.0 - Math.scalb(1.0, 1 - format.bitDepth());
  }

  /** The next block, or null if all of the bytes are kept for now. */
  SampleBlock decode(byte[] bytes, int offset, int length) {
    int count = length / frameBytes;
    int total = keptCount + count;
    ensure(total);
    System.arraycopy(kept, 0, samples, 0, keptCount);
    encoding.decode(
        bytes, offset + (channel - 1) * encoding.bytes(), frameBytes, samples, keptCount, count);
    for (int i = keptCount; i < total; i++) {
      run = Math.abs(samples[i]) >= fullScale ? run + 1 : 0;
    }
    keptCount = run < OverloadFinder.SHORTEST_RUN ? Math.min(run, total) : 0;
    System.arraycopy(samples, total - keptCount, kept, 0, keptCount);
    return emit(total - keptCount);
  }

  /** What was kept, before a gap or the end; or null. */
  SampleBlock flush() {
    int count = keptCount;
    ensure(count);
    System.arraycopy(kept, 0, samples, 0, count);
    keptCount = 0;
    run = 0;
    return emit(count);
  }

  /** At most some thousand samples of a gap, as zeros. */
  SampleBlock silence(long frames) {
    int count = (int) Math.min(frames, LONGEST_SILENCE);
    ensure(count);
    java.util.Arrays.fill(samples, 0, count, 0.0);
    overloads.reset();
    SampleBlock block =
        new SampleBlock(
            samples,
            count,
            format.sampleRateHz(),
            position,
            List.of(),
            List.of(new Span(position, count)));
    position += count;
    return block;
  }

  private SampleBlock emit(int count) {
    if (count == 0) {
      return null;
    }
    List<Span> found = overloads.find(samples, count, position, NOTHING);
    SampleBlock block =
        new SampleBlock(samples, count, format.sampleRateHz(), position, found, List.of());
    position += count;
    return block;
  }

  private void ensure(int length) {
    if (samples.length < length) {
      samples = new double[length];
    }
  }
}
