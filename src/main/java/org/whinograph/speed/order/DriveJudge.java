package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;

/** Names what the switching of the motor's drive makes: carriers with sidebands, ultrasound. */
final class DriveJudge extends ToneJudge {
  /** Lowest and highest frequency that drives of four-wire fans may have [Hz]. */
  private static final double LOWEST_DRIVE_HZ = 21_000.0;

  private static final double HIGHEST_DRIVE_HZ = 28_000.0;

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
    if (!view.claimed()) {
      return;
    }
    for (int c = 0; c < view.size(); c++) {
      if (!verdicts.open(c) || view.mains().has(c)) {
        continue;
      }
      List<Integer> sides = new ArrayList<>();
      for (int a = 0; a < c; a++) {
        int m = steps(a, c);
        for (int b = c + 1; m > 0 && b < view.size(); b++) {
          if (steps(b, c) == m && verdicts.open(a) && verdicts.open(b)) {
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
                  "It lies %d times the shaft's speed from the line at %.1f Hz, with its mirror"
                      + " image on the other side: a sideband of that line.",
                  steps(s, c), view.tone(c).frequencyHz()));
        }
      }
      if (!sides.isEmpty()) {
        verdicts.name(c, Cause.DRIVE);
        verdicts.say(
            c,
            Wording.format(
                "Sidebands stand %d times the shaft's speed below and above it, at %.1f and %.1f"
                    + " Hz: what drives the motor is switched at this frequency.",
                steps(sides.get(0), c),
                view.tone(sides.get(0)).frequencyHz(),
                view.tone(sides.get(1)).frequencyHz()));
        verdicts.say(c, Staying.stays(view, c));
      }
    }
  }

  /** Whole number of the shaft's frequencies between two tones, or 0. */
  private int steps(int a, int b) {
    double distance = Math.abs(view.tone(a).frequencyHz() - view.tone(b).frequencyHz());
    double steps = distance / view.referenceHz();
    double uncertainty =
        3.0
                * Math.hypot(
                    view.tone(a).frequencyUncertaintyHz(), view.tone(b).frequencyUncertaintyHz())
                / view.referenceHz()
            + 3.0 * steps * view.referenceDeviation()
            + 0.01
            + 0.25 * steps * view.motion().range();
    int whole = (int) Math.rint(steps);
    return whole >= 1 && whole <= 64 && uncertainty < 0.05 && Math.abs(steps - whole) <= uncertainty
        ? whole
        : 0;
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
