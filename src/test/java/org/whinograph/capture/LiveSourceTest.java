package org.whinograph.capture;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.lang.management.ManagementFactory;
import java.util.ArrayList;
import java.util.List;
import java.util.SplittableRandom;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.atomic.AtomicLong;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;

@Timeout(120)
class LiveSourceTest {
  private static final SampleFormat MONO_24 = new SampleFormat(48000, 1, 24, false);

  /** What was read: gaps, overloads, and how far each sample's count is from its position. */
  private static final class Reading {
    final List<Span> gaps = new ArrayList<>();
    final List<Span> overloads = new ArrayList<>();
    long frames;
    long worstOffset;
    long displaced;

    static Reading of(SimulatedInput input, long frames, int blockSize) throws RefusedException {
      Reading reading = new Reading();
      try (LiveSource source = paced(input)) {
        while (reading.frames < frames) {
          SampleBlock block = source.read(blockSize);
          if (block == null) {
            break;
          }
          reading.add(block);
        }
      }
      return reading;
    }

    private void add(SampleBlock block) {
      assertEquals(frames, block.position());
      block.gaps().forEach(gap -> join(gaps, gap));
      block.overloads().forEach(overload -> join(overloads, overload));
      if (block.gaps().isEmpty()) {
        for (int i = 0; i < block.length(); i++) {
          long count = Math.round(block.samples()[i] * 0x1p23);
          long offset = (frames + i - count) & ((1 << 22) - 1);
          offset = offset > 1 << 21 ? offset - (1 << 22) : offset;
          worstOffset = Math.max(worstOffset, Math.abs(offset));
          displaced += Math.abs(offset) > 480 ? 1 : 0;
        }
      }
      frames += block.length();
    }

    private static void join(List<Span> spans, Span next) {
      int last = spans.size() - 1;
      if (last >= 0 && spans.get(last).end() == next.position()) {
        Span before = spans.get(last);
        spans.set(last, new Span(before.position(), before.length() + next.length()));
      } else {
        spans.add(next);
      }
    }
  }

  /**
   * A source that its simulated input doesn't outrun, where a real input has real time for that.
   */
  private static LiveSource paced(SimulatedInput input) throws RefusedException {
    LiveSource source = new LiveSource(input, input, 1);
    input.backlog = source::backlog;
    source.start();
    return source;
  }

  /**
   * Bursts, late threads and a crystal 100 ppm off are no loss; each sample is where it belongs.
   */
  @ParameterizedTest
  @CsvSource({"480, 0, 0.0", "2880, 100, 0.002", "2880, -100, 0.005", "6000, 50, 0.010"})
  void nothingIsLostWhereNothingIsLost(long burst, double ppm, double jitter)
      throws RefusedException {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.burstFrames = burst;
    input.clockPpm = ppm;
    input.jitterS = jitter;
    Reading reading = Reading.of(input, 48000L * 600, 1000);
    assertEquals(48000L * 600, reading.frames);
    assertEquals(0, input.lost());
    assertEquals(List.of(), reading.gaps);
    assertEquals(0, reading.worstOffset);
  }

  /** A reader that stalls less than the buffer holds loses nothing, and no gap is made up. */
  @Test
  void aStallThatTheBufferHoldsIsNoLoss() throws RefusedException {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.bufferFrames = 48000 * 4;
    input.stallAtFrame = 48000 * 40;
    input.stallS = 2.0;
    Reading reading = Reading.of(input, 48000L * 80, 1000);
    assertEquals(0, input.lost());
    assertEquals(List.of(), reading.gaps);
    assertEquals(0, reading.worstOffset);
  }

  /** After an overflow the gap has the length of what was lost and stands where it was lost. */
  @ParameterizedTest
  @CsvSource({"0.3, 0", "0.5, 100", "2.0, -100", "30, 0"})
  void anOverflowIsFoundWithPlaceAndLength(double stall, double ppm) throws RefusedException {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.clockPpm = ppm;
    input.stallAtFrame = 48000 * 40;
    input.stallS = stall;
    Reading reading = Reading.of(input, 48000L * 120, 1000);
    assertTrue(input.lost() > 0);
    assertEquals(1, reading.gaps.size());
    // Bursts and late threads blur the clock by some milliseconds, 480 samples are 10 ms.
    assertNear(input.lost(), reading.gaps.get(0).length(), 480);
    double held = 0.2 + 0.06;
    assertNear(Math.round(48000 * (40 + held)), reading.gaps.get(0).position(), 3840);
    // Until the gap, and never behind it, samples may stand where lost ones should.
    assertTrue(reading.displaced <= 3840, reading.displaced + " samples in the wrong place");
  }

