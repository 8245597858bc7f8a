package org.whinograph.spectrum;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.signal.RealTransform;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;

/**
 * Cuts samples into overlapping frames, windows and transforms them, and hands the lines to all
 * listeners: the transform is the dearest step of the chain, so it is done once for everybody.
 *
 * <p>Frames lie at fixed distances from the first sample of the stream, so the size of the blocks
 * changes nothing. After construction nothing is allocated. Frames that touch a gap are left out.
 * Not safe for use by several threads.
 */
public final class FrameStream implements SampleSink {
  private final int length;
  private final int hop;
  private final double[] scaledWindow;
  private final RealTransform transform;
  private final double[] ring;
  private final double[][] history;
  private final long[] historyIndex;
  private final List<FrameListener> listeners = new ArrayList<>();

  private long origin = -1;
  private long received;
  private int ringAt;
  private long nextFrame;
  private long frames;
  private long framesLeftOut;
  private long gapEnd = -1;

  /**
   * Prepares a stream.
   *
   * @param window window
   * @param length frame length N, even, at least 16 [samples]
   * @param hop distance between frames, 1 to N [samples]
   * @param remembered how many earlier frames {@link #earlier} can give back, at least 0
   * @throws IllegalArgumentException if an argument is outside its limits
   */
  public FrameStream(Window window, int length, int hop, int remembered) {
    if (length < 16 || length % 2 != 0) {
      throw new IllegalArgumentException("length: even and at least 16, got " + length);
    }
    if (hop < 1 || hop > length) {
      throw new IllegalArgumentException("hop: 1 to length = " + length + ", got " + hop);
    }
    if (remembered < 0) {
      throw new IllegalArgumentException("remembered: at least 0, got " + remembered);
    }
    this.length = length;
    this.hop = hop;
    this.transform = new RealTransform(length);
    this.scaledWindow = window.samples(length);
    double scale = Math.sqrt(2.0) / (length * window.coherentGain());
    for (int n = 0; n < length; n++) {
      scaledWindow[n] *= scale;
    }
    this.ring = new double[length];
    this.history = new double[remembered + 1][length];
    this.historyIndex = new long[remembered + 1];
    java.util.Arrays.fill(historyIndex, -1);
  }

  /**
   * Adds a consumer of all frames from now on.
   *
   * @param listener called for each frame, in the order of adding
   */
  public void addListener(FrameListener listener) {
    listeners.add(listener);
  }

  /** {@inheritDoc} */
  @Override
  public void accept(SampleBlock block) {
    if (origin < 0) {
      origin = block.position();
    }
    List<Span> gaps = block.gaps();
    int gap = 0;
    double[] samples = block.samples();
    int at = 0;
    while (at < block.length()) {
      long frameEnd = nextFrame * hop + length;
      int take = (int) Math.min(block.length() - at, frameEnd - received);
      int first = Math.min(take, length - ringAt);
      System.arraycopy(samples, at, ring, ringAt, first);
      System.arraycopy(samples, at + first, ring, 0, take - first);
      ringAt = (ringAt + take) % length;
      at += take;
      received += take;
      if (received == frameEnd) {
        while (gap < gaps.size() && gaps.get(gap).position() - origin < frameEnd) {
          gapEnd = Math.max(gapEnd, gaps.get(gap).end() - origin);
          gap++;
        }
        emit();
      }
    }
    for (; gap < gaps.size(); gap++) {
      gapEnd = Math.max(gapEnd, gaps.get(gap).end() - origin);
    }
  }

  private void emit() {
    long index = nextFrame++;
    if (gapEnd > index * hop) {
      framesLeftOut++;
      return;
    }
    int slot = (int) (index % history.length);
    double[] lines = history[slot];
    int head = length - ringAt;
    for (int n = 0; n < head; n++) {
      lines[n] = ring[ringAt + n] * scaledWindow[n];
    }
    for (int n = head; n < length; n++) {
      lines[n] = ring[n - head] * scaledWindow[n];
    }
    transform.forward(lines);
    historyIndex[slot] = index;
    frames++;
    for (int i = 0; i < listeners.size(); i++) {
      listeners.get(i).frame(index, lines);
    }
  }

  /**
   * An earlier frame, for listeners that compare frames.
   *
   * @param index number of the frame
   * @return its packed lines as in {@link FrameListener#frame}, or null if it was left out or is no
   *     longer remembered
   */
  public double[] earlier(long index) {
    if (index < 0) {
      return null;
    }
    int slot = (int) (index % history.length);
    return historyIndex[slot] == index ? history[slot] : null;
  }

  /**
   * Frame length.
   *
   * @return N [samples]
   */
  public int length() {
    return length;
  }

  /**
   * Distance between frames.
   *
   * @return hop [samples]
   */
  public int hop() {
    return hop;
  }

  /**
   * Frames handed out so far.
   *
   * @return number of frames
   */
  public long frames() {
    return frames;
  }

  /**
   * Frames left out because samples were lost within them.
   *
   * @return number of frames
   */
  public long framesLeftOut() {
    return framesLeftOut;
  }

  /**
   * Samples taken so far.
   *
   * @return number of samples
   */
  public long samples() {
    return received;
  }
}
