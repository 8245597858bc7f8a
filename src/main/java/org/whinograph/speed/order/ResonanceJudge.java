package org.whinograph.speed.order;

import java.util.stream.Collectors;

/** Names tones that sound where several orders grow loud on their way. */
final class ResonanceJudge extends ToneJudge {
  private static final double RESONANCE_REACH = 0.06;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them so far
   */
  ResonanceJudge(ToneView view, Verdicts verdicts) {
    super(view, verdicts);
  }

  @Override
  void judge(int i) {
    if (view.sweep() == null) {
      return;
    }
    for (ResonanceCrossing resonance : view.sweep().resonances()) {
      if (verdicts.open(i) && resonance.orders().size() > 1 && near(view, resonance, i)) {
        verdicts.name(i, Cause.RESONANCE);
        verdicts.say(
            i,
            Wording.format(
                "Orders %s grow louder by up to %.0f dB where they pass %.0f Hz%s: it sounds when"
                    + " one of them is there.",
                resonance.orders().stream().map(String::valueOf).collect(Collectors.joining(", ")),
                resonance.riseDb(),
                resonance.frequencyHz(),
                interval(resonance)));
      }
    }
  }

  /** The interval of a resonance's frequency in words, empty if it is unknown. */
  static String interval(ResonanceCrossing resonance) {
    return resonance.lowHz().known()
        ? Wording.format(
            " (95 %%: %.0f to %.0f Hz)", resonance.lowHz().value(), resonance.highHz().value())
        : "";
  }

  /** Whether a tone lies at a resonance. */
  static boolean near(ToneView view, ResonanceCrossing resonance, int i) {
    return Math.abs(view.tone(i).frequencyHz() / resonance.frequencyHz() - 1.0) < RESONANCE_REACH;
  }
}
