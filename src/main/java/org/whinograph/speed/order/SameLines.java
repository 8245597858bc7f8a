package org.whinograph.speed.order;

import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.stream.IntStream;

/**
 * Finds tones that are one line heard at two speeds: where the speed moves, the plain spectrum
 * shows an order at each place where it dwelt. Two tones of one order are one line if they lie
 * within the range of speeds that the spectrum which follows the speed tells by one entry, and the
 * order went through both places.
 */
final class SameLines {
  /** Ranges of speed are 6 % wide. */
  private static final double REACH = Math.log(1.06);

  private final ToneView view;
  private final Verdicts verdicts;

  /**
   * Prepares.
   *
   * @param view the tones
   * @param verdicts what was said of them
   */
  SameLines(ToneView view, Verdicts verdicts) {
    this.view = view;
    this.verdicts = verdicts;
  }

  /** Marks the lesser tone of each pair, and tells of both at which speed they were heard. */
  void judge() {
    if (view.motion() == null) {
      return;
    }
    List<Integer> strongest =
        IntStream.range(0, view.size())
            .filter(verdicts::ofTheFan)
            .boxed()
            .sorted(
                Comparator.comparing((Integer i) -> !Boolean.TRUE.equals(view.tone(i).prominent()))
                    .thenComparingDouble(i -> -view.tone(i).level().optional().orElse(-1e9)))
            .toList();
    int[] told = new int[view.size()];
    Arrays.fill(told, -1);
    for (int place = 0; place < strongest.size(); place++) {
      int lesser = strongest.get(place);
      for (int stronger : strongest.subList(0, place)) {
        if (told[stronger] < 0 && one(stronger, lesser) && goesThrough(lesser)) {
          told[lesser] = stronger;
          verdicts.sameLine(lesser, stronger);
          say(stronger, lesser);
          say(lesser, stronger);
          break;
        }
      }
    }
  }

  private boolean one(int i, int j) {
    double apart = Math.log(view.tone(i).frequencyHz() / view.tone(j).frequencyHz());
    return verdicts.multiple(i) == verdicts.multiple(j)
        && Math.abs(apart) <= REACH
        && goesThrough(i);
  }

  /** Whether the order was at a tone's place in some frame. */
  private boolean goesThrough(int i) {
    int k = verdicts.multiple(i);
    for (int frame = 0; frame < view.motion().frames(); frame++) {
      double reach = 1.5 * view.tracks().lineSpacingHz() + 0.5 * k * view.motion().swing(frame);
      if (Math.abs(k * view.motion().hz(frame) - view.tone(i).frequencyHz()) <= reach) {
        return true;
      }
    }
    return false;
  }

  private void say(int i, int other) {
    if (view.claimed()) {
      verdicts.say(
          i,
          Wording.format(
              "Here it is heard at %.0f 1/min; the tone at %.1f Hz is the same line at %.0f 1/min.",
              rpm(i), view.tone(other).frequencyHz(), rpm(other)));
    } else {
      verdicts.say(
          i,
          Wording.format(
              "The tone at %.1f Hz is the same line at another speed.",
              view.tone(other).frequencyHz()));
    }
  }

  private double rpm(int i) {
    return 60.0 * view.tone(i).frequencyHz() / verdicts.multiple(i);
  }
}
