package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.NavigableMap;
import java.util.TreeMap;

/**
 * A second fan like the first that turns at another speed, not far from the first's: beside orders
 * that a fan like it has lie lines by the same factor away, too far for a beat. Blade-pass and its
 * multiples alone could be those of a fan with another number of blades; with a low order beside
 * them they tell the speed. Immutable.
 */
final class SisterFan {
  /** How far the speeds may differ (judgement) [1]. */
  private static final double WIDEST = 0.16;

  /** How closely the lines of a rotor agree on its speed, beside what is uncertain of them [1]. */
  private static final double AGREE = 2e-4;

  /** Unrelated lines may agree as well in fewer than this part of cases. */
  private static final double MOST_CHANCE = 0.05;

  /** Multiples of blade-pass that a fan may be heard by. */
  private static final int MULTIPLES = 4;

  /** Above this range of the first speed an averaged line has no one frequency [1]. */
  private static final double MOST_RANGE = 0.03;

  private final ToneView view;
  private final NavigableMap<Integer, Integer> lines;
  private final double shaftHz;
  private final double deviationHz;
  private final boolean sure;

  private SisterFan(ToneView view, NavigableMap<Integer, Integer> lines) {
    this.view = view;
    this.lines = lines;
    double weights = 0.0;
    double sum = 0.0;
    for (Map.Entry<Integer, Integer> line : lines.entrySet()) {
      double weight = Math.pow(own(view, line.getValue()), -2);
      weights += weight;
      sum += weight * view.tone(line.getValue()).frequencyHz() / line.getKey();
    }
    this.shaftHz = sum / weights;
    this.deviationHz = shaftHz * Math.hypot(1.0 / Math.sqrt(weights), AGREE);
    int blades = view.speed().blades();
    boolean passes = lines.keySet().stream().anyMatch(k -> k % blades == 0);
    this.sure = passes && lines.keySet().stream().anyMatch(k -> k % blades != 0);
  }

  /** Relative standard uncertainty of a line. */
  private static double own(ToneView view, int tone) {
    return view.tone(tone).frequencyUncertaintyHz() / view.tone(tone).frequencyHz() + 1e-6;
  }

  /**
   * Looks for it among the tones that nobody has named.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   * @return the fan with the most lines, or null if there is none
   */
  static SisterFan of(ToneView view, Verdicts verdicts) {
    if (!view.claimed() || view.speed().blades() == null || view.motion().range() > MOST_RANGE) {
      return null;
    }
    List<Integer> orders = orders(view, verdicts);
    List<int[]> places = new ArrayList<>();
    for (int i = 0; i < view.size(); i++) {
      for (int k : orders) {
        if (verdicts.open(i)
            && !view.whole(i)
            && !view.mains().has(i)
            && Math.abs(view.ratio(i) / k - 1.0) < WIDEST) {
          places.add(new int[] {k, i});
        }
      }
    }
    List<SisterFan> found = new ArrayList<>();
    for (int[] place : places) {
      NavigableMap<Integer, Integer> lines = agreeing(view, places, place);
      if (lines.size() >= 2 && chance(view, lines, places.size()) <= MOST_CHANCE) {
        found.add(new SisterFan(view, lines));
      }
    }
    SisterFan best =
        found.stream()
            .max(Comparator.comparingInt((SisterFan fan) -> fan.lines.size()))
            .orElse(null);
    for (SisterFan other : found) {
      boolean elsewhere = Math.abs(other.shaftHz - best.shaftHz) > 5.0 * best.deviationHz;
      if (elsewhere && other.lines.size() == best.lines.size()) {
        return null;
      }
    }
    return best;
  }

  /** Orders that the first fan is heard by, and the first multiples of blade-pass. */
  private static List<Integer> orders(ToneView view, Verdicts verdicts) {
    List<Integer> orders = new ArrayList<>();
    for (int m = 1; m <= MULTIPLES; m++) {
      orders.add(m * view.speed().blades());
    }
    for (int p = 0; p < view.size(); p++) {
      if (verdicts.ofTheFan(p) && !orders.contains(verdicts.multiple(p))) {
        orders.add(verdicts.multiple(p));
      }
    }
    return orders;
  }

  /** The lines by their orders, if one is a given order, that agree with it on the speed. */
  private static NavigableMap<Integer, Integer> agreeing(
      ToneView view, List<int[]> places, int[] place) {
    NavigableMap<Integer, Integer> lines = new TreeMap<>();
    lines.put(place[0], place[1]);
    double hz = view.tone(place[1]).frequencyHz() / place[0];
    for (int[] other : places) {
      double off = view.tone(other[1]).frequencyHz() / other[0] / hz - 1.0;
      if (!lines.containsKey(other[0])
          && !lines.containsValue(other[1])
          && Math.abs(off) <= allowed(view, place[1], other[1])) {
        lines.put(other[0], other[1]);
      }
    }
    return lines;
  }

  private static double allowed(ToneView view, int one, int other) {
    return 3.0 * Math.hypot(own(view, one), own(view, other)) + AGREE;
  }

  /** How many such sets of lines so many places would make if they had nothing in common. */
  private static double chance(ToneView view, NavigableMap<Integer, Integer> lines, int places) {
    int first = lines.firstEntry().getValue();
    double sets = places;
    int n = 1;
    for (int other : lines.tailMap(lines.firstKey(), false).values()) {
      sets *= (places - n) / (n + 1.0) * allowed(view, first, other) / WIDEST;
      n++;
    }
    return sets;
  }

  /** Whether a tone is one of its lines. */
  boolean has(int tone) {
    return lines.containsValue(tone);
  }

  /** Whether the lines tell its speed, and not only if it has as many blades as the first. */
  boolean isSure() {
    return sure;
  }

  /** Both fans, too far from each other in speed to beat. */
  TwoFans fan() {
    return new TwoFans(60.0 * shaftHz, 60.0 * deviationHz, null, null, List.of());
  }

  /** What speaks for it, in words. */
  String told(int tone) {
    double factor = shaftHz / view.referenceHz();
    List<String> others = new ArrayList<>();
    int order = 0;
    for (Map.Entry<Integer, Integer> line : lines.entrySet()) {
      if (line.getValue() == tone) {
        order = line.getKey();
      } else {
        others.add(
            Wording.format(
                "%.1f Hz (%d)", view.tone(line.getValue()).frequencyHz(), line.getKey()));
      }
    }
    String away =
        Wording.format(
            "It lies at %.4f times order %d of the shaft, and lines beside other orders lie away by"
                + " the same factor, at %s: ",
            factor, order, String.join(", ", others));
    return sure
        ? away
            + Wording.format(
                "order %d of a second fan like the first at %.1f 1/min.", order, 60.0 * shaftHz)
        : away
            + Wording.format(
                "a second fan with as many blades would turn at %.1f 1/min, but blade-pass alone"
                    + " doesn't tell whether it has as many.",
                60.0 * shaftHz);
  }
}
