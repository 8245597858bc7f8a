package org.whinograph.spectrum;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;
import org.whinograph.signal.SampleBlock;

class SpectrogramTest {
  private static final int N = 256;

  /** Sine that grows by 1 Pa a second. */
  private static Spectrogram of(int samples, int mostColumns) {
    FrameStream stream = new FrameStream(Window.HANN, N, N / 2, 0);
    Spectrogram spectrogram = new Spectrogram(stream, 8_000, 32, mostColumns);
    double[] block = new double[N];
    for (int at = 0; at < samples; at += N) {
      for (int i = 0; i < N; i++) {
        double t = (at + i) / 8_000.0;
        block[i] = t * Math.sin(2 * Math.PI * 1_010.0 * t);
      }
      stream.accept(SampleBlock.of(block, N, 8_000, at));
    }
    return spectrogram;
  }

  @Test
  void columnsStayBoundedAndKeepEnergyAndTime() {
    Spectrogram.Columns few = of(8_000 * 20, 16).columns();
    Spectrogram.Columns all = of(8_000 * 20, 4_096).columns();
    assertTrue(few.meanSquare().length < 16);
    assertEquals(N / 2 / 8_000.0, all.columnS(), 1e-12);
    double ratio = few.columnS() / all.columnS();
    assertEquals(0.0, Math.rint(ratio) - ratio, 1e-9);
    int merged = (int) Math.rint(ratio);
    // 128 lines in 32 rows of 4: 31.25 Hz · 4; the tone lies in row 8 (1000 to 1125 Hz).
    assertEquals(125.0, all.rowSpacingHz(), 1e-9);
    for (int c = 0; c < few.meanSquare().length; c++) {
      double mean = 0.0;
      for (int i = 0; i < merged; i++) {
        mean += all.meanSquare()[c * merged + i][8] / merged;
      }
      assertEquals(mean, few.meanSquare()[c][8], 1e-4 * mean);
      double middle = few.firstS() + c * few.columnS();
      // Lines sum to 1.5 times the mean square t²/2; two of row 8's lines hold nearly all of it.
      double energy = 4 * few.meanSquare()[c][8] + 4 * few.meanSquare()[c][7];
      double width = few.columnS();
      double expected = 1.5 * 0.5 * (middle * middle + width * width / 12);
      assertEquals(expected, energy, 0.02 * expected + 0.01);
    }
  }

  @Test
  void refusesWrongArguments() {
    FrameStream stream = new FrameStream(Window.HANN, N, N / 2, 0);
    assertThrows(IllegalArgumentException.class, () -> new Spectrogram(stream, 8_000, 0, 16));
    assertThrows(IllegalArgumentException.class, () -> new Spectrogram(stream, 8_000, 8, 3));
  }
}
