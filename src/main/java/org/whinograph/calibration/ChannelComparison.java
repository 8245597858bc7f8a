package org.whinograph.calibration;

import java.util.Optional;
import org.whinograph.quantity.Reading;

/**
 * Whether a second channel carries the same as the one measured, by their correlation. Two
 * microphones, or two converters behind one, differ by their noise at least.
 */
final class ChannelComparison {
  /** 1 − |ρ| of two converters whose noise lies 60 dB under the signal is 1e-6. */
  private static final double SAME = 1 - 1e-7;

  private final int measured;
  private final int channel;
  private double products;
  private double firstSquares;
  private double secondSquares;

  ChannelComparison(int measured, int channel) {
    this.measured = measured;
    this.channel = channel;
  }

  void add(double[] first, double[] second, int length) {
    for (int i = 0; i < length; i++) {
      products += first[i] * second[i];
      firstSquares += first[i] * first[i];
      secondSquares += second[i] * second[i];
    }
  }

  Optional<InputFinding> finding() {
    double size = Math.sqrt(firstSquares * secondSquares);
    if (!(size > 0) || Math.abs(products) < SAME * size) {
      return Optional.empty();
    }
    boolean mirrored = products < 0;
    return Optional.of(
        new InputFinding(
            mirrored ? InputFinding.Kind.MIRRORED_CHANNELS : InputFinding.Kind.DUPLICATE_CHANNELS,
            "channel "
                + channel
                + " is a copy of channel "
                + measured
                + (mirrored
                    ? " with the sign turned; a sum of both would cancel"
                    : "; a second channel adds nothing"),
            Reading.of(0)));
  }
}
