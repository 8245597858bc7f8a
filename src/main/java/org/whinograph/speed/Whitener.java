package org.whinograph.speed;

import java.util.Arrays;

/**
 * Divides a power spectrum by its own local noise floor. The floor is the median of the lines
 * around each place, divided by ln 2: the median of exponentially distributed powers is ln 2 =
 * −1.59 dB of their mean, and lines of tones hardly move it.
 *
 * <p>Most stretches are equally wide and half overlapping. Their halves are sorted side by side, by
 * a network that does the same to each of them, which the compiler turns into vector instructions:
 * a tenth of the time of a selection one by one.
 *
 * <p>Not safe for use by several threads.
 */
final class Whitener {
  private static final float LEAST_FLOOR = 1e-25f;

  /**
   * A floor that is a smaller part of the strongest line is what samples of single precision were
   * rounded by, 2⁻²⁵ of each (IEEE 754), some 2⁻⁵⁰ in power: a constant voltage has nothing else.
   */
  private static final float RESOLVED = 0x1p-52f;

  private static final double LN_2 = Math.log(2.0);

  private final int lines;
  private final int widest;
  private final int[] centres;
  private final int[] halves;
  private final float[] floors;
  private final float[] scratch;

  /** First of the stretches that are sorted side by side, and their number. */
  private final int first;

  private final int evenly;

  /** One row for each place in a half stretch, one column for each half. */
  private final float[][] sorted;

  private final float[][] next;
  private final float[] below;
  private final float[] above;

  /** How far each line is on its way from the centre of a stretch to that of the next, 0 to 1. */
  private final float[] share;

  /**
   * Lays out the stretches that medians are taken of: a third of their frequency wide, within
   * limits.
   *
   * @param lines number of lines in a spectrum
   * @param widest greatest half width of a stretch, a power of two, at least 8 [lines]
   */
  Whitener(int lines, int widest) {
    this.lines = lines;
    this.widest = widest;
    int[] place = new int[lines];
    int[] width = new int[lines];
    int count = 0;
    int at = 10;
    int narrower = 0;
    int whole = 0;
    while (at < lines) {
      int half = Math.max(8, Math.min(widest, at / 3));
      place[count] = at;
      width[count] = half;
      count++;
      if (half < widest) {
        narrower = count;
      } else if (at + half < lines) {
        whole = count;
      }
      at += Math.max(4, half);
    }
    this.centres = Arrays.copyOf(place, count);
    this.halves = Arrays.copyOf(width, count);
    this.floors = new float[count];
    this.scratch = new float[2 * widest + 1];
    this.first = narrower;
    this.evenly = Math.max(0, whole - narrower);
    this.sorted = new float[widest / 2][evenly + 1];
    this.next = new float[widest / 2][evenly];
    this.below = new float[evenly];
    this.above = new float[evenly];
    this.share = new float[lines];
    for (int i = 1; i < count; i++) {
      climb(share, centres[i - 1], centres[i]);
    }
  }

  /** From 0 at one place to 1 at another, in even steps. */
  private static void climb(float[] share, int from, int to) {
    for (int k = from + 1; k <= to; k++) {
      share[k] = (float) (k - from) / (to - from);
    }
  }

  /**
   * Whitens in place.
   *
   * @param power powers in, powers of mean 1 under noise out [length at least the lines]
   * @return whether there is any noise floor; digital silence has none and is left alone, nor has a
   *     constant voltage
   */
  boolean whiten(float[] power) {
    find(power, 0, first);
    find(power, first + evenly, centres.length);
    if (evenly > 0) {
      findEvenly(power);
    }
    float least = Math.max(LEAST_FLOOR, RESOLVED * greatest(power));
    int silent = silent(least);
    if (silent == floors.length) {
      return false;
    }
    int last = centres.length - 1;
    int from = 0;
    for (int i = 0; i <= last + 1; i++) {
      float left = floors[Math.max(0, i - 1)];
      float right = floors[Math.min(last, i)];
      int to = i > last ? lines : Math.min(lines, centres[i] + 1);
      if (silent == 0) {
        divide(power, share, from, to, left, right);
      } else {
        divideOrClear(power, share, from, to, left, right, least);
      }
      from = to;
    }
    return true;
  }

  /** Number of stretches without any noise. */
  private int silent(float least) {
    int count = 0;
    for (float floor : floors) {
      if (!(floor > least)) {
        count++;
      }
    }
    return count;
  }

  private float greatest(float[] power) {
    float greatest = 0f;
    for (int k = 0; k < lines; k++) {
      greatest = Math.max(greatest, power[k]);
    }
    return greatest;
  }