  /** Samples that vanish on the way, without any stall here, are found as well. */
  @ParameterizedTest
  @ValueSource(longs = {3840, 9600, 48000})
  void lossesUpstreamAreFound(long frames) throws RefusedException {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.vanishAtFrame = 48000 * 30;
    input.vanishFrames = frames;
    Reading reading = Reading.of(input, 48000L * 60, 1000);
    assertEquals(1, reading.gaps.size());
    assertNear(frames, reading.gaps.get(0).length(), 480);
    assertNear(48000 * 30, reading.gaps.get(0).position(), 3840);
  }

  /**
   * Negative control: without the loss there is none, with it the positions run off by its size.
   */
  @Test
  void withoutTheGapTimeWouldBeWrongByTheLoss() throws RefusedException {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.vanishAtFrame = 48000 * 30;
    input.vanishFrames = 240; // 5 ms, below what the clock can tell
    Reading reading = Reading.of(input, 48000L * 60, 1000);
    assertEquals(List.of(), reading.gaps);
    assertEquals(240, reading.worstOffset);
  }

  /** A consumer that sleeps makes the queue overflow: counted exactly, at its exact place. */
  @Test
  void aConsumerThatStallsLosesAKnownNumber() throws Exception {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.endFrame = 48000 * 25;
    LiveSource source = new LiveSource(input, input, 1);
    source.start();
    // Wait until the input has ended: ten of its seconds fit into the queue.
    while (input.nanoTime() < 25_100_000_000L) {
      Thread.onSpinWait();
    }
    long lost = 0;
    long frames = 0;
    long after = -1;
    try (source) {
      for (SampleBlock block = source.read(100); block != null; block = next(source)) {
        for (Span gap : block.gaps()) {
          lost += gap.length();
        }
        if (block.gaps().isEmpty() && lost == 0) {
          after = Math.round(block.samples()[block.length() - 1] * 0x1p23);
        }
        frames += block.length();
      }
    }
    assertEquals(48000 * 25, frames);
    assertEquals(1000 * 480 - 1, after);
    assertEquals(48000 * 25 - 1000 * 480, lost);
  }

  /** The end of the simulated input counts as gone; everything before it has come by then. */
  private static SampleBlock next(LiveSource source) {
    try {
      return source.read(100);
    } catch (RefusedException e) {
      assertTrue(e.getMessage().contains("is gone"), e.getMessage());
      return null;
    }
  }

  /**
   * As for a program that was stopped and goes on: the clock is ahead, samples are on their way.
   */
  private static final class Leaping implements CaptureLine, CaptureClock {
    private static final long LEAP_NANOS = 10_000_000_000L;

    private final SimulatedInput input;
    private final AtomicLong leap = new AtomicLong();
    private final CountDownLatch looks = new CountDownLatch(3);
    private final Thread[] reader = new Thread[1];

    Leaping(SimulatedInput input) {
      this.input = input;
    }

    @Override
    public int read(byte[] target, int length) {
      reader[0] = Thread.currentThread();
      if (input.nanoTime() > 1_000_000_000L && leap.compareAndSet(0, LEAP_NANOS)) {
        // Until the other thread has looked at the clock several times, nothing arrives.
        try {
          looks.await();
        } catch (InterruptedException e) {
          throw new AssertionError(e);
        }
      }
      return input.read(target, length);
    }

    @Override
    public long nanoTime() {
      if (leap.get() > 0 && Thread.currentThread() != reader[0]) {
        looks.countDown();
      }
      return input.nanoTime() + leap.get();
    }

    @Override
    public java.time.Instant instant() {
      return input.instant();
    }

    @Override
    public void pause(long nanos) {
      input.pause(nanos);
    }

    @Override
    public String name() {
      return input.name();
    }

    @Override
    public SampleFormat format() {
      return input.format();
    }

    @Override
    public void start() {
      input.start();
    }

    @Override
    public void close() {
      input.close();
      while (looks.getCount() > 0) {
        looks.countDown();
      }
    }
  }

