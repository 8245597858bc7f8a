package org.whinograph.speed;

import org.whinograph.signal.ColumnTransform;
import org.whinograph.signal.RealTransform;

/**
 * Spectra around the harmonics of a comb in a stretch of sound, for many slopes of the speed at
 * once: in each of them the lines of that slope are sharp.
 *
 * <p>The stretch is read at moments that make one slope even in time, and a band around each
 * harmonic is taken out of its transform. What is left of other slopes is small in there: f Hz of
 * slope ρ beside the slope ρ₀ that was made even turns by e^(iπ f (ρ − ρ₀) t²), which is turned
 * back in a few hundred values instead of thousands, for all slopes side by side.
 *
 * <p>Nothing is allocated per call. Not safe for use by several threads.
 */
final class SlopedSpectra {
  /** Most slopes to either side of the one that is made even. */
  static final int SIDE = 16;

  private static final int SLOPES = 2 * SIDE + 1;

  /** Width of a band [lines]. */
  private static final int BAND = 128;

  private final double rate;
  private final int length;
  private final RealTransform transform;
  private final ColumnTransform toTime = new ColumnTransform(BAND);
  private final ColumnTransform toLines = new ColumnTransform(2 * BAND);
  private final double[] bell;
  private final double[] place;
  private final double[] section;
  private final double[] squared = new double[BAND];
  private final float[][] bandRe;
  private final float[][] bandIm;
  private final int[] first;
  private final double[] bandHz;
  private final float[] soundRe = new float[BAND];
  private final float[] soundIm = new float[BAND];
  private final float[] backRe = new float[BAND];
  private final float[] backIm = new float[BAND];
  private final float[] bendRe = new float[BAND];
  private final float[] bendIm = new float[BAND];
  private final float[] turnedRe = new float[BAND];
  private final float[] turnedIm = new float[BAND];
  private final float[] stepRe = new float[BAND];
  private final float[] stepIm = new float[BAND];

  /** Slopes of all bands side by side. */
  private final float[][] re;

  private final float[][] im;
  private final float[][] powers;

