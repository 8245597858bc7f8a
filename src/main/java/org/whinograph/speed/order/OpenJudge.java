package org.whinograph.speed.order;

/** Says of tones that no judge could name why that is. */
final class OpenJudge extends ToneJudge {

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  OpenJudge(ToneView view, Verdicts verdicts) {
    super(view, verdicts);
  }

  @Override
  void judge(int i) {
    verdicts.name(i, Cause.UNKNOWN);
    if (view.motion() == null) {
      verdicts.say(i, "No speed of a shaft is known to hold it against.");
      return;
    }
    LineMotion line = view.line(i);
    if (!view.whole(i) && view.chance(i) < 0.5) {
      verdicts.say(i, Staying.noMultiple(view, i));
    } else {
      verdicts.say(
          i,
          Wording.format(
              "A whole multiple of the shaft's speed would lie as near by chance in %s of cases, so"
                  + " its frequency alone says little.",
              Wording.percent(view.chance(i))));
    }
    if (view.motion().range() < 0.005 && !(line.slopeDeviation() < 0.2)) {
      verdicts.say(
          i,
          Wording.format(
              "The speed moves too little (%s in all) to see whether the line moves with it.",
              Wording.percent(view.motion().range())));
    } else if (line.present() < 6) {
      verdicts.say(i, "It stands out of too few frames to follow its motion.");
    }
  }
}
