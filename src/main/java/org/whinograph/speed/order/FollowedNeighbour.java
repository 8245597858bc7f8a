package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.whinograph.quantity.Decibels;
import org.whinograph.tone.ToneBand;

/**
 * A second fan of nearly the same speed in the spectrum that follows the first: where one supply
 * drives both, their speeds move as one, and the lines of the second stand still there too, by the
 * same factor beside several orders. Immutable.
 */
final class FollowedNeighbour {
  private static final double NEAR_FAN = 0.03;

  /** Standard deviation of the place of a line in an average (judgement) [lines]. */
  private static final double PLACE_LINES = 0.1;

  /** Lines from which on two are told apart: the main lobe of a Hann window. */
  private static final double APART_LINES = 3.5;

  /** An order lies so near to its place [lines]. */
  private static final double REACH_LINES = 1.0;

  /** Any two unrelated lines beside orders may agree in fewer than this part of cases. */
  private static final double MOST_CHANCE = 0.05;

  /** A line of the second fan is at most so much weaker than the order beside it [dB]. */
  private static final double WEAKEST_DB = -25.0;

  private record Beside(int order, double shift, double deviation, double levelDb) {}

  /** How closely two fans of one supply keep their ratio (judgement) [1]. */
  private static final double RATIO_KEPT = 1e-4;

  private final double shift;
  private final double deviation;
  private final Map<Integer, Double> levelDb = new TreeMap<>();

  /**
   * Looks for it.
   *
   * @param bins the spectra that follow the speed
   */
  FollowedNeighbour(List<SpeedBin> bins) {
    SpeedBin bin =
        bins.stream().max(Comparator.comparingDouble(SpeedBin::heardFrames)).orElse(null);
    List<Beside> lines = bin == null ? List.of() : beside(bin);
    double found = Double.NaN;
    double own = 0.0;
    double pairs = 0.5 * lines.size() * (lines.size() - 1.0);
    double bestDoubt = Double.POSITIVE_INFINITY;
    for (Beside one : lines) {
      for (Beside other : lines) {
        double doubt = 3.0 * Math.hypot(one.deviation(), other.deviation()) + 2e-5;
        if (one.order() < other.order()
            && Math.abs(one.shift() - other.shift()) <= doubt
            && doubt < bestDoubt
            && pairs * doubt / NEAR_FAN <= MOST_CHANCE
            && doubt < 0.3 * Math.abs(other.shift())) {
          bestDoubt = doubt;
          double w = Math.pow(one.deviation(), -2);
          double v = Math.pow(other.deviation(), -2);
          found = (w * one.shift() + v * other.shift()) / (w + v);
          own = Math.hypot(1.0 / Math.sqrt(w + v), RATIO_KEPT);
        }
      }
    }
    shift = found;
    deviation = own;
    for (Beside line : lines) {
      if (Math.abs(line.shift() - shift) <= 3.0 * line.deviation() + 2e-5) {
        levelDb.put(line.order(), line.levelDb());
      }
    }
  }

  /** The lines beside orders. */
  private static List<Beside> beside(SpeedBin bin) {
    List<Beside> found = new ArrayList<>();
    double spacing = bin.spectrum().lineSpacingHz();
    for (ToneBand band : bin.bands()) {
      int k = (int) Math.rint(band.frequencyHz() / bin.shaftHz());
      double place = k * bin.shaftHz();
      double off = band.frequencyHz() - place;
      if (k < 1 || Math.abs(off) < APART_LINES * spacing || Math.abs(off / place) > NEAR_FAN) {
        continue;
      }
      for (ToneBand own : bin.bands()) {
        double levelDb = Decibels.ofEnergyRatio(band.meanSquare() / own.meanSquare());
        if (Math.abs(own.frequencyHz() - place) <= REACH_LINES * spacing && levelDb > WEAKEST_DB) {
          double deviation = Math.sqrt(2.0) * PLACE_LINES * spacing / place;
          found.add(
              new Beside(k, band.frequencyHz() / own.frequencyHz() - 1.0, deviation, levelDb));
        }
      }
    }
    return found;
  }

  /** Its speed over that of the first, less 1; NaN without one. */
  double shift() {
    return shift;
  }

  /** Standard deviation of that [1]. */
  double deviation() {
    return deviation;
  }

  /** Level of its line over that of the order beside it [dB]; null where it isn't told apart. */
  Double levelDb(int order) {
    return levelDb.get(order);
  }
}
