package org.whinograph.capture;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import be.tarsos.dsp.AudioEvent;
import be.tarsos.dsp.AudioProcessor;
import java.util.OptionalDouble;
import java.util.OptionalLong;
import javax.sound.sampled.LineUnavailableException;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.whinograph.quantity.Decibels;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;

@Timeout(60)
class MonitorTest {
  private static final double RATE = 48000;

  /** Sums the energy of what would be heard, without the start. */
  private static final class Ear implements AudioProcessor {
    private double energy;
    private long count;

    @Override
    public boolean process(AudioEvent event) {
      float[] samples = event.getFloatBuffer();
      if (event.getTimeStamp() > 0.5) {
        for (float sample : samples) {
          energy += sample * sample;
        }
        count += samples.length;
      }
      return true;
    }

    @Override
    public void processingFinished() {}

    double level() {
      return Decibels.ofEnergyRatio(2 * energy / count);
    }
  }

  /** Two seconds of a sine. */
  private static final class Sine implements SampleSource {
    private final double frequency;
    private final double amplitude;
    private final double[] samples = new double[4096];
    private long position;

    Sine(double frequency, double amplitude) {
      this.frequency = frequency;
      this.amplitude = amplitude;
    }

    @Override
    public SampleFormat format() {
      return new SampleFormat(RATE, 1, 24, false);
    }

    @Override
    public String name() {
      return "sine";
    }

    @Override
    public OptionalLong frames() {
      return OptionalLong.of(96_000);
    }

    @Override
    public SampleBlock read(int maximumLength) {
      int length = (int) Math.min(Math.min(maximumLength, samples.length), 96_000 - position);
      if (length == 0) {
        return null;
      }
      for (int i = 0; i < length; i++) {
        samples[i] = amplitude * Math.sin(2 * Math.PI * frequency * (position + i) / RATE);
      }
      SampleBlock block = SampleBlock.of(samples, length, RATE, position);
      position += length;
      return block;
    }

    @Override
    public void close() {}
  }

  private static double heard(double frequency, double gainDb, OptionalDouble tone)
      throws RefusedException {
    Ear ear = new Ear();
    try (Monitor monitor = new Monitor(RATE, gainDb, tone, format -> ear)) {
      monitor.play(new Sine(frequency, 0.1));
    }
    return ear.level();
  }

  @Test
  void gainIsApplied() throws RefusedException {
    assertEquals(-20, heard(1000, 0, OptionalDouble.empty()), 0.05);
    assertEquals(-40, heard(1000, -20, OptionalDouble.empty()), 0.05);
  }

  /**
   * One third of an octave: the tone in its middle passes, one at its edge is 3 dB down, one an
   * octave off is nearly gone (by the resonance curve of two circuits, 10 lg(1 + Q²(f/f₀ − f₀/f)²)
   * each).
   */
  @Test
  void aBandAroundAToneIsPlayedAlone() throws RefusedException {
    assertEquals(-20, heard(4000, 0, OptionalDouble.of(4000)), 0.5);
    assertEquals(-23, heard(4000 * Math.pow(2, 1.0 / 6), 0, OptionalDouble.of(4000)), 1.0);
    assertEquals(-23, heard(4000 * Math.pow(2, -1.0 / 6), 0, OptionalDouble.of(4000)), 1.0);
    assertTrue(heard(2000, 0, OptionalDouble.of(4000)) < -44);
    assertTrue(heard(1000, 0, OptionalDouble.of(4000)) < -50);
    assertTrue(heard(16000, 0, OptionalDouble.of(4000)) < -40);
  }

  @Test
  void loudnessHasALimit() {
    assertThrows(
        IllegalArgumentException.class,
        () -> new Monitor(RATE, 41, OptionalDouble.empty(), format -> new Ear()));
    assertThrows(
        IllegalArgumentException.class,
        () -> new Monitor(RATE, 0, OptionalDouble.of(24000), format -> new Ear()));
  }

  @Test
  void noOutputIsRefused() {
    RefusedException refusal =
        assertThrows(
            RefusedException.class,
            () ->
                new Monitor(
                    RATE,
                    0,
                    OptionalDouble.empty(),
                    format -> {
                      throw new LineUnavailableException("none");
                    }));
    assertTrue(refusal.getMessage().contains("headphones"));
  }

  /** An output that never takes anything costs the one who feeds it no time. */
  @Test
  void aBlockedOutputBlocksNobody() throws Exception {
    java.util.concurrent.CountDownLatch release = new java.util.concurrent.CountDownLatch(1);
    AudioProcessor stuck =
        new AudioProcessor() {
          @Override
          public boolean process(AudioEvent event) {
            try {
              release.await();
            } catch (InterruptedException e) {
              Thread.currentThread().interrupt();
            }
            return true;
          }

          @Override
          public void processingFinished() {}
        };
    Sine sine = new Sine(1000, 0.1);
    try (Monitor monitor = new Monitor(RATE, 0, OptionalDouble.empty(), format -> stuck)) {
      for (SampleBlock block = sine.read(480); block != null; block = sine.read(480)) {
        monitor.accept(block);
      }
      release.countDown();
    }
  }
}
