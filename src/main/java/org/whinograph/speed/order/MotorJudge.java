package org.whinograph.speed.order;

/** Names shaft orders that poles and slots of the motor make. */
final class MotorJudge {
  private final Verdicts verdicts;
  private final MotorEvidence motor;
  private final int tones;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   * @param motor what speaks for the motor
   */
  MotorJudge(ToneView view, Verdicts verdicts, MotorEvidence motor) {
    this.tones = view.size();
    this.verdicts = verdicts;
    this.motor = motor;
  }

  /** Judges the tones that are shaft orders so far. */
  void judge() {
    for (int i = 0; i < tones; i++) {
      if (verdicts.cause(i) == Cause.SHAFT) {
        String evidence = motor.of(verdicts.multiple(i));
        if (evidence != null) {
          verdicts.name(i, Cause.MOTOR);
          verdicts.say(i, evidence);
        }
      }
    }
  }
}