  private int bands;
  private int least;
  private int slopes;

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param length length of the stretch [samples], a power of two, at least twice the band
   * @param bands greatest number of harmonics
   */
  SlopedSpectra(double rate, int length, int bands) {
    this.rate = rate;
    this.length = length;
    this.transform = new RealTransform(length);
    this.bell = new double[length];
    for (int i = 0; i < length; i++) {
      bell[i] = 0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length);
    }
    this.place = new double[length];
    this.section = new double[length];
    this.bandRe = new float[BAND][bands];
    this.bandIm = new float[BAND][bands];
    this.first = new int[bands];
    this.bandHz = new double[bands];
    this.re = new float[2 * BAND][bands * SLOPES];
    this.im = new float[2 * BAND][bands * SLOPES];
    this.powers = new float[2 * BAND][bands * SLOPES];
  }

  /**
   * Hears a stretch: afterwards there are no spectra of it yet.
   *
   * @param audio samples, taken as 0 outside
   * @param centre middle of the stretch [samples]
   * @param slope slope that is made even, over the spacing [1/s]
   * @param hz spacing of the comb in the middle if it has that slope [Hz]
   * @param orders harmonics to make spectra of, no more than bands
   */
  void hear(float[] audio, int centre, double slope, double hz, int[] orders) {
    findPlaces(centre, slope);
    read(audio, place, bell, section);
    transform.forward(section);
    bands = orders.length;
    slopes = 0;
    for (int b = 0; b < bands; b++) {
      bandHz[b] = orders[b] * hz;
      first[b] = (int) Math.rint(bandHz[b] * length / rate) - BAND / 2;
      takeBand(b);
    }
    toTime.forward(bandRe, bandIm, bands);
  }

  /**
   * Makes the spectra of some slopes, in place of those that were there.
   *
   * @param grid spacing of the slopes over that of the comb [1/s]
   * @param drift by how much the comb is wider for each slope of the grid [1]
   * @param from least slope, counted from the one made even, from −{@link #SIDE} to 0
   * @param to greatest slope, from 0 to {@link #SIDE}
   */
  void make(double grid, double drift, int from, int to) {
    least = from;
    slopes = to - from + 1;
    for (int b = 0; b < bands; b++) {
      takeSound(b);
      turnBack(bandHz[b] * grid, bandHz[b] * drift * grid, b * slopes - from, to);
    }
    int width = bands * slopes;
    toLines.forwardPadded(re, im, width);
    square(width);
  }

  /** Moments to read at, and those in the middle of the values of a band, squared. */
  private void findPlaces(int centre, double slope) {
    for (int i = 0; i < length; i++) {
      place[i] = centre + rate * moment((i + 0.5 - 0.5 * length) / rate, slope);
    }
    for (int t = 0; t < BAND; t++) {
      double moment = moment((t * (double) length / BAND + 0.5 - 0.5 * length) / rate, slope);
      squared[t] = Double.isNaN(moment) ? 0.0 : moment * moment;
    }
  }

  /**
   * Power of a line.
   *
   * @param band which of the orders, counted from 0
   * @param slope which slope, 0 for the one made even
   * @param line line of a spectrum of twice the length
   * @return power, as that of a transform without scale of the stretch under a Hann window, or a
   *     negative number if it was not made
   */
  float power(int band, int slope, int line) {
    int at = line - 2 * first[band];
    int column = slope - least;
    return at < 0 || at >= 2 * BAND || column < 0 || column >= slopes
        ? -1f
        : powers[at][band * slopes + column];
  }

  /**
   * Time t [s] at which an even time has passed: t + ρ t²/2 = even, written so that a slope of 0
   * needs no other form. Before a comb of such a slope began there is none, NaN.
   */
  private static double moment(double even, double slope) {
    return 2.0 * even / (1.0 + Math.sqrt(1.0 + 2.0 * slope * even));
  }

  /** The conjugate lines of a band, for the inverse transform by the forward one. */
  private void takeBand(int b) {
    for (int k = 0; k < BAND; k++) {
      int line = first[b] + k;
      boolean there = line > 0 && line < length / 2;
      bandRe[k][b] = there ? (float) section[2 * line] : 0f;
      bandIm[k][b] = there ? (float) -section[2 * line + 1] : 0f;
    }
  }

  /** The band in time: conjugated, the forward transform was the inverse. */
  private void takeSound(int b) {
    for (int t = 0; t < BAND; t++) {
      soundRe[t] = bandRe[t][b] / BAND;
      soundIm[t] = -bandIm[t][b] / BAND;
    }
  }

  /**
   * Turns the sound back by e^(−iπ (f + dk) k t²) for each slope k of the grid, from one to the
   * next by two products.
   *
   * @param slopeHz f, slope of the line for one step of the grid [Hz/s]
   * @param bendHz d, by how much that grows from one step to the next [Hz/s]
   * @param column where the slope that was made even goes
   * @param to greatest slope
   */
  private void turnBack(double slopeHz, double bendHz, int column, int to) {
    for (int t = 0; t < BAND; t++) {
      double once = -Math.PI * (slopeHz + bendHz) * squared[t];
      double bend = -2.0 * Math.PI * bendHz * squared[t];
      stepRe[t] = (float) Math.cos(once);
      stepIm[t] = (float) Math.sin(once);
      bendRe[t] = (float) Math.cos(bend);
      bendIm[t] = (float) Math.sin(bend);
      // The other way from f: e^(+iπ (f − d) t²) is the conjugate of the step up, turned by the
      // bend.
      backRe[t] = stepRe[t] * bendRe[t] + stepIm[t] * bendIm[t];
      backIm[t] = stepRe[t] * bendIm[t] - stepIm[t] * bendRe[t];
    }
    put(soundRe, soundIm, column);
    turnOn(stepRe, stepIm, column, 1, to);
    turnOn(backRe, backIm, column, -1, -least);
  }

  private void turnOn(float[] byRe, float[] byIm, int column, int direction, int count) {
    System.arraycopy(soundRe, 0, turnedRe, 0, BAND);
    System.arraycopy(soundIm, 0, turnedIm, 0, BAND);
    for (int k = 1; k <= count; k++) {
      multiply(turnedRe, turnedIm, byRe, byIm);
      multiply(byRe, byIm, bendRe, bendIm);
      put(turnedRe, turnedIm, column + direction * k);
    }
  }

  private void put(float[] fromRe, float[] fromIm, int column) {
    for (int t = 0; t < BAND; t++) {
      re[t][column] = fromRe[t];
      im[t][column] = fromIm[t];
    }
  }

  private static void multiply(float[] re, float[] im, float[] byRe, float[] byIm) {
    for (int t = 0; t < BAND; t++) {
      float a = re[t];
      float b = im[t];
      re[t] = a * byRe[t] - b * byIm[t];
      im[t] = a * byIm[t] + b * byRe[t];
    }
  }

  private void square(int width) {
    for (int k = 0; k < 2 * BAND; k++) {
      square(re[k], im[k], powers[k], width);
    }
  }

  private static void square(float[] re, float[] im, float[] power, int count) {
    for (int i = 0; i < count; i++) {
      power[i] = re[i] * re[i] + im[i] * im[i];
    }
  }

  /** Reads values between samples by the cubic through four of them, 0 outside. */
  private static void read(float[] audio, double[] place, double[] weights, double[] values) {
    double end = audio.length - 2.0;
    for (int i = 0; i < values.length; i++) {
      double at = place[i];
      float value = 0f;
      if (at >= 1.0 && at < end) {
        int k = (int) at;
        float x = (float) (at - k);
        float a = audio[k - 1];
        float b = audio[k];
        float c = audio[k + 1];
        float d = audio[k + 2];
        float e = (b - c) * 3f + d - a;
        float first = c - a * (1f / 3f) - b * 0.5f - d * (1f / 6f);
        value = b + x * (first + x * ((a + c) * 0.5f - b + x * e * (1f / 6f)));
      }
      values[i] = value * weights[i];
    }
  }
}
