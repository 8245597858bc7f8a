package org.whinograph.speed.order;

import java.util.function.DoubleConsumer;
import org.whinograph.spectrum.FrameListener;

/**
 * The peaks of a recording's spectra through time, packed: enough to see which lines move with a
 * speed and which stay, and nothing else of the spectra is kept.
 *
 * <p>At most {@value #MOST_FRAMES} frames of {@value #MOST_PEAKS} peaks are kept (0.9 MB). When
 * they are full, every second one is dropped and half as many are taken from then on. No allocation
 * per frame. Not safe for use by several threads.
 */
public final class LineTracks implements FrameListener {
  static final int MOST_FRAMES = 2048;
  static final int MOST_PEAKS = 48;

  /**
   * Power over the local noise floor from which on a peak is kept: under noise a line exceeds it
   * with a probability of e^−9, so that of 32 768 lines about four do.
   */
  private static final float LEAST_RATIO = 9f;

  private static final int GROUP = 16;

  /**
   * Mean of the second least of five means of 16 exponentially distributed powers: a normal
   * distribution's second of five lies 0.495 standard deviations of ¼ below the mean.
   */
  private static final float FLOOR_BIAS = 0.876f;

  private final int length;
  private final int hop;
  private final double rate;
  private final float[] power;
  private final float[] means;
  private final float[] floors;
  private final float[] frequencies = new float[MOST_FRAMES * MOST_PEAKS];
  private final float[] ratios = new float[MOST_FRAMES * MOST_PEAKS];
  private final int[] counts = new int[MOST_FRAMES];
  private final long[] indices = new long[MOST_FRAMES];
  private int frames;
  private long stride = 1;

  /**
   * Prepares to listen to a stream of Hann frames.
   *
   * @param sampleRateHz frames a second [Hz]
   * @param length length of a frame [samples], a multiple of 32, at least 1024
   * @param hop distance between frames [samples]
   */
  public LineTracks(double sampleRateHz, int length, int hop) {
    if (length < 1024 || length % (2 * GROUP) != 0) {
      throw new IllegalArgumentException(
          "length: at least 1024 and a multiple of " + 2 * GROUP + ", got " + length);
    }
    this.rate = sampleRateHz;
    this.length = length;
    this.hop = hop;
    this.power = new float[length / 2];
    this.means = new float[length / 2 / GROUP];
    this.floors = new float[means.length];
  }

  /** {@inheritDoc} */
  @Override
  public void frame(long index, double[] lines) {
    if (index % stride != 0) {
      return;
    }
    if (frames == MOST_FRAMES) {
      thinOut();
      if (index % stride != 0) {
        return;
      }
    }
    int half = length / 2;
    power[0] = 0f;
    for (int k = 1; k < half; k++) {
      double re = lines[2 * k];
      double im = lines[2 * k + 1];
      power[k] = (float) (re * re + im * im);
    }
    findFloors();
    indices[frames] = index;
    counts[frames] = 0;
    for (int k = 2; k < half - 1; k++) {
      float p = power[k];
      if (p > LEAST_RATIO * floors[k / GROUP] && p > power[k - 1] && p >= power[k + 1]) {
        float floor = floors[k / GROUP];
        if (floor > 1e-30f) {
          keep(interpolated(k), p / floor);
        }
      }
    }
    frames++;
  }

  private void findFloors() {
    for (int g = 0; g < means.length; g++) {
      float sum = 0f;
      for (int k = g * GROUP; k < (g + 1) * GROUP; k++) {
        sum += power[k];
      }
      means[g] = sum / GROUP;
    }
    for (int g = 0; g < means.length; g++) {
      int from = Math.max(0, Math.min(means.length - 5, g - 2));
      float least = Float.POSITIVE_INFINITY;
      float second = Float.POSITIVE_INFINITY;
      for (int j = from; j < from + 5; j++) {
        float mean = means[j];
        if (mean < least) {
          second = least;
          least = mean;
        } else if (mean < second) {
          second = mean;
        }
      }
      floors[g] = second / FLOOR_BIAS;
    }
  }

  /** Frequency of a peak: (2a − 1)/(a + 1) lines off, a the ratio of the two greatest lines. */
  private float interpolated(int k) {
    boolean up = power[k + 1] > power[k - 1];
    double a = Math.sqrt((up ? power[k + 1] : power[k - 1]) / power[k]);
    double offset = Math.max(0.0, Math.min(0.5, (2.0 * a - 1.0) / (a + 1.0)));
    return (float) ((k + (up ? offset : -offset)) * lineSpacingHz());
  }

  private void keep(float frequency, float ratio) {
    int base = frames * MOST_PEAKS;
    int at = counts[frames];
    if (at < MOST_PEAKS) {
      counts[frames]++;
    } else {
      // Full: the weakest gives way.
      int weakest = 0;
      for (int j = 1; j < MOST_PEAKS; j++) {
        if (ratios[base + j] < ratios[base + weakest]) {
          weakest = j;
        }
      }
      if (ratios[base + weakest] >= ratio) {
        return;
      }
      at = weakest;
    }
    frequencies[base + at] = frequency;
    ratios[base + at] = ratio;
  }

  private void thinOut() {
    int kept = 0;
    stride *= 2;
    for (int i = 0; i < frames; i++) {
      if (indices[i] % stride == 0) {
        System.arraycopy(frequencies, i * MOST_PEAKS, frequencies, kept * MOST_PEAKS, MOST_PEAKS);
        System.arraycopy(ratios, i * MOST_PEAKS, ratios, kept * MOST_PEAKS, MOST_PEAKS);
        counts[kept] = counts[i];
        indices[kept] = indices[i];
        kept++;
      }
    }
    frames = kept;
  }

  /** Number of frames kept. */
  int frames() {
    return frames;
  }

  /** Middle of a frame [s]. */
  double middleS(int frame) {
    return (indices[frame] * (double) hop + 0.5 * length) / rate;
  }

  /** Length of a frame [s]. */
  double lengthS() {
    return length / rate;
  }

  /** Spacing of the lines [Hz]. */
  double lineSpacingHz() {
    return rate / length;
  }

  /**
   * The strongest peak of a frame within a stretch.
   *
   * @return its index for {@link #frequencyHz} and {@link #ratio}, or −1
   */
  int strongest(int frame, double lowHz, double highHz) {
    int best = -1;
    int base = frame * MOST_PEAKS;
    for (int i = base; i < base + counts[frame]; i++) {
      if (frequencies[i] >= lowHz
          && frequencies[i] <= highHz
          && (best < 0 || ratios[i] > ratios[best])) {
        best = i;
      }
    }
    return best;
  }

  /** Upper end of the frames' spectra [Hz]. */
  double highestHz() {
    return 0.5 * rate;
  }

  /** Hands out the frequencies of the peaks of a frame [Hz]. */
  void forEach(int frame, DoubleConsumer taker) {
    int base = frame * MOST_PEAKS;
    for (int i = base; i < base + counts[frame]; i++) {
      taker.accept(frequencies[i]);
    }
  }

  /** Number of peaks of a frame within a stretch. */
  int count(int frame, double lowHz, double highHz) {
    int found = 0;
    int base = frame * MOST_PEAKS;
    for (int i = base; i < base + counts[frame]; i++) {
      found += frequencies[i] >= lowHz && frequencies[i] <= highHz ? 1 : 0;
    }
    return found;
  }

  /** Frequency of a peak [Hz]. */
  double frequencyHz(int peak) {
    return frequencies[peak];
  }

  /** Power of a peak over the noise in its line [1]. */
  double ratio(int peak) {
    return ratios[peak];
  }
}
