package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;

/** That a tone stays where it is while the speed moves, or is no whole multiple of it: in words. */
final class Staying {
  private static final double TWO_SIDED_95 = 1.96;

  private Staying() {}

  /** Whether a tone is known to stay: by its slope, or as it sounds at all speeds. */
  static boolean known(ToneView view, int i) {
    return view.slopeStays(i) || view.line(i).soundsElsewhere();
  }

  /** Sentences on a tone that stays; none if nothing shows it. */
  static List<String> stays(ToneView view, int i) {
    List<String> said = new ArrayList<>();
    LineMotion line = view.line(i);
    if (view.slopeStays(i)) {
      said.add(
          Wording.format(
              "It doesn't move with the speed: the slope of its frequency over the speed is %.2f ±"
                  + " %.2f, 0 for a line that stays and 1 for an order (logarithms of both).",
              line.slope(), TWO_SIDED_95 * line.slopeDeviation()));
    }
    if (line.soundsElsewhere() && line.heardToHz() > 1.005 * line.heardFromHz()) {
      said.add(
          view.claimed()
              ? Wording.format(
                  "It stays where it is from %.0f to %.0f 1/min.",
                  60.0 * line.heardFromHz(), 60.0 * line.heardToHz())
              : Wording.format(
                  "It stays where it is while the spacing of the fan's lines goes from %.1f to %.1f"
                      + " Hz.",
                  line.heardFromHz(), line.heardToHz()));
    }
    return said;
  }

  /** A sentence on a tone that is no whole multiple of a speed that rests; none otherwise. */
  static List<String> noOrder(ToneView view, int i) {
    if (view.motion().range() < 0.01 && !view.whole(i) && view.chance(i) < 0.5) {
      return List.of(noMultiple(view, i));
    }
    return List.of();
  }

  /** That a tone is no whole multiple, and what it is. */
  static String noMultiple(ToneView view, int i) {
    return Wording.format(
        "It is %s%s (±%s), no whole multiple.",
        view.figure(i, view.ratio(i)), view.times(), view.figure(i, view.tolerance(i)));
  }
}
