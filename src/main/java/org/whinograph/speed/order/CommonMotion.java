package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;

/**
 * Lines that wander together, by the same factor, and not with the shaft: those of another rotor,
 * though its speed rests on the whole. Immutable.
 */
final class CommonMotion {
  private static final double LEAST_SHARE = 0.7;

  private final ToneView view;
  private final LineWander[] wander;
  private final double[] shaft;
  private final double shaftDeviation;

  /**
   * Prepares.
   *
   * @param view the tones, with a speed
   */
  CommonMotion(ToneView view) {
    this.view = view;
    this.wander = new LineWander[view.size()];
    for (int i = 0; i < view.size(); i++) {
      wander[i] = new LineWander(view.tracks(), view.tone(i).frequencyHz());
    }
    this.shaft = new double[view.motion().frames()];
    double sum = 0.0;
    double squares = 0.0;
    int n = 0;
    for (int i = 0; i < shaft.length; i++) {
      shaft[i] = Math.log(view.motion().hz(i) / view.referenceHz());
      if (!Double.isNaN(shaft[i])) {
        sum += shaft[i];
        squares += shaft[i] * shaft[i];
        n++;
      }
    }
    this.shaftDeviation = n == 0 ? 0.0 : Math.sqrt(Math.max(0.0, squares / n - sum / n * sum / n));
  }

  /** How a line wanders. */
  LineWander of(int i) {
    return wander[i];
  }

  /** Whether a line wanders with the shaft. */
  boolean withShaft(int i) {
    return wander[i].with(shaft, shaftDeviation).clear();
  }

  /** A line that comes and goes may be a piece of an order of the shaft that moves. */
  private boolean lasts(int i) {
    return view.line(i).presentShare() > LEAST_SHARE;
  }

  /** The lines, of those that are open or of another fan, that wander together with one. */
  List<Integer> companions(int i, Verdicts verdicts) {
    List<Integer> found = new ArrayList<>();
    if (!wander[i].wanders() || withShaft(i) || !lasts(i)) {
      return found;
    }
    double line = view.tracks().lineSpacingHz();
    for (int j = 0; j < view.size(); j++) {
      double apart = Math.abs(view.tone(i).frequencyHz() - view.tone(j).frequencyHz());
      boolean free = verdicts.open(j) || verdicts.cause(j) == Cause.SECOND_FAN;
      if (j != i
          && free
          && lasts(j)
          && apart > 8.0 * line
          && wander[j].wanders()
          && wander[i].with(wander[j]).clear()
          && !withShaft(j)) {
        found.add(j);
      }
    }
    return found;
  }

  /** How two lines wander together, in words. */
  String told(int i, List<Integer> companions) {
    int best = companions.get(0);
    for (int j : companions) {
      if (wander[i].with(wander[j]).correlation() > wander[i].with(wander[best]).correlation()) {
        best = j;
      }
    }
    LineWander.Together together = wander[i].with(wander[best]);
    return Wording.format(
        "It wanders by ±%.3f %%, together with the line at %.1f Hz and by the same factor"
            + " (correlation %.2f over %d frames), as the lines of one rotor do, but not with the"
            + " shaft (correlation %.2f).",
        100.0 * wander[i].deviation(),
        view.tone(best).frequencyHz(),
        together.correlation(),
        together.frames(),
        wander[i].with(shaft, shaftDeviation).correlation());
  }
}
