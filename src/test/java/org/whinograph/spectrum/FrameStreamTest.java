package org.whinograph.spectrum;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;

class FrameStreamTest {
  private static final double[] SAMPLES = new Random(1).doubles(20_000, -1, 1).toArray();

  @Test
  void sizeOfBlocksChangesNoBit() {
    List<double[]> expected = frames(20_000, List.of());
    assertEquals((20_000 - 1024) / 384 + 1, expected.size());
    for (int size : new int[] {1, 7, 383, 384, 385, 1024, 4096}) {
      List<double[]> actual = frames(size, List.of());
      assertEquals(expected.size(), actual.size());
      for (int i = 0; i < expected.size(); i++) {
        assertArrayEquals(expected.get(i), actual.get(i), 0.0);
      }
    }
  }

  @Test
  void framesThatTouchAGapAreLeftOutWhateverTheBlocks() {
    List<Span> gaps = List.of(new Span(2_000, 1), new Span(9_000, 500));
    List<Long> expected = new ArrayList<>();
    for (long i = 0; i * 384 + 1024 <= 20_000; i++) {
      long start = i * 384;
      long end = start + 1024;
      boolean touched = (start <= 2_000 && end > 2_000) || (start < 9_500 && end > 9_000);
      if (!touched) {
        expected.add(i);
      }
    }
    for (int size : new int[] {1, 100, 1024, 20_000}) {
      assertEquals(expected, indices(size, gaps));
    }
  }

  @Test
  void remembersEarlierFramesButNotThoseLeftOut() {
    FrameStream stream = new FrameStream(Window.HANN, 1024, 512, 2);
    stream.addListener(
        (index, lines) -> {
          assertNull(stream.earlier(index - 3));
          if (index == 2 || index == 9) {
            assertNotNull(stream.earlier(index - 1));
          }
          if (index == 8) {
            assertNull(stream.earlier(index - 1));
          }
        });
    feed(stream, 1000, List.of(new Span(4_000, 50)));
    // Frames 6 and 7 hold samples 4000 to 4049.
    assertEquals(2, stream.framesLeftOut());
  }

  @Test
  void positionsCountFromTheFirstBlock() {
    FrameStream stream = new FrameStream(Window.HANN, 1024, 512, 0);
    List<Long> indices = new ArrayList<>();
    stream.addListener((index, lines) -> indices.add(index));
    stream.accept(
        new SampleBlock(
            SAMPLES, 2048, 48_000, 1_000_000, List.of(), List.of(new Span(1_002_000, 48))));
    assertEquals(List.of(0L, 1L), indices);
  }

  @Test
  void refusesWrongArguments() {
    assertThrows(IllegalArgumentException.class, () -> new FrameStream(Window.HANN, 15, 5, 0));
    assertThrows(IllegalArgumentException.class, () -> new FrameStream(Window.HANN, 64, 65, 0));
    assertThrows(IllegalArgumentException.class, () -> new FrameStream(Window.HANN, 64, 0, 0));
    assertThrows(IllegalArgumentException.class, () -> new FrameStream(Window.HANN, 64, 32, -1));
    assertThrows(IllegalArgumentException.class, () -> Window.HANN.samples(8));
    assertNull(
        new SpectrumAverager(Window.HANN, 64, 32, 48_000).spectrum(LevelUnit.SOUND_PRESSURE));
  }

  /** A tone that turns by φ between frames shows φ in the mean product. */
  @Test
  void coherenceTellsThePhaseBetweenFrames() {
    int n = 1024;
    double line = 100.3;
    FrameStream stream = new FrameStream(Window.HANN, n, n / 2, 3);
    CoherenceAverager averager = new CoherenceAverager(stream, 3);
    double[] samples = new double[20_000];
    for (int i = 0; i < samples.length; i++) {
      samples[i] = Math.sin(2 * Math.PI * line * i / n);
    }
    stream.accept(SampleBlock.of(samples, samples.length, 48_000, 0));
    double turns = line * averager.distanceSamples() / n;
    double expected = 2 * Math.PI * (turns - Math.rint(turns));
    assertEquals(expected, Math.atan2(averager.imaginary(100), averager.real(100)), 1e-4);
    assertEquals(stream.frames() - 3, averager.pairs());
  }

  private static List<double[]> frames(int size, List<Span> gaps) {
    List<double[]> frames = new ArrayList<>();
    FrameStream stream = new FrameStream(Window.HANN, 1024, 384, 1);
    stream.addListener((index, lines) -> frames.add(lines.clone()));
    feed(stream, size, gaps);
    return frames;
  }

  private static List<Long> indices(int size, List<Span> gaps) {
    List<Long> indices = new ArrayList<>();
    FrameStream stream = new FrameStream(Window.HANN, 1024, 384, 0);
    stream.addListener((index, lines) -> indices.add(index));
    feed(stream, size, gaps);
    return indices;
  }

  /** Each block carries the part of the gaps that lies within it. */
  private static void feed(FrameStream stream, int size, List<Span> gaps) {
    double[] buffer = new double[size];
    for (int at = 0; at < SAMPLES.length; at += size) {
      int count = Math.min(size, SAMPLES.length - at);
      System.arraycopy(SAMPLES, at, buffer, 0, count);
      List<Span> within = new ArrayList<>();
      for (Span gap : gaps) {
        long start = Math.max(gap.position(), at);
        long end = Math.min(gap.end(), at + count);
        if (end > start) {
          within.add(new Span(start, end - start));
        }
      }
      stream.accept(new SampleBlock(buffer, count, 48_000, at, List.of(), within));
    }
  }
}
