package org.whinograph.speed.order;

import java.util.List;

/** Names orders of a second fan: of nearly the same speed, or of a comb of its own. */
final class SecondFanJudge extends ToneJudge {
  private static final int FEWEST_RIVAL_FRAMES = 6;

  /** An unrelated line would be as near to a whole order in fewer than this part of cases. */
  private static final double MOST_CHANCE = 0.1;

  /** A speed of less range rests [1]. */
  private static final double RESTS = 0.02;

  private static final double TWO_SIDED_95 = 1.96;

  private final NeighbourFan neighbour;
  private final CommonMotion common;
  private final SecondComb comb;
  private final SisterFan sister;
  private final SecondRotor rotor;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   * @param neighbour a second fan of nearly the same speed
   * @param common how the lines wander
   */
  SecondFanJudge(ToneView view, Verdicts verdicts, NeighbourFan neighbour, CommonMotion common) {
    super(view, verdicts);
    this.neighbour = neighbour;
    this.common = common;
    this.comb = view.claimed() ? SecondComb.of(view, verdicts) : null;
    SecondRotor followed = neighbour.found() ? null : SecondRotor.of(view, verdicts);
    // Where the lines at rest say another speed, they have the word: they are told more sharply.
    boolean same = comb == null || followed == null || followed.turnsAt(comb.fan().secondRpm());
    this.rotor = same ? followed : null;
    boolean other = neighbour.found() || comb != null || rotor != null;
    this.sister = other ? null : SisterFan.of(view, verdicts);
  }

  /** A second fan too far from the first in speed to beat with it, or null. */
  TwoFans fan() {
    if (rotor != null) {
      return rotor.fan();
    }
    if (comb != null) {
      return comb.fan();
    }
    return sister != null && sister.isSure() ? sister.fan() : null;
  }

  @Override
  void judge(int i) {
    if (!view.claimed()) {
      // Which of two combs is the first fan's isn't known as long as none is known to be a fan's.
      return;
    }
    if (neighbour.has(i)) {
      int k = view.multiple(i);
      verdicts.name(i, Cause.SECOND_FAN);
      verdicts.say(
          i,
          Wording.format(
              "It lies at %.5f times order %d of the shaft, and lines beside other orders lie away"
                  + " by the same factor: order %d of a second fan at %.1f 1/min.",
              1.0 + neighbour.shift(i, neighbour.partner(i)),
              k,
              k,
              60.0 * view.referenceHz() * (1.0 + neighbour.shift())));
    } else if (sister != null && sister.has(i) && sister.isSure()) {
      verdicts.name(i, Cause.SECOND_FAN);
      verdicts.say(i, sister.told(i));
    } else if (rotor != null && rotor.has(i)) {
      verdicts.name(i, Cause.SECOND_FAN);
      verdicts.say(i, rotor.told(i));
    } else if (followsRival(i)) {
      verdicts.name(i, Cause.SECOND_FAN);
    } else if (comb != null && comb.has(i)) {
      verdicts.name(i, Cause.SECOND_FAN);
      verdicts.say(i, comb.told(view, i));
      verdicts.say(i, Staying.stays(view, i));
    } else if (!view.whole(i) || view.slopeStays(i)) {
      List<Integer> companions = common.companions(i, verdicts);
      if (!companions.isEmpty()) {
        verdicts.name(i, Cause.SECOND_FAN);
        verdicts.say(i, common.told(i, companions));
        verdicts.say(i, Staying.stays(view, i));
        verdicts.say(i, Staying.noOrder(view, i));
      }
    }
    if (sister != null && sister.has(i) && !sister.isSure()) {
      verdicts.say(i, sister.told(i));
    }
  }

  /** Whether a tone is a whole multiple of the second comb and moves with it; says so. */
  private boolean followsRival(int i) {
    if (view.rival() == null || view.rival().known() < FEWEST_RIVAL_FRAMES) {
      return false;
    }
    // Beside a first fan that moves, what stays is fixed unless the second rests as well.
    if (view.slopeStays(i) && view.rival().range() > RESTS) {
      return false;
    }
    LineMotion line = new LineMotion(view.tracks(), view.rival(), view.tone(i).frequencyHz());
    int k = (int) Math.rint(line.ratio());
    double allowed = 3.0 * line.ratioDeviation() + ToneView.OWN_TOLERANCE;
    boolean fits = k >= 1 && allowed < 0.5 * MOST_CHANCE && Math.abs(line.ratio() - k) <= allowed;
    if (!fits || !(line.slopeFollows() || line.comesWithTheOrder())) {
      return false;
    }
    verdicts.say(
        i,
        Wording.format(
            "It is %.4f times the spacing of a second comb of lines, a whole multiple within ±%.4f;"
                + " an unrelated line would be as near to one in %s of cases.",
            line.ratio(), allowed, Wording.percent(Math.min(1.0, 2.0 * allowed))));
    if (line.slopeFollows()) {
      verdicts.say(
          i,
          Wording.format(
              "It moves with that comb and not with the first: the slope of its frequency over the"
                  + " second speed is %.2f ± %.2f, 1 for an order (logarithms of both).",
              line.slope(), TWO_SIDED_95 * line.slopeDeviation()));
    } else {
      verdicts.say(
          i,
          Wording.format(
              "It sounds in %d of %d frames in which that comb passes there and in %d of %d others.",
              line.predictedPresent(),
              line.predicted(),
              line.elsewherePresent(),
              line.elsewhere()));
    }
    return true;
  }
}
