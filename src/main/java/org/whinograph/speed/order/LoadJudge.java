package org.whinograph.speed.order;

/** Names lines that move or come and go, but not with the speed. */
final class LoadJudge {
  /** How closely the factors agree by which lines of one rotor lie apart [1]. */
  private static final double SAME_FACTOR = 0.002;

  private static final double TWO_SIDED_95 = 1.96;

  /** Farther apart two places aren't those of one line [1]. */
  private static final double MOST_LEAP = 0.08;

  /** Nearer than this a rotor drifts from one to the other [1]. */
  private static final double LEAST_LEAP = 0.006;

  private static final double LEAST_COVER = 0.45;

  private final ToneView view;
  private final Verdicts verdicts;
  private final ComingAndGoing[] coming;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  LoadJudge(ToneView view, Verdicts verdicts) {
    this.view = view;
    this.verdicts = verdicts;
    this.coming = new ComingAndGoing[view.size()];
  }

  /**
   * One line that is at one place for a time and at another near by for the rest, while neither
   * place is where an order goes.
   */
  void judge() {
    judgeLeaps();
    judgeComing();
    judgeSlopes();
  }

  private void judgeLeaps() {
    for (int i = 0; i < view.size(); i++) {
      if (!wanders(i)) {
        continue;
      }
      for (int j = 0; j < view.size(); j++) {
        double apart = view.tone(j).frequencyHz() / view.tone(i).frequencyHz() - 1.0;
        if (j == i || !wanders(j) || Math.abs(apart) > MOST_LEAP || Math.abs(apart) < LEAST_LEAP) {
          continue;
        }
        if (others(i, j)) {
          continue;
        }
        boolean before = view.line(j).lastS() < view.line(i).firstS() + view.tracks().lengthS();
        boolean after = view.line(j).firstS() > view.line(i).lastS() - view.tracks().lengthS();
        boolean byTurns = coming(i).alternatesWith(coming(j));
        if (!byTurns && ((!before && !after) || !coverMuch(i, j))) {
          continue;
        }
        verdicts.name(i, Cause.LOAD);
        verdicts.say(
            i,
            byTurns
                ? Wording.format(
                    "It sounds by turns with a line at %.0f Hz, in %.0f %% and %.0f %% of the"
                        + " frames, while no whole order of the shaft goes to and fro there: it"
                        + " follows something else than the speed, as a coil follows the load.",
                    view.tone(j).frequencyHz(),
                    100.0 * view.line(i).presentShare(),
                    100.0 * view.line(j).presentShare())
                : Wording.format(
                    "It sounds from %.1f to %.1f s only, and a line at %.0f Hz takes its place %s,"
                        + " while no whole order of the shaft goes there: it follows something else"
                        + " than the speed, as a coil follows the load.",
                    view.line(i).firstS(),
                    view.line(i).lastS(),
                    view.tone(j).frequencyHz(),
                    before ? "before" : "afterwards"));
        break;
      }
    }
  }

  private void judgeSlopes() {
    for (int i = 0; i < view.size(); i++) {
      LineMotion line = view.line(i);
      double s = line.slopeDeviation();
      if (verdicts.open(i) && s < 0.1 && Math.abs(line.slope() - 0.5) > 4.0 * s + 0.6) {
        verdicts.name(i, Cause.LOAD);
        verdicts.say(
            i,
            Wording.format(
                "It moves, but not as an order: the slope of its frequency over the speed is %.2f ±"
                    + " %.2f, neither 1 (an order) nor 0 (a line that stays).",
                line.slope(), TWO_SIDED_95 * s));
      }
    }
  }

  /**
   * Whether another pair of lines lies apart by the same factor, as the orders of another rotor do
   * that changes its speed.
   */
  private boolean others(int i, int j) {
    double factor = view.tone(j).frequencyHz() / view.tone(i).frequencyHz();
    for (int a = 0; a < view.size(); a++) {
      for (int b = 0; b < view.size(); b++) {
        double other = view.tone(b).frequencyHz() / view.tone(a).frequencyHz();
        if (a != i
            && a != j
            && b != i
            && b != j
            && a != b
            && verdicts.open(a)
            && verdicts.open(b)
            && Math.abs(other / factor - 1.0) < SAME_FACTOR) {
          return true;
        }
      }
    }
    return false;
  }

  /** How a line comes and goes. */
  private ComingAndGoing coming(int i) {
    if (coming[i] == null) {
      coming[i] = new ComingAndGoing(view.tracks(), view.motion(), view.tone(i).frequencyHz());
    }
    return coming[i];
  }

  /** Whether the line is at one of both places for long: else it may be two lines. */
  private boolean coverMuch(int i, int j) {
    return view.line(i).presentShare() + view.line(j).presentShare() > LEAST_COVER;
  }

  private void judgeComing() {
    for (int i = 0; i < view.size(); i++) {
      if (!verdicts.open(i)) {
        continue;
      }
      ComingAndGoing line = coming(i);
      if (line.byItself()) {
        verdicts.name(i, Cause.LOAD);
        verdicts.say(i, line.told());
      }
    }
  }

  private boolean wanders(int i) {
    LineMotion line = view.line(i);
    return (verdicts.open(i) || verdicts.cause(i) == Cause.LOAD)
        && line.present() >= 3
        && line.presentShare() < 0.9
        && !line.comesWithTheOrder()
        && !line.slopeFollows();
  }
}
