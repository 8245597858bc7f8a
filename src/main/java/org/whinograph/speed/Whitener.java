package org.whinograph.speed;

/**
 * Divides a power spectrum by its own local noise floor. The floor is the median of the lines
 * around each place, divided by ln 2: the median of exponentially distributed powers is ln 2 =
 * −1.59 dB of their mean, and lines of tones hardly move it.
 *
 * <p>Not safe for use by several threads.
 */
final class Whitener {
  private final int lines;
  private final int[] centres;
  private final int[] halves;
  private final float[] floors;
  private final float[] scratch;

  /**
   * Lays out the stretches that medians are taken of: a third of their frequency wide, within
   * limits.
   *
   * @param lines number of lines in a spectrum
   * @param widest greatest half width of a stretch [lines]
   */
  Whitener(int lines, int widest) {
    this.lines = lines;
    int[] place = new int[lines];
    int[] width = new int[lines];
    int count = 0;
    int at = 10;
    while (at < lines) {
      int half = Math.max(8, Math.min(widest, at / 3));
      place[count] = at;
      width[count] = half;
      count++;
      at += Math.max(4, half);
    }
    this.centres = java.util.Arrays.copyOf(place, count);
    this.halves = java.util.Arrays.copyOf(width, count);
    this.floors = new float[count];
    this.scratch = new float[2 * widest + 1];
  }

  /**
   * Whitens in place.
   *
   * @param power powers in, powers of mean 1 under noise out [length at least the lines]
   * @return whether there is any noise floor; digital silence has none and is left alone
   */
  boolean whiten(float[] power) {
    boolean alive = false;
    for (int i = 0; i < centres.length; i++) {
      int from = Math.max(1, centres[i] - halves[i]);
      int to = Math.min(lines - 1, centres[i] + halves[i]);
      // Neighbours of a Hann window tell nearly the same: every other line will do.
      int n = 0;
      for (int k = from; k <= to; k += 2) {
        scratch[n++] = power[k];
      }
      floors[i] = (float) (median(scratch, n) / Math.log(2.0));
      alive |= floors[i] > 1e-25f;
    }
    if (!alive) {
      return false;
    }
    int right = 0;
    for (int k = 0; k < lines; k++) {
      while (right < centres.length && centres[right] < k) {
        right++;
      }
      float floor;
      if (right == 0) {
        floor = floors[0];
      } else if (right == centres.length) {
        floor = floors[right - 1];
      } else {
        float share = (float) (k - centres[right - 1]) / (centres[right] - centres[right - 1]);
        floor = floors[right - 1] + share * (floors[right] - floors[right - 1]);
      }
      power[k] = floor > 1e-25f ? power[k] / floor : 0f;
    }
    return true;
  }

  /** Median by Hoare's selection; the order of the values is lost. */
  static float median(float[] values, int n) {
    int wanted = n / 2;
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
