package org.whinograph.speed.order;

/** Names hum: multiples of 50 or 60 Hz, as they stand in a family. */
final class MainsJudge extends ToneJudge {

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
    if (view.mains().has(i)) {
      verdicts.name(i, Cause.MAINS);
      verdicts.say(i, text(i));
      if (view.motion() != null) {
        verdicts.say(i, Staying.stays(view, i));
        verdicts.say(i, Staying.noOrder(view, i));
      }
    }
  }

  private String text(int i) {
    int k = view.mains().multiple(i);
    String line =
        Wording.format(
            "%.3f Hz is %d times %.4f Hz, and the supply has %.0f Hz within 0.2 %%",
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
    double reach = 0.002 * view.tone(i).frequencyHz();
    return line
        + Wording.format(
            "; an unrelated line would be as near in %s of cases. Against: no other multiple"
                + " is heard.",
            Wording.percent(2.0 * reach / view.mains().supplyHz(i)));
  }
}
