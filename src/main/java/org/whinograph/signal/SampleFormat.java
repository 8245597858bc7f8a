package org.whinograph.signal;

/**
 * How samples were stored where they came from.
 *
 * @param sampleRateHz frames a second [Hz], above 0
 * @param channels channels in the source, at least 1; only the chosen one is delivered
 * @param bitDepth valid bits of a sample: 8, 16, 24, 32 …; for floating point the width, 32 or 64
 * @param floatingPoint whether samples were floating point
 */
public record SampleFormat(double sampleRateHz, int channels, int bitDepth, boolean floatingPoint) {
  /** Checks the components. {@inheritDoc} */
  public SampleFormat {
    if (!(sampleRateHz > 0) || Double.isInfinite(sampleRateHz)) {
      throw new IllegalArgumentException("sampleRateHz: above 0, got " + sampleRateHz);
    }
    if (channels < 1 || bitDepth < 1) {
      throw new IllegalArgumentException(
          "channels, bitDepth: at least 1, got " + channels + ", " + bitDepth);
    }
  }
}
