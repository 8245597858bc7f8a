package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;

/**
 * What the judges have said of each tone so far. A cause once named stays unless a later judge has
 * better evidence. Not safe for use by several threads.
 */
final class Verdicts {
  private final Cause[] cause;
  private final Double[] order;
  private final int[] multiple;
  private final Integer[] sameLineAs;
  private final List<List<String>> evidence = new ArrayList<>();

  /**
   * Starts with nothing said.
   *
   * @param tones number of tones
   */
  Verdicts(int tones) {
    cause = new Cause[tones];
    order = new Double[tones];
    multiple = new int[tones];
    sameLineAs = new Integer[tones];
    for (int i = 0; i < tones; i++) {
      evidence.add(new ArrayList<>());
    }
  }

  /** Whether no judge has come to a conclusion about a tone. */
  boolean open(int tone) {
    return cause[tone] == null;
  }

  /** The cause that was named, or null. */
  Cause cause(int tone) {
    return cause[tone];
  }

  /** Names a cause. */
  void name(int tone, Cause why) {
    cause[tone] = why;
  }

  /** Whether a tone is a whole multiple of the fan's speed or of its comb. */
  boolean ofTheFan(int tone) {
    return multiple[tone] > 0;
  }

  /** Which multiple of the fan's speed or of its comb a tone is; 0 if it is none. */
  int multiple(int tone) {
    return multiple[tone];
  }

  /** A tone is a whole multiple of the fan's comb. */
  void turnsWithTheFan(int tone, int times) {
    multiple[tone] = times;
  }

  /** A tone is an order of the shaft. */
  void orderOfTheShaft(int tone, int multiple) {
    order[tone] = (double) multiple;
  }

  /** A tone is the same line as a stronger one. */
  void sameLine(int tone, int stronger) {
    sameLineAs[tone] = stronger;
  }

  /** Adds a sentence of evidence. */
  void say(int tone, String sentence) {
    evidence.get(tone).add(sentence);
  }

  /** Adds sentences of evidence. */
  void say(int tone, List<String> sentences) {
    evidence.get(tone).addAll(sentences);
  }

  /** The tones one by one, all judged. */
  List<ToneOrigin> origins() {
    List<ToneOrigin> result = new ArrayList<>();
    for (int i = 0; i < cause.length; i++) {
      result.add(new ToneOrigin(order[i], cause[i], evidence.get(i), sameLineAs[i]));
    }
    return Collections.unmodifiableList(result);
  }
}
