package org.whinograph.speed.order;

/** Names hum: multiples of 50 or 60 Hz, as they stand in a family. */
final class MainsJudge extends ToneJudge {
  /** Lines of a family from which on a blurred one may join it. */
  private static final int FEWEST_MEMBERS = 3;

  /** It must be as near by chance in fewer than this part of cases. */
  private static final double MOST_CHANCE = 0.1;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  MainsJudge(ToneView view, Verdicts verdicts) {
    super(view, verdicts);
  }

  @Override
  void judge(int i) {
    boolean lone = view.mains().has(i) && view.mains().members(i) == 1;
    if (lone && new LineWander(view.tracks(), view.tone(i).frequencyHz()).noClock()) {
      // One multiple alone is no family, and the supply doesn't wander as rotors do.
      return;
    }
    if (view.mains().has(i)) {
      verdicts.name(i, Cause.MAINS);
      verdicts.say(i, text(i));
      if (view.motion() != null) {
        verdicts.say(i, Staying.stays(view, i));
        verdicts.say(i, Staying.noOrder(view, i));
      }
    } else if (view.motion() != null && Staying.known(view, i)) {
      join(i);
    }
  }

  /** A tone that stays and whose frequency something near it blurs may be of a family as well. */
  private void join(int i) {
    double f = view.tone(i).frequencyHz();
    double allowed = 3.0 * view.tone(i).frequencyUncertaintyHz() + 1e-4 * f;
    for (int j = 0; j < view.size(); j++) {
      if (!view.mains().has(j) || view.mains().members(j) < FEWEST_MEMBERS) {
        continue;
      }
      double supply = view.mains().measuredHz(j);
      int k = (int) Math.rint(f / supply);
      double chance = 2.0 * allowed / supply;
      if (k >= 1 && Math.abs(f - k * supply) <= allowed && chance <= MOST_CHANCE) {
        verdicts.name(i, Cause.MAINS);
        verdicts.say(
            i,
            Wording.format(
                "It is %d times the %.4f Hz of %d other tones within ±%.2f Hz (something near blurs"
                    + " its frequency); an unrelated line would be as near in %s of cases.",
                k, supply, view.mains().members(j), allowed, Wording.percent(chance)));
        verdicts.say(i, Staying.stays(view, i));
        return;
      }
    }
  }

  private String text(int i) {
    int k = view.mains().multiple(i);
    String line =
        Wording.format(
            "%.3f Hz is %d times %.4f Hz, and the supply has %.0f Hz within 0.4 %%",
            view.tone(i).frequencyHz(),
            k,
            view.tone(i).frequencyHz() / k,
            view.mains().supplyHz(i));
    int others = view.mains().members(i) - 1;
    if (others > 0) {
      return line
          + Wording.format(
              "; %d other %s multiples of the same %.4f Hz.",
              others, others == 1 ? "tone is one of the" : "tones are", view.mains().measuredHz(i));
    }
    double reach = MainsFamily.GRID_RANGE * view.tone(i).frequencyHz();
    return line
        + Wording.format(
            "; an unrelated line would be as near in %s of cases. Against: no other multiple"
                + " is heard.",
            Wording.percent(2.0 * reach / view.mains().supplyHz(i)));
  }
}