  @Test
  void aProgramThatWasStoppedGoesOn() throws RefusedException {
    Leaping input = new Leaping(new SimulatedInput(MONO_24));
    LiveSource source = new LiveSource(input, input, 1);
    input.input.backlog = source::backlog;
    source.start();
    long frames = 0;
    long sound = 0;
    try (source) {
      while (sound < 48_000 * 3) {
        SampleBlock block = source.read(480);
        assertEquals(frames, block.position());
        frames += block.length();
        sound += block.gaps().isEmpty() ? block.length() : 0;
      }
    }
    assertEquals(0, input.looks.getCount());
  }

  @Test
  void aDeadInputIsToldAfterItsLastSample() throws RefusedException {
    SimulatedInput input = new SimulatedInput(MONO_24);
    input.endFrame = 48000;
    LiveSource source = paced(input);
    long frames = 0;
    try (source) {
      while (frames < 48000) {
        frames += source.read(480).length();
      }
      RefusedException refusal = assertThrows(RefusedException.class, () -> source.read(480));
      assertTrue(refusal.getMessage().contains("simulated input is gone"), refusal.getMessage());
    }
  }

  /** Runs of three at a full-scale code, over the edges of reads and blocks. */
  @ParameterizedTest
  @ValueSource(ints = {1, 7, 480, 65536})
  void overloadsAreExactToTheSample(int blockSize) throws RefusedException {
    SimulatedInput input = new SimulatedInput(MONO_24);
    List<Span> expected =
        List.of(new Span(478, 3), new Span(959, 3), new Span(5000, 1000), new Span(9600, 5));
    input.code =
        frame -> {
          boolean full =
              expected.stream().anyMatch(s -> frame >= s.position() && frame < s.end())
                  || frame == 2399
                  || frame == 2400;
          return full ? 0x7FFFFF : frame & 0x3FFFFF;
        };
    assertEquals(expected, Reading.of(input, 24000, blockSize).overloads);
  }

  @Test
  void channelsAreChosen() throws RefusedException {
    SimulatedInput input = new SimulatedInput(new SampleFormat(48000, 2, 16, false));
    RefusedException refusal =
        assertThrows(RefusedException.class, () -> new LiveSource(input, input, 3));
    assertTrue(refusal.getMessage().contains("choose from 1 to 2"));
  }

  /** Whoever listens hears all channels, sample by sample, beside the one that is read. */
  @Test
  void allChannelsAreHeard() throws RefusedException {
    SimulatedInput input = new SimulatedInput(new SampleFormat(48000, 3, 24, false));
    long[] heard = new long[1];
    try (LiveSource source = paced(input)) {
      source.listenToChannels(
          (channels, count) -> {
            assertEquals(3, channels.length);
            for (int i = 0; i < count; i++) {
              for (double[] channel : channels) {
                assertEquals(heard[0] + i, Math.round(channel[i] * 0x1p23));
              }
            }
            heard[0] += count;
          });
      long read = 0;
      while (read < 48_000) {
        read += source.read(777).length();
      }
      assertTrue(heard[0] >= read, heard[0] + " heard of " + read);
    }
  }

  /** Ten hours at full speed: every sample, no gap made up, and no more memory at the end. */
  @Test
  void tenHoursNeedNoMoreMemoryThanOne() throws RefusedException {
    SimulatedInput input = new SimulatedInput(new SampleFormat(8000, 1, 24, false));
    input.clockPpm = 30;
    SplittableRandom random = new SplittableRandom(3);
    long hour = 8000L * 3600;
    long frames = 0;
    long afterOne = 0;
    try (LiveSource source = paced(input)) {
      while (frames < 10 * hour) {
        SampleBlock block = source.read(random.nextInt(1, 3000));
        assertTrue(block.gaps().isEmpty());
        frames += block.length();
        if (afterOne == 0 && frames > hour) {
          afterOne = usedMemory();
        }
      }
      long growth = usedMemory() - afterOne;
      assertTrue(growth < 4 << 20, "grew by " + growth + " bytes");
    }
    assertEquals(0, input.lost());
  }

  private static void assertNear(long expected, long actual, long tolerance) {
    assertTrue(Math.abs(actual - expected) <= tolerance, () -> actual + " instead of " + expected);
  }

  private static long usedMemory() {
    System.gc();
    return ManagementFactory.getMemoryMXBean().getHeapMemoryUsage().getUsed();
  }
}
