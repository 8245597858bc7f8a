package org.whinograph.speed.order;

/**
 * Levels of the orders while the shaft turns at about one speed, within ±0.25 %: finer than the
 * ranges in which tones are judged, so that a resonance shows its shape.
 *
 * @param shaftHz mean speed over the frames [1/s]
 * @param spread standard deviation of the logarithm of the speed within and among the frames [1]
 * @param frames number of frames
 * @param tone mean square of each order with the noise under it [in the unit of the chain, squared;
 *     index k for order k, 0 where there is none]
 * @param noise mean square of the noise in one line beside each order [the same]
 */
record SpeedLevels(double shaftHz, double spread, int frames, double[] tone, double[] noise) {
  /** Highest order that is kept. */
  static final int MOST_ORDERS = 256;

  /** Lines on either side of an order's own that hold it: the main lobe, and an error of track. */
  static final int LOBE = 3;

  /** Lines that each side lends to the noise, beyond the lobe. */
  private static final int BESIDE = 4;

  /** Fewest lines between two orders, so that the noise of one isn't the next. */
  private static final double FEWEST_TURNS = 2 * LOBE + BESIDE + 1;

  /** Mean of the two middle ones of eight exponential values of mean 1. */
  private static final double MEDIAN_OF_EIGHT = 0.7595;

  /** What the frames of one speed add up to. Nothing is allocated per frame. */
  static final class Sum {
    private final double[] tone = new double[MOST_ORDERS + 1];
    private final double[] noise = new double[MOST_ORDERS + 1];
    private final double[] beside = new double[2 * BESIDE];
    private double speed;
    private double moment;
    private double within;
    private int frames;

    /**
     * Adds a frame.
     *
     * @param powers lines of the frame, order k at line k · turns
     * @param turns turns of the shaft in the frame
     * @param logSpeed mean of the logarithm of the speed [1/s]
     * @param variance its variance within the frame
     */
    void add(float[] powers, double turns, double logSpeed, double variance) {
      frames++;
      speed += logSpeed;
      moment += logSpeed * logSpeed;
      within += variance;
      if (turns < FEWEST_TURNS) {
        return;
      }
      for (int k = 1; k <= MOST_ORDERS; k++) {
        int centre = (int) Math.rint(k * turns);
        if (centre + LOBE + BESIDE >= powers.length) {
          return;
        }
        for (int i = -LOBE; i <= LOBE; i++) {
          tone[k] += powers[centre + i];
        }
        for (int i = 0; i < BESIDE; i++) {
          sortIn(2 * i, powers[centre - LOBE - 1 - i]);
          sortIn(2 * i + 1, powers[centre + LOBE + 1 + i]);
        }
        // The median, so that no other line beside counts as noise.
        noise[k] += 0.5 * (beside[BESIDE - 1] + beside[BESIDE]) / MEDIAN_OF_EIGHT;
      }
    }

    private void sortIn(int count, double value) {
      int at = count;
      while (at > 0 && beside[at - 1] > value) {
        beside[at] = beside[at - 1];
        at--;
      }
      beside[at] = value;
    }

    int frames() {
      return frames;
    }

    SpeedLevels mean(double noiseBandwidthLines) {
      double middle = speed / frames;
      double among = Math.max(0.0, moment / frames - middle * middle);
      double[] tones = new double[tone.length];
      double[] noises = new double[noise.length];
      for (int k = 1; k < tones.length; k++) {
        tones[k] = tone[k] / frames / noiseBandwidthLines;
        noises[k] = noise[k] / frames / noiseBandwidthLines;
      }
      return new SpeedLevels(
          Math.exp(middle), Math.sqrt(within / frames + among), frames, tones, noises);
    }
  }

  /** Mean square of an order alone; not above 0 where noise hides it. */
  double signal(int order) {
    return tone[order] - (2 * LOBE + 1) * noise[order];
  }
}
