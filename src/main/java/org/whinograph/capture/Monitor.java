package org.whinograph.capture;

import be.tarsos.dsp.AudioDispatcher;
import be.tarsos.dsp.AudioProcessor;
import be.tarsos.dsp.GainProcessor;
import be.tarsos.dsp.filters.BandPass;
import be.tarsos.dsp.io.TarsosDSPAudioFormat;
import be.tarsos.dsp.io.TarsosDSPAudioInputStream;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;
import java.util.concurrent.ArrayBlockingQueue;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.TimeUnit;
import javax.sound.sampled.LineUnavailableException;
import org.whinograph.audiofile.SampleEncoding;
import org.whinograph.quantity.Decibels;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.SampleSource;

/**
 * Plays samples to the loudspeaker, or one band of them around a tone, at a chosen gain. For the
 * ear only: it stands apart from the measuring path, drops what it can't play in time, and works in
 * 16 bits. Sound near 0 dB re full scale harms hearing in headphones, and a loudspeaker near the
 * microphone howls; start low.
 *
 * <p>{@link #accept} and {@link #play} belong to one thread.
 */
public final class Monitor implements SampleSink, AutoCloseable {
  /** Above it, quiet devices turn into harmful loudness at the first knock on the table. */
  public static final double MOST_GAIN_DB = 40;

  /** Width of the band that is played around a tone: one third of an octave, 2^(1/6) − 2^(−1/6). */
  private static final double BAND = 0.2316;

  /**
   * Two resonators in a row keep a neighbour an octave away 25 dB down, where one gives 16; each is
   * wider by 1/√(√2 − 1), so that both together are 3 dB down at the band's edges.
   */
  private static final int RESONATORS = 2;

  private static final double EACH_BAND = BAND / Math.sqrt(Math.sqrt(2) - 1);

  private static final int BLOCK = 1024;
  private static final int QUEUE = 16;

  /** A third of a second at 48 kHz, of which half is a head start over the input's bursts. */
  private static final int BUFFER_BLOCKS = 16;

  private static final int BITS = 16;

  /** Where the processed sound goes; tests listen in here instead of at a loudspeaker. */
  interface Output {
    AudioProcessor open(TarsosDSPAudioFormat format) throws LineUnavailableException;
  }

  private final BlockingQueue<byte[]> queue = new ArrayBlockingQueue<>(QUEUE);
  private final AudioDispatcher dispatcher;
  private final Thread thread;
  private final double[] pending = new double[BLOCK];
  private int pendingCount;
  private volatile boolean ended;
  private volatile boolean broken;

  /**
   * Opens the loudspeaker of the computer.
   *
   * @param sampleRateHz rate of the samples to come [Hz]
   * @param gainDb gain [dB], at most {@value #MOST_GAIN_DB}
   * @param toneHz middle of the band to play [Hz], above 0 and below half the rate, or empty for
   *     all
   * @throws RefusedException if there is no output
   */
  public Monitor(double sampleRateHz, double gainDb, OptionalDouble toneHz)
      throws RefusedException {
    this(sampleRateHz, gainDb, toneHz, format -> LineOutput.open(format, BUFFER_BLOCKS * BLOCK));
  }

