package org.whinograph.speed;

import java.util.List;
import org.apache.commons.math3.util.ArithmeticUtils;

/**
 * Weighs whether lines that stand perfectly still are a fan or tones that go together as music
 * does. Tones in just intonation are whole multiples of one frequency too, 4 : 5 : 6 for a major
 * triad, so that being a comb says nothing. What differs is which multiples are there and how
 * strong they are: a fan's lines are led by blade-pass and its multiples, with weaker lines at low
 * orders of the shaft, beside blade-pass, or on all orders; a chord has several voices about as
 * strong as each other, with gaps below and between them and none but the primes 2, 3 and 5 in
 * their ratios.
 *
 * <p>All weights are a judgement.
 */
final class FixedTones {
  /** Level of a fan's other orders beside its strongest blade-pass line: mean, deviation [dB]. */
  private static final double FAN_LEVEL_DB = -12.0;

  private static final double FAN_SPREAD_DB = 6.0;

  /** Level of a voice beside the strongest [dB]. */
  private static final double VOICE_LEVEL_DB = -3.0;

  private static final double VOICE_SPREAD_DB = 5.0;

  /** What one line may say [nat]. */
  private static final double MOST_A_LINE = 2.5;

  /** A fan is likelier where somebody seeks its speed: three to one [nat]. */
  private static final double PRIOR = Math.log(3.0);

  /** A line in no simple ratio with blade-pass is no voice of a chord [nat]. */
  private static final double NO_INTERVAL = 3.0;

  private static final double RARE_INTERVAL = 1.0;
  private static final double MOST_INTERVALS = 4.0;
  private static final int SIMPLE = 5;

  /** What all lines together may say for a fan [nat]. */
  private static final double MOST_FOR = 5.0;

  /** Weaker lines than this below the strongest are no blade-pass to compare with [dB]. */
  private static final double WEAKEST_BLADE_PASS_DB = -20.0;

  private static final double NO_BLADE_PASS = -5.0;

  /** Blade-pass itself is missing and only multiples are there [nat]. */
  private static final double NO_FIRST = -1.5;

  private static final int MOST_OVERTONES = 6;

  /** Least share of the orders up to twice the blades that are there with uneven blades [1]. */
  private static final double DENSE = 0.8;

  /** With fewer blades a chord is as dense. */
  private static final int FEWEST_DENSE = 5;

  private static final double DENSE_NATS = 3.0;

  /** A strong line a whole number of semitones from blade-pass that no order explains [nat]. */
  private static final double STRANGE_VOICE = -1.5;

  private static final double STRANGE_LEVEL_DB = -12.0;
  private static final double SEMITONE_TOLERANCE = 0.025;

  /** Intervals of just intonation within the octave that aren't near even semitones. */
  private static final double[][] JUST = {
    {16, 15}, {10, 9}, {9, 8}, {6, 5}, {5, 4}, {4, 3}, {3, 2}, {8, 5}, {5, 3}, {16, 9}, {9, 5},
    {15, 8}
  };

  /** Two or three lines fit some comb or other: fewer than these make no fan. */
  private static final int FEWEST_LINES = 4;

  /** What fewer may say [nat]. */
  private static final double MOST_FOR_FEW = -1.0;

  private static final double MOST_STRANGE = -4.5;

  private final StackedLines stacked;
  private final Overtones overtones;

  /**
   * Prepares.
   *
   * @param stacked lines of a comb that stands still
   */
  FixedTones(StackedLines stacked) {
    this.stacked = stacked;
    this.overtones = new Overtones(stacked);
  }

  /**
   * Probability that the lines are a fan and no chord.
   *
   * @param readings readings as a fan, with probabilities that make 1
   */
  double fan(List<ShaftOrders.Reading> readings) {
    double fan = 0.0;
    for (ShaftOrders.Reading reading : readings) {
      if (reading.probability() > 0.002) {
        double music = weigh(reading.combOrder(), reading.blades());
        double electronic = overtones.weigh(reading.combOrder(), reading.blades());
        double odds = Math.exp(PRIOR) / (Math.exp(-music) + Math.exp(-electronic));
        fan += reading.probability() * odds;
      }
    }
    return fan / (1.0 + fan);
  }

