package org.whinograph.rehearsal;

import java.util.Objects;

/**
 * A noise from outside for a part of the recording: handling of the microphone, a door, a voice. It
 * rises and falls within a tenth of its length at each end.
 *
 * @param startS start [s]
 * @param endS end [s], after the start
 * @param noise its density while it lasts
 */
public record NoiseBurst(double startS, double endS, NoiseShape noise) {
  /** Checks the components. {@inheritDoc} */
  public NoiseBurst {
    Objects.requireNonNull(noise, "noise");
    if (!(startS < endS)) {
      throw new IllegalArgumentException(
          "startS, endS: start before end, got " + startS + " s, " + endS + " s");
    }
  }

  /** Gain of amplitude at a time [1]. */
  double gain(double timeS) {
    if (timeS <= startS || timeS >= endS) {
      return 0;
    }
    double edge = 0.1 * (endS - startS);
    return Math.min(1, Math.min(timeS - startS, endS - timeS) / edge);
  }
}
