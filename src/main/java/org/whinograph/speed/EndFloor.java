package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.PowerTransform;

/**
 * Noise floor around a moment of a recording, beside the lines: the median over frequency of the
 * mean over a few windows.
 *
 * <p>Allocates nothing per call. Not safe for use by several threads.
 */
final class EndFloor {
  /** Lines to either side whose median it is, and windows whose mean it is taken of. */
  private static final int REACH = 20;

  private static final int WINDOWS = 5;

  /**
   * Median of a mean of K powers over the mean, (1 − 1/(9K))³ (Wilson and Hilferty). Windows that
   * overlap by half are worth seven tenths of so many independent ones.
   */
  private static final double BIAS = Math.pow(1.0 - 1.0 / (9.0 * 0.7 * WINDOWS), 3);

  /** The median of one power over the mean: ln 2. */
  private static final double BIAS_OF_ONE = Math.log(2.0);

  /**
   * A window whose own floor is so many times as high as that around is a knock's, and has that
   * one; by chance it hardly ever is (judgement).
   */
  private static final double KNOCK = 2.0;

  private final double rate;
  private final int length;
  private final PowerTransform transform;
  private final float[][] powers;
  private final int[] centres = new int[WINDOWS];
  private final float[] around = new float[2 * REACH];
  private final float[] own = new float[2 * REACH];
  private int middle;
  private final float[] bell;
  private final float[] section;
  private final int[] start = new int[1];
  private final float[][] power = new float[1][];
  private float[] audio = {};

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param length length of a window [samples], a power of two
   */
  EndFloor(double rate, int length) {
    this.rate = rate;
    this.length = length;
    this.transform = new PowerTransform(length, 1);
    this.powers = new float[WINDOWS][length / 2];
    this.bell = new float[length];
    for (int i = 0; i < length; i++) {
      bell[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length));
    }
    this.section = new float[length];
  }

  /** Takes another recording. */
  void begin(float[] sound) {
    audio = sound;
    Arrays.fill(centres, Integer.MIN_VALUE);
  }

  /** Makes the spectra around a moment [samples], a multiple of half a window. */
  void hear(int centre) {
    middle = Math.floorMod(2 * centre / length, WINDOWS);
    for (int w = 0; w < WINDOWS; w++) {
      // Half a window further on all but one of them are there already.
      int at = centre + (w - WINDOWS / 2) * length / 2;
      int slot = Math.floorMod(2 * at / length, WINDOWS);
      if (centres[slot] != at) {
        centres[slot] = at;
        for (int i = 0; i < length; i++) {
          int from = at - length / 2 + i;
          section[i] = from < 0 || from >= audio.length ? 0f : audio[from];
        }
        power[0] = powers[slot];
        transform.powers(section, start, bell, power);
      }
    }
  }

  /**
   * Floor around a frequency [Hz].
   *
   * @return power of a line, as that of a transform without scale of a window under a Hann window
   */
  double at(double hz) {
    int place = Math.max(1, Math.min(length / 2 - 1, (int) (hz * length / rate + 0.5)));
    int n = 0;
    for (int k = place - REACH; k < place + REACH; k++) {
      if (k > 1 && k < length / 2) {
        float sum = 0f;
        for (float[] each : powers) {
          sum += each[k];
        }
        own[n] = powers[middle][k];
        around[n++] = sum / WINDOWS;
      }
    }
    double floor = Math.max(1e-25, Whitener.median(around, n) / BIAS);
    return isKnock(n, floor) ? Whitener.median(own, n) / BIAS_OF_ONE : floor;
  }

  /** Whether the median of the middle window is above that of a knock; counting is quicker. */
  private boolean isKnock(int n, double floor) {
    float least = (float) (KNOCK * BIAS_OF_ONE * floor);
    int above = 0;
    for (int i = 0; i < n; i++) {
      above += own[i] > least ? 1 : 0;
    }
    return 2 * above >= n;
  }
}
