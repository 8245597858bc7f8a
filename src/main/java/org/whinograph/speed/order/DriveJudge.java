package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;

/** Names what the switching of the motor's drive makes: carriers with sidebands, ultrasound. */
final class DriveJudge extends ToneJudge {
  /** Lowest and highest frequency that drives of four-wire fans may have [Hz]. */
  private static final double LOWEST_DRIVE_HZ = 21_000.0;

  private static final double HIGHEST_DRIVE_HZ = 28_000.0;

  private static final int MOST_STEPS = 96;

  /** Distances known this well are whole numbers of turns by themselves [turns]. */
  private static final double CLOSE = 0.05;

  /** Others must be images of each other to the last line too. */
  private static final double WIDEST = 0.25;

  private static final double MIRROR_LINES = 0.3;

  /** Multiples of one frequency agree on it within this part. */
  private static final double SERIES = 0.002;

  private static final double MOST_OF_SERIES = 20.0;

  /** Least slope of a sideband that shows that it moves [1]. */
  private static final double LEAST_SLOPE = 0.01;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  DriveJudge(ToneView view, Verdicts verdicts) {
    super(view, verdicts);
  }

  /** Finds lines with mirror images a whole number of turns away on both sides. */
  void judgeSidebands() {
    for (int c = 0; c < view.size(); c++) {
      if (!verdicts.open(c) || view.mains().has(c) || (!view.claimed() && view.whole(c))) {
        continue;
      }
      List<Integer> sides = new ArrayList<>();
      for (int a = 0; a < c; a++) {
        for (int b = c + 1; b < view.size(); b++) {
          if (verdicts.open(a) && verdicts.open(b) && mirrored(a, c, b)) {
            sides.add(a);
            sides.add(b);
          }
        }
      }
      for (int s : sides) {
        if (verdicts.open(s)) {
          verdicts.name(s, Cause.DRIVE);
          verdicts.say(
              s,
              Wording.format(
                  "It lies %d%s from the line at %.1f Hz, with its mirror image on the other side:"
                      + " a sideband of that line.",
                  steps(s, c), view.times(), view.tone(c).frequencyHz()));
        }
      }
      if (!sides.isEmpty()) {
        nameCarrier(c, sides);
      }
    }
    judgeSlopes();
  }

  private void nameCarrier(int c, List<Integer> sides) {
    verdicts.name(c, Cause.DRIVE);
    verdicts.say(
        c,
        Wording.format(
            "Sidebands stand %d%s below and above it, at %.1f and %.1f Hz: what drives the motor is"
                + " switched at this frequency.",
            steps(sides.get(0), c),
            view.times(),
            view.tone(sides.get(0)).frequencyHz(),
            view.tone(sides.get(1)).frequencyHz()));
    verdicts.say(c, Staying.stays(view, c));
  }

  /** Whether two lines are images of each other about a third, a whole number of turns away. */
  private boolean mirrored(int a, int c, int b) {
    int m = steps(a, c);
    if (m == 0 || steps(b, c) != m || ofOneSeries(a, c) || ofOneSeries(b, c)) {
      return false;
    }
    // The spacing of a comb is many turns: a small part of it is a wide stretch.
    if (view.claimed() && doubt(a, c) < CLOSE && doubt(b, c) < CLOSE) {
      return true;
    }
    double below = view.tone(c).frequencyHz() - view.tone(a).frequencyHz();
    double above = view.tone(b).frequencyHz() - view.tone(c).frequencyHz();
    double uncertainty =
        Math.hypot(view.tone(a).frequencyUncertaintyHz(), view.tone(b).frequencyUncertaintyHz());
    return louder(c, a)
        && louder(c, b)
        && Math.abs(above - below) <= 3.0 * uncertainty + MIRROR_LINES * lineHz();
  }

  /** Whether a line is a multiple of its distance from another: then both are of one series. */
  private boolean ofOneSeries(int a, int c) {
    double c1 = view.tone(c).frequencyHz();
    double times = c1 / Math.abs(c1 - view.tone(a).frequencyHz());
    return times < MOST_OF_SERIES && Math.abs(times - Math.rint(times)) < SERIES * times;
  }

