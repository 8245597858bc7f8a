package org.whinograph.speed;

import java.util.Random;

/** Whitened spectra with lines in exponentially distributed noise, and their peaks. */
final class WhitenedFrames {
  private static final int LINES = 2048;

  /** Power of a line in the middle of its bin [1 under noise]. */
  private static final float POWER = 12f;

  private final PeakList peaks = new PeakList();
  private final double lineHz;
  private final Random random;

  WhitenedFrames(double lineHz, long seed) {
    this.lineHz = lineHz;
    this.random = new Random(seed);
  }

  /** Adds a frame with lines at some frequencies [Hz]. */
  void add(double... hz) {
    float[] power = new float[LINES];
    for (int k = 0; k < LINES; k++) {
      power[k] = (float) -Math.log(1.0 - random.nextDouble());
      for (double line : hz) {
        double place = line / lineHz;
        double off = Math.abs(k - place);
        // Hann's window: amplitude falls from 1 in the middle to 1/2 one line away and 0 at two.
        double hann = off < 2.0 ? Math.pow(Math.cos(Math.PI * off / 4.0), 2) : 0.0;
        power[k] += (float) (POWER * hann * hann);
      }
    }
    peaks.addFrame(power, LINES, lineHz, 20.0, LINES * lineHz);
  }

  PeakList peaks() {
    return peaks;
  }
}
