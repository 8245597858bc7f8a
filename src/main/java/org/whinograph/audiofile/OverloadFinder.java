package org.whinograph.audiofile;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;

/**
 * Finds where the input was overloaded, to the sample, in a stream that comes in blocks.
 *
 * <p>An integer recording is overloaded where at least three samples in a row stand at a full-scale
 * code of either sign (common practice, no source): a sine whose crest just touches full scale
 * shows one such sample, at most two, while a clipped one stays there. The codes counted are
 * 2^(n−1) − 1 and above and its negative and below, since some converters clip symmetrically.
 * Floating point has no largest code: every sample with |x| ≥ 1 counts.
 *
 * <p>Whether the last samples of a block belong to a run of three may depend on the next block, so
 * the caller lets this class look ahead; then the spans never depend on where blocks are cut. Not
 * safe for use by several threads.
 */
public final class OverloadFinder {
  /** Samples in a row at full scale that make an overload of integer samples. */
  public static final int SHORTEST_RUN = 3;

  /** The samples that follow a block. */
  @FunctionalInterface
  public interface LookAhead {
    /**
     * A sample that follows the block.
     *
     * @param ahead 0 for the first one behind the block, less than {@link #SHORTEST_RUN}
     * @return the sample [parts of full scale], or 0 behind the end of the recording
     */
    double sample(int ahead);
  }

  private final double threshold;
  private final int shortestRun;
  private long runStart = -1;

  /**
   * Prepares for a format.
   *
   * @param format how samples were stored; its valid bits fix the full-scale codes
   */
  public OverloadFinder(SampleFormat format) {
    this.threshold =
        format.floatingPoint() ? 1.0 : 1.0 - Math.scalb(1.0, 1 - Math.min(52, format.bitDepth()));
    this.shortestRun = format.floatingPoint() ? 1 : SHORTEST_RUN;
  }

  /**
   * How many samples behind a block are looked at, at most.
   *
   * @return samples, 0 for floating point
   */
  public int lookAhead() {
    return shortestRun - 1;
  }

  /** Forgets a run in progress, where the stream jumps. */
  public void reset() {
    runStart = -1;
  }

  /**
   * Finds the overloads of the next block.
   *
   * @param samples samples [parts of full scale]
   * @param length how many count
   * @param position index of the first sample, the end of the block before [frames]
   * @param next the samples behind the block
   * @return spans within the block, in order, without overlap
   */
  public List<Span> find(double[] samples, int length, long position, LookAhead next) {
    boolean any = runStart >= 0;
    for (int i = 0; i < length && !any; i++) {
      any = Math.abs(samples[i]) >= threshold;
    }
    return any ? findRuns(samples, length, position, next) : List.of();
  }

  private List<Span> findRuns(double[] samples, int length, long position, LookAhead next) {
    List<Span> spans = new ArrayList<>();
    for (int i = 0; i < length; i++) {
      boolean full = Math.abs(samples[i]) >= threshold;
      if (full && runStart < 0) {
        runStart = position + i;
      } else if (!full && runStart >= 0) {
        close(spans, position, position + i, position + i - runStart);
        runStart = -1;
      }
    }
    if (runStart >= 0) {
      long end = position + length;
      long run = end - runStart;
      for (int ahead = 0; run < shortestRun && Math.abs(next.sample(ahead)) >= threshold; ahead++) {
        run++;
      }
      close(spans, position, end, run);
    }
    return spans;
  }

  private void close(List<Span> spans, long position, long end, long run) {
    long start = Math.max(runStart, position);
    if (run >= shortestRun && end > start) {
      spans.add(new Span(start, end - start));
    }
  }
}