  private boolean louder(int c, int s) {
    return view.tone(c).level().known()
        && view.tone(s).level().known()
        && view.tone(c).level().value() > view.tone(s).level().value();
  }

  private double lineHz() {
    return view.tracks().lineSpacingHz();
  }

  /**
   * Finds single sidebands by their motion: a line that keeps m turns from a carrier that stays
   * moves by m times the speed's motion, so that ln f has the slope (f − carrier)/f over ln speed.
   */
  private void judgeSlopes() {
    for (int s = 0; s < view.size(); s++) {
      for (int c = 0; c < view.size() && verdicts.open(s); c++) {
        boolean carrier = verdicts.cause(c) == Cause.DRIVE || verdicts.open(c);
        if (c == s || !carrier || view.mains().has(c) || !view.slopeStays(c) || !louder(c, s)) {
          continue;
        }
        double expected = 1.0 - view.tone(c).frequencyHz() / view.tone(s).frequencyHz();
        double own = view.line(s).slopeDeviation();
        boolean moves = Math.abs(view.line(s).slope()) > 4.0 * own + LEAST_SLOPE;
        boolean fits = Math.abs(view.line(s).slope() - expected) <= 3.0 * own + 0.1 * LEAST_SLOPE;
        int m = steps(s, c);
        if (!moves || !fits || m == 0) {
          continue;
        }
        verdicts.name(s, Cause.DRIVE);
        verdicts.say(
            s,
            Wording.format(
                "It moves as a sideband of the line at %.1f Hz does that keeps %d%s from it: the"
                    + " slope of its frequency over the speed is %.3f ± %.3f, and %.3f for such a"
                    + " sideband.",
                view.tone(c).frequencyHz(),
                m,
                view.times(),
                view.line(s).slope(),
                2.0 * own,
                expected));
        if (verdicts.open(c)) {
          verdicts.name(c, Cause.DRIVE);
          verdicts.say(
              c,
              Wording.format(
                  "The line at %.1f Hz moves as a sideband of it does, %d%s away: what drives the"
                      + " motor is switched at this frequency.",
                  view.tone(s).frequencyHz(), m, view.times()));
          verdicts.say(c, Staying.stays(view, c));
        }
      }
    }
  }

  /** Whole number of the shaft's frequencies between two tones, or 0. */
  private int steps(int a, int b) {
    double steps = turns(a, b);
    double doubt = doubt(a, b);
    int whole = (int) Math.rint(steps);
    return whole >= 1 && whole <= MOST_STEPS && doubt < WIDEST && Math.abs(steps - whole) <= doubt
        ? whole
        : 0;
  }

  /** Distance of two tones over the shaft's frequency [1]. */
  private double turns(int a, int b) {
    return Math.abs(view.tone(a).frequencyHz() - view.tone(b).frequencyHz()) / view.referenceHz();
  }

  /** How far that may be off [1]. */
  private double doubt(int a, int b) {
    double steps = turns(a, b);
    return 3.0
            * Math.hypot(
                view.tone(a).frequencyUncertaintyHz(), view.tone(b).frequencyUncertaintyHz())
            / view.referenceHz()
        + 3.0 * steps * view.referenceDeviation()
        + 0.01
        + 0.25 * steps * view.motion().range();
  }

  @Override
  void judge(int i) {
    double f = view.tone(i).frequencyHz();
    if (f >= LOWEST_DRIVE_HZ && f <= HIGHEST_DRIVE_HZ && Staying.known(view, i)) {
      verdicts.name(i, Cause.DRIVE);
      verdicts.say(
          i,
          Wording.format(
              "It lies within %.0f to %.0f kHz, where the drive of a four-wire fan is switched.",
              LOWEST_DRIVE_HZ / 1000.0, HIGHEST_DRIVE_HZ / 1000.0));
      verdicts.say(i, Staying.stays(view, i));
    }
  }
}
