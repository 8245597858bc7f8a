package org.whinograph.speed;

import java.util.Arrays;

/**
 * Peaks of the whitened spectra of many frames, packed: the only thing kept of a spectrum, so that
 * a segment can be searched again with some lines taken out.
 *
 * <p>Not safe for use by several threads.
 */
final class PeakList {
  /** Peaks below this power are noise more often than not and are dropped. */
  static final float LEAST_POWER = 2.5f;

  private static final double LN_2 = Math.log(2.0);

  private int[] starts = new int[64];
  private int frames;
  private float[] frequencies = new float[1024];
  private float[] octaves = new float[1024];
  private float[] heard = new float[1024];
  private float[] evidence = new float[1024];
  private int count;

  /** Forgets everything and keeps the space. */
  void clear() {
    frames = 0;
    count = 0;
    starts[0] = 0;
  }

  /**
   * Adds the peaks of a frame.
   *
   * @param power whitened powers of a spectrum taken through a Hann window
   * @param lines how many count
   * @param spacingHz spacing of the lines [Hz]
   * @param lowestHz peaks below are dropped [Hz]
   * @param highestHz peaks above are dropped [Hz]
   */
  void addFrame(float[] power, int lines, double spacingHz, double lowestHz, double highestHz) {
    int first = Math.max(2, (int) Math.ceil(lowestHz / spacingHz));
    int last = Math.min(lines - 3, (int) Math.floor(highestHz / spacingHz));
    for (int k = first; k <= last; k++) {
      float p = power[k];
      if (p > LEAST_POWER && p > power[k - 1] && p >= power[k + 1]) {
        // Two-line interpolation of a Hann window: (2b − a)/(a + b) of the two greatest amplitudes.
        boolean up = power[k + 1] > power[k - 1];
        double a = Math.sqrt(p);
        double b = Math.sqrt(up ? power[k + 1] : power[k - 1]);
        double offset = Math.max(0.0, Math.min(0.5, (2.0 * b - a) / (a + b)));
        add((k + (up ? offset : -offset)) * spacingHz, LineEvidence.of(p));
      }
    }
    endFrame();
  }

  /** Adds a frame without peaks. */
  void addEmptyFrame() {
    endFrame();
  }

  private void add(double frequencyHz, float nats) {
    if (count == frequencies.length) {
      frequencies = Arrays.copyOf(frequencies, 2 * count);
      octaves = Arrays.copyOf(octaves, 2 * count);
      heard = Arrays.copyOf(heard, 2 * count);
      evidence = Arrays.copyOf(evidence, 2 * count);
    }
    frequencies[count] = (float) frequencyHz;
    octaves[count] = (float) (Math.log(frequencyHz) / LN_2);
    heard[count] = nats;
    evidence[count++] = nats;
  }

  private void endFrame() {
    frames++;
    if (frames == starts.length) {
      starts = Arrays.copyOf(starts, 2 * frames);
    }
    starts[frames] = count;
  }

  /** Number of frames. */
  int frames() {
    return frames;
  }

  /** Index of the first peak of a frame; that of the next frame ends it. */
  int start(int frame) {
    return starts[frame];
  }

  /** Index of the first peak of a frame from a frequency on; they rise within a frame. */
  int firstFrom(int frame, double hz) {
    int low = starts[frame];
    int high = starts[frame + 1];
    while (low < high) {
      int middle = (low + high) >>> 1;
      if (frequencies[middle] < hz) {
        low = middle + 1;
      } else {
        high = middle;
      }
    }
    return low;
  }

  /** Frequency of a peak [Hz]. */
  float frequencyHz(int peak) {
    return frequencies[peak];
  }

  /** Logarithm to base 2 of that frequency in Hz. */
  float octave(int peak) {
    return octaves[peak];
  }

  /** Evidence of a peak [nat]. */
  float evidence(int peak) {
    return evidence[peak];
  }

  /** Evidence of a peak, taken out or not [nat]. */
  float heard(int peak) {
    return heard[peak];
  }

  /** Takes a peak out. */
  void mute(int peak) {
    evidence[peak] = Float.NEGATIVE_INFINITY;
  }
}
