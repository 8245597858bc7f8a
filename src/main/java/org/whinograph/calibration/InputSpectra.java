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

  private static final double SCATTER_TO_HZ = 15_000;

  /** Where a microphone's own noise is most of what is left, which a room doesn't move. */
  private static final double HISS_FROM_HZ = 3800;

  private static final double HISS_TO_HZ = 18_000;

  /** Suppression works on frames of some 20 ms; its holes drown in longer ones. */
  private static final int SHORT_FRAMES = 5;

  /** Short frames overlap by half, so that none of them need lie as those of the suppression. */
  private static final int SHORT_HOPS = 2 * SHORT_FRAMES - 1;

  /** Lines above this part of the rate may lie in a converter's filter. */
  private static final double HIGHEST_PART = 0.4;

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
  private final double[] shortPower;
  private final int shortFrom;
  private final int shortTo;
  private final int hissFrom;
  private final int hissTo;
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
    this.shortPower = new double[shortLength / 2];
    this.shortFrom = shortLine(SCATTER_FROM_HZ);
    this.shortTo = shortLine(Math.min(SCATTER_TO_HZ, HIGHEST_PART * sampleRateHz));
    this.hissFrom = line(Math.min(HISS_FROM_HZ, HIGHEST_PART * sampleRateHz / 2));
    this.hissTo = line(Math.min(HISS_TO_HZ, HIGHEST_PART * sampleRateHz));
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
    for (int hop = 0; hop < SHORT_HOPS; hop++) {
      scatter(samples, hop * shortLength / 2);
    }
  }

  /** Counts a short frame against the mean level of its lines, so that its loudness is none. */
  private void scatter(double[] samples, int from) {
    for (int i = 0; i < shortLength; i++) {
      shortWork[i] = samples[from + i] * shortWindow[i];
    }
    shortTransform.forward(shortWork);
    double logarithms = 0;
    for (int k = shortFrom; k < shortTo; k++) {
      double re = shortWork[2 * k];
      double im = shortWork[2 * k + 1];
      double power = re * re + im * im + TINY;
      double logarithm = Math.log(power);
      shortPower[k] = power;
      ratioLogSum[k] += logarithm;
      logarithms += logarithm;
    }
    double level = logarithms / (shortTo - shortFrom);
    double scaleDown = Math.exp(-level);
    for (int k = shortFrom; k < shortTo; k++) {
      ratioSum[k] += shortPower[k] * scaleDown;
      ratioLogSum[k] -= level;
    }
  }

  /** Mean of the levels of the frame's hiss lines [dB re full scale, a line]. */
  double hissDb() {
    double logarithms = 0;
    for (int k = hissFrom; k < hissTo; k++) {
      logarithms += Math.log(power[k] + TINY);
    }
    return LevelUnit.FULL_SCALE.levelOf(Math.exp(logarithms / Math.max(1, hissTo - hissFrom)));
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
    double all = (double) count * SHORT_HOPS;
    double[] gaps = new double[shortTo - shortFrom];
    for (int k = shortFrom; k < shortTo; k++) {
      gaps[k - shortFrom] = Math.log(ratioSum[k] / all) - ratioLogSum[k] / all;
    }
    Arrays.sort(gaps);
    return 10 / Math.log(10) * gaps[gaps.length / 2];
  }
}
