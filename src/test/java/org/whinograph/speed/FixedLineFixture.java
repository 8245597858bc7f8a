package org.whinograph.speed;

import java.util.Arrays;
import java.util.Random;

/**
 * Peaks of spectra drawn by hand: noise whose powers are exponentially distributed, and lines of a
 * Hann window's width.
 */
final class FixedLineFixture {
  static final double LINE_HZ = 2.0;
  static final int FRAMES = 80;
  private static final int LINES = 1024;

  private final Random random = new Random(11);
  private final float[][] power = new float[FRAMES][LINES];

  FixedLineFixture() {
    for (float[] frame : power) {
      for (int k = 0; k < LINES; k++) {
        frame[k] = (float) -Math.log(1.0 - random.nextDouble());
      }
    }
  }

  /** Adds a line to a frame: a Hann window's main lobe, 0 dB, −6 dB at one line from the middle. */
  FixedLineFixture line(int frame, double hz, double strength) {
    double place = hz / LINE_HZ;
    for (int k = (int) place - 1; k <= (int) place + 2; k++) {
      double x = Math.abs(k - place);
      double sinc = x < 1e-9 ? 1.0 : Math.sin(Math.PI * x) / (Math.PI * x);
      double amplitude = Math.abs(x - 1.0) < 1e-9 ? 0.5 : sinc / (1.0 - x * x);
      power[frame][k] += (float) (strength * amplitude * amplitude);
    }
    return this;
  }

  PeakList peaks() {
    PeakList peaks = new PeakList();
    for (float[] frame : power) {
      peaks.addFrame(frame, LINES, LINE_HZ, 20.0, 2000.0);
    }
    return peaks;
  }

  static CombPath path(double[] spacing, double... evidence) {
    double[] confidence = new double[spacing.length];
    Arrays.fill(confidence, 1.0);
    boolean[] joined = new boolean[spacing.length];
    Arrays.fill(joined, true);
    return new CombPath(spacing, joined, confidence, 300.0, Arrays.copyOf(evidence, 8), 0);
  }
}
