package org.whinograph.speed.order;

/**
 * Looks for one kind of cause. Each judge sees the same measurements and adds to the same verdicts;
 * what an earlier one named is no longer its business.
 */
abstract class ToneJudge {
  /** The tones. */
  final ToneView view;

  /** What was said of them so far. */
  final Verdicts verdicts;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  ToneJudge(ToneView view, Verdicts verdicts) {
    this.view = view;
    this.verdicts = verdicts;
  }

  /** Judges all tones that nobody has named. */
  final void judgeOpen() {
    for (int i = 0; i < view.size(); i++) {
      if (verdicts.open(i)) {
        judge(i);
      }
    }
  }

  /**
   * Names a tone that nobody has named, if the evidence suffices.
   *
   * @param i which tone
   */
  abstract void judge(int i);
}
