package org.whinograph.speed.order;

import java.util.Arrays;
import java.util.List;
import org.whinograph.speed.SecondSpeed;

/**
 * A second fan whose comb was followed on its own and whose speed the orders of that comb tell, and
 * its lines among the tones. A speed that rests must be confirmed by tones that nobody else's
 * orders explain; one that moves has shown in the stack of its orders that they move with it.
 * Immutable.
 */
final class SecondRotor {
  /** An unrelated line would be as near to a whole order in fewer than this part of cases. */
  private static final double MOST_CHANCE = 0.1;

  /** Orders up to here are an uneven rotor's, as its imbalance. */
  private static final int LOW = 3;

  /** A speed of less range rests [1]. */
  private static final double RESTS = 0.01;

  /** From this range of the speed on the lines of others are smeared in its stack [1]. */
  private static final double MOVES = 0.05;

  /** What changes by more from frame to frame leaps, as no rotor does [1]. */
  private static final double LEAP = 0.05;

  private static final double TWO_SIDED_95 = 1.96;

  private final ToneView view;
  private final ShaftMotion motion;
  private final SecondSpeed speed;
  private final LineMotion[] lines;

  private SecondRotor(ToneView view, SecondSpeed speed) {
    this.view = view;
    this.speed = speed;
    this.motion = new ShaftMotion(view.tracks(), speed.track());
    this.lines = new LineMotion[view.size()];
    for (int i = 0; i < lines.length; i++) {
      lines[i] = new LineMotion(view.tracks(), motion, view.tone(i).frequencyHz());
    }
  }

  /**
   * Holds the tones against it.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   * @return the fan, or null if none is known or its speed isn't confirmed
   */
  static SecondRotor of(ToneView view, Verdicts verdicts) {
    SecondSpeed speed = view.speed().second();
    if (!view.claimed() || speed == null || !speed.medianRpm().known()) {
      return null;
    }
    SecondRotor rotor = new SecondRotor(view, speed);
    return glides(speed.track().rpm()) || rotor.isConfirmed(verdicts) ? rotor : null;
  }

  /** Whether a speed goes through a range without a leap. */
  private static boolean glides(double[] rpm) {
    double[] known = Arrays.stream(rpm).filter(value -> !Double.isNaN(value)).toArray();
    boolean leaps = false;
    for (int i = 1; i < known.length; i++) {
      leaps |= Math.abs(Math.log(known[i] / known[i - 1])) > LEAP;
    }
    Arrays.sort(known);
    int last = known.length - 1;
    return !leaps && known[last - last / 10] > (1.0 + MOVES) * known[last / 10];
  }

  /** Whether blade-pass and another order are among the tones that are open. */
  private boolean isConfirmed(Verdicts verdicts) {
    boolean passes = false;
    boolean others = false;
    for (int i = 0; i < lines.length; i++) {
      if (verdicts.open(i) && !view.mains().has(i) && has(i)) {
        boolean pass = speed.blades() != null && order(i) % speed.blades() == 0;
        passes |= pass;
        others |= !pass;
      }
    }
    return passes && others;
  }

  private int order(int i) {
    return (int) Math.rint(lines[i].ratio());
  }

  private double allowed(int i) {
    double own = lines[i].ratio() * speed.deviationRpm() / speed.medianRpm().value();
    return 3.0 * Math.hypot(lines[i].ratioDeviation(), own) + ToneView.OWN_TOLERANCE;
  }

  /** Whether a tone is one of its orders: in its place, of its pattern, and moving as it does. */
  boolean has(int i) {
    int k = Double.isNaN(lines[i].ratio()) ? 0 : order(i);
    boolean there =
        k >= 1 && 2.0 * allowed(i) < MOST_CHANCE && Math.abs(lines[i].ratio() - k) <= allowed(i);
    boolean moves = lines[i].slopeFollows() || lines[i].comesWithTheOrder();
    return there && ofItsPattern(k) && (moves || motion.range() < RESTS);
  }

  private boolean ofItsPattern(int k) {
    if (speed.blades() == null) {
      return true;
    }
    int beside = Math.min(k % speed.blades(), speed.blades() - k % speed.blades());
    return k <= LOW || beside <= 1;
  }

  /** Both fans, too far from each other in speed to beat. */
  TwoFans fan() {
    double first = view.referenceDeviation() * 60.0 * view.referenceHz();
    return new TwoFans(
        speed.medianRpm().value(),
        Math.hypot(speed.deviationRpm(), first),
        speed.blades(),
        speed.track(),
        List.of());
  }

  /** Whether a speed is this fan's. */
  boolean turnsAt(double rpm) {
    return Math.abs(rpm / speed.medianRpm().value() - 1.0) < 0.5 * RESTS;
  }

  /** What speaks for a tone, in words. */
  List<String> told(int i) {
    LineMotion line = lines[i];
    int k = order(i);
    boolean pass = speed.blades() != null && k % speed.blades() == 0;
    String place =
        Wording.format(
            "It is %.4f times the speed of a second fan, which a second comb of lines tells (median"
                + " %.1f 1/min): its order %d within ±%.4f%s; an unrelated line would be as near to"
                + " a whole order in %s of cases.",
            line.ratio(),
            speed.medianRpm().value(),
            k,
            allowed(i),
            pass ? Wording.format(", a multiple of its %d blades", speed.blades()) : "",
            Wording.percent(Math.min(1.0, 2.0 * allowed(i))));
    if (line.slopeFollows()) {
      return List.of(
          place,
          Wording.format(
              "It moves with that fan: the slope of its frequency over the second speed is %.2f ±"
                  + " %.2f, 1 for an order (logarithms of both).",
              line.slope(), TWO_SIDED_95 * line.slopeDeviation()));
    }
    return line.comesWithTheOrder()
        ? List.of(
            place,
            Wording.format(
                "It sounds in %d of %d frames in which that order passes there and in %d of %d"
                    + " others.",
                line.predictedPresent(),
                line.predicted(),
                line.elsewherePresent(),
                line.elsewhere()))
        : List.of(place);
  }
}