  /** Evidence for a fan with so many blades against a chord [nat]. */
  private double weigh(int q, int blades) {
    StackedLines.Line bladePass = bladePass(q, blades);
    if (bladePass == null) {
      return NO_BLADE_PASS;
    }
    boolean first = stacked.order(bladePass, q) == blades;
    double evidence = (first ? 0.0 : NO_FIRST) + strangers(q, blades, bladePass.levelDb());
    double others = 0.0;
    double intervals = 0.0;
    int count = 0;
    boolean[] there = new boolean[stacked.lastOrder(q) + 1];
    for (StackedLines.Line line : stacked.lines()) {
      int k = stacked.order(line, q);
      if (k == 0) {
        continue;
      }
      there[k] = true;
      if (k % blades != 0) {
        double level = level(line.levelDb() - bladePass.levelDb());
        boolean overtone = isOvertone(k, blades, there);
        double rarest = isTuned(line.order() * q / blades) ? RARE_INTERVAL : NO_INTERVAL;
        double interval = overtone ? 0.0 : Math.min(rarest, interval(k, blades));
        if (overtone) {
          others += Math.min(0.0, level);
        } else if (interval < NO_INTERVAL) {
          others += level;
        } else {
          // It may be as strong as a voice and is none all the same.
          others += Math.max(0.0, level);
        }
        intervals += interval;
        count++;
      }
    }
    int heard = 0;
    for (int k = 1; k < Math.min(there.length, 2 * blades + 1); k++) {
      heard += there[k] ? 1 : 0;
    }
    if (blades >= FEWEST_DENSE && heard >= DENSE * 2 * blades) {
      // Uneven blades are one fact, however many orders show it.
      return evidence + others / count + DENSE_NATS;
    }
    double most = count > 0 && explained(q) < FEWEST_LINES ? MOST_FOR_FEW : MOST_FOR;
    return evidence + Math.min(most, others + Math.min(MOST_INTERVALS, intervals));
  }

  /** The first blade-pass line there is, or null. */
  private StackedLines.Line bladePass(int q, int blades) {
    for (StackedLines.Line line : stacked.lines()) {
      int k = stacked.order(line, q);
      if (k > 0 && k % blades == 0 && line.levelDb() > WEAKEST_BLADE_PASS_DB) {
        return line;
      }
    }
    return null;
  }

  /** Number of lines that are orders of the shaft. */
  private long explained(int q) {
    return stacked.lines().stream().filter(line -> stacked.order(line, q) > 0).count();
  }

  /** Strong lines that no order explains but that are an interval from blade-pass [nat]. */
  private double strangers(int q, int blades, double bladePassDb) {
    double evidence = 0.0;
    for (StackedLines.Line line : stacked.lines()) {
      boolean strong = line.levelDb() - bladePassDb > STRANGE_LEVEL_DB;
      if (strong && stacked.order(line, q) == 0 && isTuned(line.order() * q / blades)) {
        evidence += STRANGE_VOICE;
      }
    }
    return Math.max(MOST_STRANGE, evidence);
  }

  private static boolean isTuned(double ratio) {
    double semitones = 12.0 * Math.log(ratio) / Math.log(2.0);
    double inOctave = semitones - 12.0 * Math.floor(semitones / 12.0);
    boolean tuned = Math.abs(semitones - Math.rint(semitones)) < SEMITONE_TOLERANCE;
    for (double[] interval : JUST) {
      double just = 12.0 * Math.log(interval[0] / interval[1]) / Math.log(2.0);
      tuned |= Math.abs(inOctave - just) < SEMITONE_TOLERANCE;
    }
    return tuned;
  }

  /** Whether an order is an overtone of a lower one that is there and is none of blade-pass. */
  private static boolean isOvertone(int k, int blades, boolean[] there) {
    for (int m = 2; m <= MOST_OVERTONES; m++) {
      int base = k / m;
      if (k % m == 0 && base > 1 && base % blades != 0 && there[base]) {
        return true;
      }
    }
    return false;
  }

  private static double level(double db) {
    double fan = (db - FAN_LEVEL_DB) / FAN_SPREAD_DB;
    double voice = (Math.min(0.0, db) - VOICE_LEVEL_DB) / VOICE_SPREAD_DB;
    double nats = 0.5 * (voice * voice - fan * fan) + Math.log(VOICE_SPREAD_DB / FAN_SPREAD_DB);
    return Math.max(-MOST_A_LINE, Math.min(MOST_A_LINE, nats));
  }

  /** What the ratio of an order to blade-pass says against a chord [nat]. */
  private static double interval(int k, int blades) {
    int divisor = ArithmeticUtils.gcd(k, blades);
    int up = oddPart(k / divisor);
    int down = oddPart(blades / divisor);
    if (without235(up) != 1 || without235(down) != 1) {
      return NO_INTERVAL;
    }
    return Math.max(up, down) > SIMPLE ? RARE_INTERVAL : 0.0;
  }

  /** Octaves make no other interval. */
  private static int oddPart(int n) {
    return n >> Integer.numberOfTrailingZeros(n);
  }

  private static int without235(int n) {
    int rest = n;
    for (int prime : new int[] {2, 3, 5}) {
      while (rest % prime == 0) {
        rest /= prime;
      }
    }
    return rest;
  }
}