  private static void divideOrClear(
      float[] power, float[] share, int from, int to, float left, float right, float least) {
    for (int k = from; k < to; k++) {
      float floor = left * (1f - share[k]) + right * share[k];
      power[k] = floor > least ? power[k] / floor : 0f;
    }
  }

  /** Floors of the stretches that aren't alike, one by one. */
  private void find(float[] power, int from, int to) {
    for (int i = from; i < to; i++) {
      floors[i] = (float) (medianOf(power, i) / LN_2);
    }
  }

  /**
   * Divides lines by floors that go evenly from one stretch to the next. A step from one to the
   * other would be rounded to nothing where they are more than 72 dB apart, the sum of shares
   * isn't.
   */
  private static void divide(
      float[] power, float[] share, int from, int to, float left, float right) {
    for (int k = from; k < to; k++) {
      power[k] /= left * (1f - share[k]) + right * share[k];
    }
  }

  /** Median of the lines of one stretch. */
  private float medianOf(float[] power, int stretch) {
    int from = Math.max(1, centres[stretch] - halves[stretch]);
    int to = Math.min(lines - 1, centres[stretch] + halves[stretch]);
    // Neighbours of a Hann window tell nearly the same: every other line will do.
    int n = 0;
    for (int k = from; k <= to; k += 2) {
      scratch[n++] = power[k];
    }
    return median(scratch, n);
  }

  /**
   * Medians of the stretches that are alike. Each is two neighbouring halves and the line after
   * them. Of two sorted halves a and b of n lines, the lesser of a[i] and b[n−1−i] together are the
   * n least of all: the greatest of those and the least of the others enclose the middle.
   */
  private void findEvenly(float[] power) {
    int rows = widest / 2;
    for (int j = 0; j < rows; j++) {
      gather(power, centres[first] - widest + 2 * j, widest, sorted[j]);
    }
    sort();
    for (int j = 0; j < rows; j++) {
      System.arraycopy(sorted[j], 1, next[j], 0, evenly);
    }
    Arrays.fill(below, 0f);
    Arrays.fill(above, Float.POSITIVE_INFINITY);
    for (int j = 0; j < rows; j++) {
      enclose(sorted[j], next[rows - 1 - j], below, above, evenly);
    }
    for (int i = 0; i < evenly; i++) {
      float last = power[centres[first + i] + widest];
      floors[first + i] = (float) (Math.max(below[i], Math.min(last, above[i])) / LN_2);
    }
  }

  private static void gather(float[] power, int from, int step, float[] row) {
    for (int h = 0; h < row.length; h++) {
      row[h] = power[from + h * step];
    }
  }

  private static void enclose(float[] a, float[] b, float[] below, float[] above, int length) {
    for (int i = 0; i < length; i++) {
      below[i] = Math.max(below[i], Math.min(a[i], b[i]));
      above[i] = Math.min(above[i], Math.max(a[i], b[i]));
    }
  }

  /** Sorts every column by Batcher's odd-even merge (Knuth, volume 3, algorithm 5.2.2M). */
  private void sort() {
    int rows = sorted.length;
    for (int p = rows / 2; p > 0; p /= 2) {
      int q = rows / 2;
      int r = 0;
      int d = p;
      while (true) {
        for (int j = 0; j + d < rows; j++) {
          if ((j & p) == r) {
            exchange(sorted[j], sorted[j + d], evenly + 1);
          }
        }
        if (q == p) {
          break;
        }
        d = q - p;
        q /= 2;
        r = p;
      }
    }
  }

  private static void exchange(float[] a, float[] b, int length) {
    for (int i = 0; i < length; i++) {
      float x = a[i];
      float y = b[i];
      a[i] = Math.min(x, y);
      b[i] = Math.max(x, y);
    }
  }

  /** Median by Hoare's selection; the order of the values is lost. */
  static float median(float[] values, int n) {
    return ranked(values, n, n / 2);
  }

  /** The value of a rank by Hoare's selection; the order of the values is lost. */
  static float ranked(float[] values, int n, int wanted) {
    int low = 0;
    int high = n - 1;
    while (low < high) {
      float pivot = values[(low + high) >>> 1];
      int i = low;
      int j = high;
      while (i <= j) {
        while (values[i] < pivot) {
          i++;
        }
        while (values[j] > pivot) {
          j--;
        }
        if (i <= j) {
          float swap = values[i];
          values[i] = values[j];
          values[j] = swap;
          i++;
          j--;
        }
      }
      if (wanted <= j) {
        high = j;
      } else if (wanted >= i) {
        low = i;
      } else {
        break;
      }
    }
    return values[wanted];
  }
}