  Monitor(double sampleRateHz, double gainDb, OptionalDouble toneHz, Output output)
      throws RefusedException {
    if (!(gainDb <= MOST_GAIN_DB)) {
      throw new IllegalArgumentException("gainDb: at most " + MOST_GAIN_DB + ", got " + gainDb);
    }
    if (toneHz.isPresent()
        && !(toneHz.getAsDouble() > 0 && toneHz.getAsDouble() < sampleRateHz / 2)) {
      throw new IllegalArgumentException(
          "toneHz: above 0 and below " + sampleRateHz / 2 + ", got " + toneHz.getAsDouble());
    }
    float rate = (float) sampleRateHz;
    TarsosDSPAudioFormat format = new TarsosDSPAudioFormat(rate, BITS, 1, true, false);
    dispatcher = new AudioDispatcher(new Feed(format), BLOCK, 0);
    List<AudioProcessor> chain = new ArrayList<>();
    if (toneHz.isPresent()) {
      float tone = (float) toneHz.getAsDouble();
      for (int i = 0; i < RESONATORS; i++) {
        chain.add(new BandPass(tone, (float) (tone * EACH_BAND), rate));
      }
    }
    chain.add(new GainProcessor(Decibels.toAmplitudeRatio(gainDb)));
    try {
      chain.add(output.open(format));
    } catch (LineUnavailableException | IllegalArgumentException e) {
      throw new RefusedException(
          "no audio output opens: connect headphones or a loudspeaker, close other programs that"
              + " play, then try again",
          e);
    }
    chain.forEach(dispatcher::addAudioProcessor);
    thread = new Thread(this::dispatch, "monitor");
    thread.setDaemon(true);
    thread.start();
  }

  /** Queues samples; what doesn't fit is dropped, so that nobody waits for the loudspeaker. */
  @Override
  public void accept(SampleBlock block) {
    collect(block, false);
  }

  /**
   * Plays a source to its end, at the pace of the loudspeaker.
   *
   * @param source what to play
   * @throws RefusedException if the source is damaged, or the output is gone
   */
  public void play(SampleSource source) throws RefusedException {
    for (SampleBlock block = source.read(BLOCK); block != null; block = source.read(BLOCK)) {
      collect(block, true);
      if (broken || Thread.currentThread().isInterrupted()) {
        break;
      }
    }
    offer(true);
    close();
    if (broken) {
      throw new RefusedException("the audio output is gone; connect it and start again");
    }
  }

  /** Ends playing once the queue is empty. Calling it twice does nothing. */
  @Override
  public void close() {
    ended = true;
    try {
      thread.join(TimeUnit.SECONDS.toMillis(5));
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void dispatch() {
    try {
      dispatcher.run();
    } catch (RuntimeException e) {
      broken = true;
    }
  }

  private void collect(SampleBlock block, boolean wait) {
    for (int i = 0; i < block.length(); i++) {
      pending[pendingCount++] = block.samples()[i];
      if (pendingCount == BLOCK) {
        offer(wait);
      }
    }
  }

  private void offer(boolean wait) {
    byte[] bytes = new byte[2 * pendingCount];
    SampleEncoding.SIGNED_16.encode(pending, 0, bytes, 0, pendingCount);
    pendingCount = 0;
    if (bytes.length == 0) {
      return;
    }
    try {
      boolean taken = queue.offer(bytes);
      while (wait && !taken && !broken) {
        taken = queue.offer(bytes, 50, TimeUnit.MILLISECONDS);
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  /** The queue as the stream that the dispatcher reads. */
  private final class Feed implements TarsosDSPAudioInputStream {
    private final TarsosDSPAudioFormat format;
    private byte[] current = new byte[0];
    private int offset;

    Feed(TarsosDSPAudioFormat format) {
      this.format = format;
    }

    @Override
    public int read(byte[] target, int from, int length) {
      int done = 0;
      while (done < length) {
        if (offset == current.length && !fetch()) {
          break;
        }
        int count = Math.min(length - done, current.length - offset);
        System.arraycopy(current, offset, target, from + done, count);
        offset += count;
        done += count;
      }
      return done == 0 ? -1 : done;
    }

    private boolean fetch() {
      try {
        byte[] next = queue.poll();
        while (next == null && !ended) {
          next = queue.poll(20, TimeUnit.MILLISECONDS);
        }
        if (next == null) {
          next = queue.poll();
        }
        if (next == null) {
          return false;
        }
        current = next;
        offset = 0;
        return true;
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        return false;
      }
    }

    @Override
    public long skip(long count) {
      return 0;
    }

    @Override
    public void close() {
      ended = true;
    }

    @Override
    public TarsosDSPAudioFormat getFormat() {
      return format;
    }

    @Override
    public long getFrameLength() {
      return -1;
    }
  }
}
