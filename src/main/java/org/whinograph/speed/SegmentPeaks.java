package org.whinograph.speed;

import org.whinograph.signal.PowerTransform;

/**
 * Peaks of a segment's spectra over their own noise floor: of long windows of about half a second,
 * one a frame, and of short ones of a quarter of that, four a frame.
 *
 * <p>Nothing is allocated per window. Not safe for use by several threads.
 */
final class SegmentPeaks {
  private static final double LONG_WINDOW_S = 0.38;
  private static final double HIGHEST = 0.41;

  private final double rate;
  private final int hop;
  private final double highestHz;
  private final int longLength;
  private final int shortLength;
  private final PowerTransform longTransform;
  private final PowerTransform shortTransform;
  private final Whitener longWhitener;
  private final Whitener shortWhitener;
  private final float[] longWindow;
  private final float[] shortWindow;
  private final float[][] longPowers;
  private final float[][] shortPowers;
  private final int[] starts;
  private final int[] shortStarts;
  private final PeakList longPeaks = new PeakList();
  private final PeakList shortPeaks = new PeakList();

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   */
  SegmentPeaks(double rate) {
    this.rate = rate;
    int length = 1024;
    while (length < LONG_WINDOW_S * rate) {
      length *= 2;
    }
    this.longLength = length;
    this.shortLength = length / 4;
    this.hop = length / 2;
    this.highestHz = HIGHEST * rate;
    this.longTransform = new PowerTransform(longLength, 2);
    this.shortTransform = new PowerTransform(shortLength, 4);
    this.longWhitener = new Whitener(longLength / 2, 32);
    this.shortWhitener = new Whitener(shortLength / 2, 16);
    this.longWindow = hann(longLength);
    this.shortWindow = hann(shortLength);
    this.longPowers = new float[longTransform.batch()][longLength / 2];
    this.shortPowers = new float[shortTransform.batch()][shortLength / 2];
    this.starts = new int[longTransform.batch()];
    this.shortStarts = new int[shortTransform.batch()];
  }

  private static float[] hann(int length) {
    float[] window = new float[length];
    for (int i = 0; i < length; i++) {
      window[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length));
    }
    return window;
  }

  /** Spacing of the frames [samples]; frame i is centred at (i + 1) hops. */
  int hop() {
    return hop;
  }

  /** Highest frequency of a line that is looked at [Hz]. */
  double highestHz() {
    return highestHz;
  }

  /** Line spacing of the long windows [Hz]. */
  double longLineHz() {
    return rate / longLength;
  }

  /** Line spacing of the short windows [Hz]. */
  double shortLineHz() {
    return rate / shortLength;
  }

  /** Peaks of the long windows, one window a frame. */
  PeakList ofLong() {
    return longPeaks;
  }

  /** Peaks of the short windows, four a frame. */
  PeakList ofShort() {
    return shortPeaks;
  }

  /**
   * Collects the peaks of a segment; those of the one before are forgotten.
   *
   * @param audio samples
   * @param frames number of frames
   */
  void collect(float[] audio, int frames) {
    longPeaks.clear();
    shortPeaks.clear();
    for (int t = 0; t < frames; t += starts.length) {
      for (int i = 0; i < starts.length; i++) {
        starts[i] = Math.min(t + i, frames - 1) * hop;
      }
      longTransform.powers(audio, starts, longWindow, longPowers);
      for (int i = 0; i < starts.length && t + i < frames; i++) {
        addPeaks(longPeaks, longPowers[i], longWhitener, longLength);
      }
    }
    int shortHop = shortLength / 2;
    for (int t = 0; t < frames; t++) {
      for (int s = 0; s < shortStarts.length; s++) {
        shortStarts[s] = t * hop + hop - shortLength / 2 + (2 * s - 3) * shortHop / 2;
      }
      shortTransform.powers(audio, shortStarts, shortWindow, shortPowers);
      for (float[] powers : shortPowers) {
        addPeaks(shortPeaks, powers, shortWhitener, shortLength);
      }
    }
  }

  private void addPeaks(PeakList peaks, float[] power, Whitener whitener, int length) {
    power[0] = 0f;
    if (whitener.whiten(power)) {
      peaks.addFrame(power, length / 2, rate / length, CombSearch.LOWEST_HZ, highestHz);
    } else {
      peaks.addEmptyFrame();
    }
  }
}
