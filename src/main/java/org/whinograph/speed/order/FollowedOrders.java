package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;
import java.util.TreeMap;
import org.whinograph.signal.Quantile;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.ToneBand;

/**
 * Looks for orders in the spectra that follow the shaft. A line counts as an order if it is nearer
 * to a whole multiple than chance explains, or if the speed moves so far meanwhile that nothing but
 * an order could stand out there: whatever stays is smeared in these spectra as an order is in the
 * plain one.
 */
final class FollowedOrders {
  /** How far an order may lie from its place [lines], as the track may err. */
  private static final double REACH_LINES = 1.0;

  /** A line is as near by chance in fewer than this part of cases. */
  private static final double MOST_CHANCE = 0.03;

  /** Lines over which the motion smears what isn't an order, for it to be nothing else. */
  private static final double CLEAR_SMEAR_LINES = 4.0;

  /** Half width of a range of speeds [1]. */
  private static final double HALF_BIN = 0.03;

  /**
   * An order that was found.
   *
   * @param multiple which multiple of the speed
   * @param ratio its frequency over the speed [1]
   * @param reach how far from the multiple it might have been [1]
   * @param smearHz how far the motion smears it in a plain spectrum [Hz]
   * @param tone its ratios
   */
  record Found(int multiple, double ratio, double reach, double smearHz, FollowingTone tone) {
    /** Part of unrelated lines that would be as near to a whole multiple. */
    double chance() {
      return Math.min(1.0, 2.0 * reach);
    }

    /** Whether a line that stays could not stand out there. */
    boolean movesClearly(double lineSpacingHz) {
      return smearHz > CLEAR_SMEAR_LINES * lineSpacingHz;
    }
  }

  private FollowedOrders() {}

  /**
   * Looks for orders.
   *
   * @param bins ranges of speed
   * @param motion the speed through the frames of the plain spectra
   * @return orders, each in the range of speeds that was heard longest, in order of frequency
   */
  static List<Found> find(List<SpeedBin> bins, ShaftMotion motion) {
    TreeMap<Integer, Found> found = new TreeMap<>();
    TreeMap<Integer, Double> heard = new TreeMap<>();
    for (SpeedBin bin : bins) {
      double swing = swing(bin.shaftHz(), motion);
      Spectrum spectrum = bin.spectrum();
      double reach = REACH_LINES * spectrum.lineSpacingHz() / bin.shaftHz();
      for (int i = 0; i < bin.bands().size(); i++) {
        ToneBand band = bin.bands().get(i);
        double ratio = band.frequencyHz() / bin.shaftHz();
        int k = (int) Math.rint(ratio);
        if (k < 1
            || Math.abs(ratio - k) > reach
            || !FollowingTone.fineEnough(spectrum, band.frequencyHz())
            || heard.getOrDefault(k, 0.0) >= bin.heardFrames()) {
          continue;
        }
        Found order = new Found(k, ratio, reach, k * swing, FollowingTone.at(bin, i));
        if (order.chance() <= MOST_CHANCE || order.movesClearly(spectrum.lineSpacingHz())) {
          found.put(k, order);
          heard.put(k, bin.heardFrames());
        }
      }
    }
    return new ArrayList<>(found.values());
  }

  /** How far the speed moves within a range: its middle 80 % [1/s]. */
  private static double swing(double shaftHz, ShaftMotion motion) {
    double[] speeds = new double[motion.frames()];
    int n = 0;
    for (int i = 0; i < motion.frames(); i++) {
      if (Math.abs(motion.hz(i) / shaftHz - 1.0) <= HALF_BIN) {
        speeds[n++] = motion.hz(i);
      }
    }
    if (n == 0) {
      return 0.0;
    }
    return Quantile.ranked(speeds, n, (9 * (n - 1) + 5) / 10)
        - Quantile.ranked(speeds, n, (n - 1) / 10);
  }
}
