package org.whinograph.speed.order;

import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.stream.IntStream;
import org.whinograph.tone.ToneRatios;

/**
 * What the orders of a shaft leave in a plain spectrum where they pass. A line that moves spreads
 * its power over the frequencies that it passes, in proportion to the time that it spends at each
 * (as the spectrum of a slow frequency modulation does: Woodward's theorem). The level of each
 * order by speed is known from the spectrum that follows the shaft, the time from the track. So the
 * mean square that an order leaves within a few lines of any frequency follows without a free
 * number, and can be held against what is there. Immutable.
 */
final class PassingOrders {
  /** Lines on either side of a frequency whose mean square is compared. */
  private static final double BESIDE = 2.5;

  /** Lines by which a line at rest, seen through a Hann window, fades out of them. */
  private static final double FADE = 2.0;

  /** A level at another speed than those that were met, further away than this, isn't known [1]. */
  private static final double NEAR = 0.02;

  /** Lines from which on an order is somewhere else, both spectra considered. */
  private static final double ELSEWHERE = 8.0;

  /** Standard deviations of the noise from which on an order is heard. */
  private static final double CLEAR = 5.0;

  private final ToneView view;
  private final List<SpeedLevels> levels;
  private final double[] logSpeeds;
  private final double[] hz;
  private final double[] weight;

  /** How far the speed may be off at each of these moments: half of an even spread [1/s]. */
  private final double[] doubt;

  private final double greatestDoubt;
  private final double all;

  /**
   * Prepares.
   *
   * @param view the tones, with a speed
   * @param levels levels of the orders by speed, in order of speed
   */
  PassingOrders(ToneView view, List<SpeedLevels> levels) {
    this.view = view;
    this.levels = levels;
    this.logSpeeds = levels.stream().mapToDouble(each -> Math.log(each.shaftHz())).toArray();
    ShaftMotion motion = view.motion();
    int n = motion.frames() * ShaftMotion.STEPS;
    double[] speeds = new double[n];
    double[] weights = new double[n];
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
      speeds[i] = motion.hzWithin(i / ShaftMotion.STEPS, i % ShaftMotion.STEPS);
      weights[i] = ShaftMotion.heard(i % ShaftMotion.STEPS);
      sum += weights[i];
    }
    this.all = sum;
    int[] order =
        IntStream.range(0, n)
            .filter(i -> !Double.isNaN(speeds[i]))
            .boxed()
            .sorted(Comparator.comparingDouble(i -> speeds[i]))
            .mapToInt(Integer::intValue)
            .toArray();
    this.hz = Arrays.stream(order).mapToDouble(i -> speeds[i]).toArray();
    this.weight = Arrays.stream(order).mapToDouble(i -> weights[i]).toArray();
    this.doubt =
        Arrays.stream(order)
            .mapToDouble(i -> Math.sqrt(3.0) * speeds[i] * motion.deviation(i / ShaftMotion.STEPS))
            .toArray();
    this.greatestDoubt = Arrays.stream(doubt).max().orElse(0.0);
  }

  /**
   * An order at a place.
   *
   * @param order which one
   * @param share part of the time that it spends there [1]
   * @param meanSquare what it leaves there [in the unit of the chain, squared]
   */
  record Passing(int order, double share, double meanSquare) {}

  /** Mean square of what the plain spectrum holds at a frequency, noise and all. */
  double measured(double frequencyHz) {
    double half = BESIDE * view.spectrum().lineSpacingHz();
    return ToneRatios.bandMeanSquare(view.spectrum(), frequencyHz - half, frequencyHz + half);
  }

  /** The orders that pass a frequency, the one that leaves most there first. */
  List<Passing> at(double frequencyHz) {
    if (hz.length == 0 || levels.isEmpty()) {
      return List.of();
    }
    int first = (int) Math.max(1, Math.ceil(frequencyHz / hz[hz.length - 1] - 0.5));
    int last = (int) Math.min(SpeedLevels.MOST_ORDERS, Math.floor(frequencyHz / hz[0] + 0.5));
    return IntStream.rangeClosed(first, last)
        .mapToObj(k -> passing(k, frequencyHz))
        .filter(passing -> passing.share() > 0.0)
        .sorted(Comparator.comparingDouble(passing -> -passing.meanSquare()))
        .toList();
  }

  private Passing passing(int k, double frequencyHz) {
    double line = view.spectrum().lineSpacingHz();
    double half = BESIDE * line;
    double reach = half + 0.5 * FADE * line + k * greatestDoubt;
    double share = 0.0;
    double left = 0.0;
    int from = Arrays.binarySearch(hz, (frequencyHz - reach) / k);
    for (int i = from < 0 ? -from - 1 : from; i < hz.length; i++) {
      if (k * hz[i] > frequencyHz + reach) {
        break;
      }
      double off = Math.abs(k * hz[i] - frequencyHz);
      double slant = 0.5 * FADE * line + k * doubt[i];
      double part = Math.max(0.0, (half + slant - off) / (2.0 * slant));
      double seen = weight[i] / all * Math.min(part, Math.min(1.0, half / slant));
      share += seen;
      left += seen * signal(k, hz[i]);
    }
    return new Passing(k, share, left);
  }

  /**
   * Whether an order stands out at speeds too at which it is somewhere else: what sounds only where
   * an order happens to be isn't that order.
   */
  boolean heardElsewhere(int k, double frequencyHz) {
    double reach = ELSEWHERE * view.spectrum().lineSpacingHz();
    double signal = 0.0;
    double noise = 0.0;
    int frames = 0;
    for (SpeedLevels each : levels) {
      if (Math.abs(k * each.shaftHz() - frequencyHz) > reach) {
        signal += each.frames() * each.signal(k);
        noise += each.frames() * each.noise()[k];
        frames += each.frames();
      }
    }
    // The noise in the lines of a tone scatters by the root of their number over the frames.
    double scatter = noise * Math.sqrt((2.0 * SpeedLevels.LOBE + 1.0) / Math.max(1, frames));
    return frames > 0 && signal > CLEAR * scatter;
  }

  /** Mean square of an order at a speed; 0 where it isn't known. */
  private double signal(int k, double speedHz) {
    double log = Math.log(speedHz);
    int at = Arrays.binarySearch(logSpeeds, log);
    int right = Math.min(logSpeeds.length - 1, at < 0 ? -at - 1 : at);
    int left = Math.max(0, right - 1);
    int nearest = Math.abs(logSpeeds[left] - log) < Math.abs(logSpeeds[right] - log) ? left : right;
    return Math.abs(logSpeeds[nearest] - log) > NEAR
        ? 0.0
        : Math.max(0.0, levels.get(nearest).signal(k));
  }
}
