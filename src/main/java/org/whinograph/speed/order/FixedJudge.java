package org.whinograph.speed.order;

/** Names lines that stay where they are while the speed moves, and sound all the time. */
final class FixedJudge extends ToneJudge {
  private static final double LEAST_SHARE = 0.8;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  FixedJudge(ToneView view, Verdicts verdicts) {
    super(view, verdicts);
  }

  @Override
  void judge(int i) {
    if (Staying.known(view, i) && view.line(i).presentShare() > LEAST_SHARE) {
      verdicts.name(i, Cause.FIXED);
      verdicts.say(i, Staying.stays(view, i));
      verdicts.say(i, Staying.noOrder(view, i));
    }
  }
}
