package org.whinograph.speed.order;

/** Names lines that stay where they are while the speed moves, and sound all the time. */
final class FixedJudge extends ToneJudge {
  private static final double LEAST_SHARE = 0.8;

  /** A multiple by chance in more than this part of cases isn't ruled out by its frequency. */
  private static final double MOST_CHANCE = 0.1;

  /** Still is what moves less than this part of what the fan's own lines do (judgement) [1]. */
  private static final double STILL = 0.3;

  private final CommonMotion common;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   * @param common how the lines wander
   */
  FixedJudge(ToneView view, Verdicts verdicts, CommonMotion common) {
    super(view, verdicts);
    this.common = common;
  }

  /**
   * A line that stands still to a small part of what the fan's own lines wander, and is no multiple
   * of its speed, is neither this fan's nor another rotor's.
   */
  private boolean standsStill(int i) {
    return !view.whole(i)
        && view.chance(i) < MOST_CHANCE
        && view.line(i).presentShare() > LEAST_SHARE
        && common.of(i).likeAClock()
        && common.of(i).hidden() < STILL * fansWander();
  }

  /** The greatest wander of a line that is an order of the fan [1]; 0 without one. */
  private double fansWander() {
    double greatest = 0.0;
    for (int j = 0; j < view.size(); j++) {
      if (verdicts.ofTheFan(j) && common.of(j).noClock()) {
        greatest = Math.max(greatest, common.of(j).deviation());
      }
    }
    return greatest;
  }

  @Override
  void judge(int i) {
    if (standsStill(i)) {
      verdicts.name(i, Cause.FIXED);
      verdicts.say(
          i,
          Wording.format(
              "It wanders by less than ±%.4f %%, while lines of the fan wander by ±%.3f %%: an"
                  + " oscillator's, and no rotor's.",
              100.0 * common.of(i).hidden(), 100.0 * fansWander()));
      verdicts.say(i, Staying.noMultiple(view, i));
      return;
    }
    if (Staying.known(view, i) && view.line(i).presentShare() > LEAST_SHARE) {
      if (common.of(i).noClock()) {
        verdicts.say(
            i,
            Wording.format(
                "It stays on the whole but wanders by ±%.3f %% by itself, more than its noise"
                    + " explains and more than electronics do: perhaps of another rotor.",
                100.0 * common.of(i).deviation()));
        return;
      }
      if (!common.of(i).likeAClock()) {
        verdicts.say(i, Staying.stays(view, i));
        verdicts.say(
            i,
            Wording.format(
                "Whether it is fixed or of another rotor that keeps its speed isn't known: its noise"
                    + " would hide a wander of ±%.3f %%.",
                100.0 * common.of(i).hidden()));
        return;
      }
      verdicts.name(i, Cause.FIXED);
      verdicts.say(
          i,
          Wording.format(
              "It wanders by less than ±%.3f %%, as an oscillator and no rotor does.",
              100.0 * common.of(i).hidden()));
      verdicts.say(i, Staying.stays(view, i));
      verdicts.say(i, Staying.noOrder(view, i));
    }
  }
}
