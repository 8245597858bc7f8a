package org.whinograph.calibration;

import java.util.Arrays;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RealTransform;

/**
 * Spectra of an input with the calibrator off, over tenths of a second: their mean, and how much
 * they scatter about it. Used by one thread.
 */
final class InputSpectra {
  private static final double FLOOR_FROM_HZ = 1800;
  private static final double FLOOR_TO_HZ = 3800;

  /** Lines in which scatter is looked at. */
  private static final double SCATTER_FROM_HZ = 300;

  /** Suppression works on frames of some 20 ms; its holes drown in longer ones. */
  private static final int SHORT_FRAMES = 5;

  private static final double TINY = 1e-30;

  private final int length;
  private final double spacing;
  private final double[] window;
  private final double scale;
  private final RealTransform transform;
  private final double[] work;
  private final double[] power;
  private final double[] sorted;
  private final double[] sum;
  private final int shortLength;
  private final double[] shortWindow;
  private final RealTransform shortTransform;
  private final double[] shortWork;
  private final double[] shortSorted;
  private final double[] ratioSum;
  private final double[] ratioLogSum;
  private int count;

  InputSpectra(int length, double sampleRateHz) {
    this.length = length;
    this.spacing = sampleRateHz / length;
    this.window = new double[length];
    double energy = 0;
    for (int i = 0; i < length; i++) {
      window[i] = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / length);
      energy += window[i] * window[i];
    }
    this.scale = 2 / (length * energy);
    this.transform = new RealTransform(length);
    this.work = new double[length];
    this.power = new double[length / 2];
    this.sum = new double[length / 2];
    this.shortLength = 2 * (length / (2 * SHORT_FRAMES));
    this.shortWindow = new double[shortLength];
    for (int i = 0; i < shortLength; i++) {
      shortWindow[i] = 0.5 - 0.5 * Math.cos(2 * Math.PI * i / shortLength);
    }
    this.shortTransform = new RealTransform(shortLength);
    this.shortWork = new double[shortLength];
    this.shortSorted = new double[shortLine(FLOOR_TO_HZ) - shortLine(FLOOR_FROM_HZ)];
    this.ratioSum = new double[shortLength / 2];
    this.ratioLogSum = new double[shortLength / 2];
    this.sorted = new double[line(FLOOR_TO_HZ) - line(FLOOR_FROM_HZ)];
  }

  /** Takes the spectrum of a frame and returns the median of its floor lines [mean square]. */
  double transform(double[] samples) {
    double mean = 0;
    for (double x : samples) {
      mean += x;
    }
    mean /= length;
    for (int i = 0; i < length; i++) {
      work[i] = (samples[i] - mean) * window[i];
    }
    transform.forward(work);
    for (int k = 1; k < length / 2; k++) {
      power[k] = scale * (work[2 * k] * work[2 * k] + work[2 * k + 1] * work[2 * k + 1]);
    }
    System.arraycopy(power, line(FLOOR_FROM_HZ), sorted, 0, sorted.length);
    Arrays.sort(sorted);
    return sorted[sorted.length / 2];
  }

  /** Counts the frame last transformed as one with the calibrator off. */
  void addQuiet(double[] samples) {
    count++;
    for (int k = 1; k < power.length; k++) {
      sum[k] += power[k];
    }
    for (int part = 0; part < SHORT_FRAMES; part++) {
      scatter(samples, part * shortLength);
    }
  }

  /** Counts a short frame against the median of its floor lines, so that its loudness is none. */
  private void scatter(double[] samples, int from) {
    for (int i = 0; i < shortLength; i++) {
      shortWork[i] = samples[from + i] * shortWindow[i];
    }
    shortTransform.forward(shortWork);
    int last = shortLine(FLOOR_TO_HZ);
    for (int k = 1; k < last; k++) {
      double re = shortWork[2 * k];
      double im = shortWork[2 * k + 1];
      shortWork[k - 1] = re * re + im * im;
    }
    int first = shortLine(FLOOR_FROM_HZ);
    System.arraycopy(shortWork, first - 1, shortSorted, 0, shortSorted.length);
    Arrays.sort(shortSorted);
    double floor = shortSorted[shortSorted.length / 2];
    for (int k = 1; k < last; k++) {
      double ratio = shortWork[k - 1] / (floor + TINY) + TINY;
      ratioSum[k] += ratio;
      ratioLogSum[k] += Math.log(ratio);
    }
  }

  private int shortLine(double hertz) {
    return (int)
        Math.min(shortLength / 2 - 1, Math.round(hertz / (spacing * length / shortLength)));
  }

  int count() {
    return count;
  }

  double spacingHz() {
    return spacing;
  }

  int line(double hertz) {
    return (int) Math.min(length / 2 - 1, Math.round(hertz / spacing));
  }

  /** Level of a range of lines, mean over the frames with the calibrator off [dB re full scale]. */
  double meanLevel(int from, int to) {
    double total = 0;
    for (int k = from; k < to; k++) {
      total += sum[k];
    }
    return LevelUnit.FULL_SCALE.levelOf(total / Math.max(1, count) + TINY);
  }

  /**
   * Difference between the level of the mean and the mean of the levels of a line, the median over
   * lines: 2.51 dB for steady noise (10 lg e · 0.5772, the mean of the logarithm of an exponential
   * variable); more if lines are turned down now and then.
   */
  double scatterDb() {
    int from = shortLine(SCATTER_FROM_HZ);
    int to = shortLine(FLOOR_TO_HZ);
    double all = (double) count * SHORT_FRAMES;
    double[] gaps = new double[to - from];
    for (int k = from; k < to; k++) {
      gaps[k - from] = Math.log(ratioSum[k] / all) - ratioLogSum[k] / all;
    }
    Arrays.sort(gaps);
    return 10 / Math.log(10) * gaps[gaps.length / 2];
  }
}
