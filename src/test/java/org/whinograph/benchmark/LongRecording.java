package org.whinograph.benchmark;

import java.nio.file.Path;
import java.util.SplittableRandom;
import org.whinograph.audiofile.WavWriter;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;

/**
 * Writes a long recording for the measurement of the whole job: an invented fan of 7 blades at 3000
 * rpm, six harmonics of its blade-pass tone in noise that falls with frequency, 48 kHz, 24 bits,
 * mono. The same seed gives the same file.
 */
public final class LongRecording {
  private static final int RATE_HZ = 48_000;
  private static final double BLADE_PASS_HZ = 7 * 3000 / 60.0;
  private static final int HARMONICS = 6;

  private LongRecording() {}

  /**
   * Writes the file.
   *
   * @param args path, length in seconds, seed
   */
  public static void main(String[] args) throws RefusedException {
    int seconds = Integer.parseInt(args[1]);
    SplittableRandom random = new SplittableRandom(Long.parseLong(args[2]));
    double[] samples = new double[RATE_HZ];
    double slow = 0.0;
    SampleFormat format = new SampleFormat(RATE_HZ, 1, 24, false);
    try (WavWriter writer = WavWriter.whole(Path.of(args[0]), format, true)) {
      for (int second = 0; second < seconds; second++) {
        for (int i = 0; i < RATE_HZ; i++) {
          double white = random.nextDouble() - 0.5;
          slow += 0.05 * (white - slow);
          samples[i] = 0.002 * white + 0.02 * slow;
        }
        for (int harmonic = 1; harmonic <= HARMONICS; harmonic++) {
          // The blade-pass frequency is a whole number of hertz, so each second begins alike.
          double step = 2 * Math.PI * harmonic * BLADE_PASS_HZ / RATE_HZ;
          double amplitude = 0.001 / harmonic;
          for (int i = 0; i < RATE_HZ; i++) {
            samples[i] += amplitude * Math.sin(step * i);
          }
        }
        writer.write(samples, 0, RATE_HZ);
      }
      writer.finish();
    }
  }
}
