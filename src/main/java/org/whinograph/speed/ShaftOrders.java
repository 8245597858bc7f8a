package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * Which multiple of the shaft's frequency the comb's spacing is, and how many blades there are.
 *
 * <p>Blade-pass lines alone fit every number of blades, rpm = 60 f/Z. What decides are the lines
 * between them: uneven blades, imbalance, sidebands and motor orders stand at k/q of the spacing if
 * it is the q-th order of the shaft. Every q is weighed by how well the stacked orders at k/q fit,
 * by which orders are strongest, and by prior probabilities of the number of blades and of the
 * speed (judgement, below).
 *
 * <p>A line that stands at k/q by chance must not decide: what one line says is capped at the rate
 * at which unrelated lines fall on any one place. The more lines a reading leaves unexplained, as
 * those of another machine, the higher that rate is.
 */
final class ShaftOrders {
  /** Greatest number of blades among the candidates, and greatest q. */
  static final int MOST_BLADES = 64;

  /** One unrelated line for every thousand places (judgement): nobody may be surer than that. */
  static final double CHANCE_LINE_NATS = 7.0;

  /** Unrelated lines that are counted beside those that are seen. */
  private static final double UNSEEN = 0.5;

  /** Evidence of a line that counts as seen: noise hardly gives it anywhere [nat]. */
  private static final double SEEN_NATS = 12.0;

  /** Width of a place: a line is read from the nearer two bins [bins]. */
  private static final double PLACE = 2.0;

  /** Multiples of the spacing among which clear lines are sought. */
  private static final double CLEAR_RANGE = 24.0;

  /** What the choice of the greater of two bins and a floor known by thirty bins only is worth. */
  private static final double CHOICE_NATS = 1.2;

  /** How probable it is that the comb misses blade-pass and stands on its multiples (judgement). */
  private static final double ABOVE_BLADE_PASS = 0.02;

  /**
   * How probable it is that the comb stands on a part of blade-pass that is neither it nor the
   * shaft, as where a motor order shares a divisor with it (judgement).
   */
  private static final double PART_OF_BLADE_PASS = 0.5;

  /**
   * How probable it is that the comb stands on an order that has nothing to do with blade-pass:
   * twice the shaft's frequency, a motor order or one that was chosen because it is sharp, or any
   * other (judgement).
   */
  private static final double BESIDE_BLADE_PASS = 0.15;

  private static final double ODD_BESIDE_BLADE_PASS = 0.005;

  /**
   * Highest order for which that is considered, and least power of blade-pass beside it [1]. A
   * motor order may be stronger by far.
   */
  private static final int HIGHEST_ASIDE = 64;

  private static final double RIVAL = 0.25;
  private static final double MOTORS_RIVAL = 0.03;

  /** How much less probable a reading is whose blade-pass isn't heard (judgement). */
  private static final double NOT_HEARD = 0.3;

  /** However long a recording is, no line is judged by more independent powers than this. */
  static final double MOST_INDEPENDENT = 60.0;

  /** Lines of less power over the noise floor say nothing of chords [1]. */
  private static final double LEAST_POWER = 6.0;

  /**
   * A small fan's blade-pass lies above this; what is heard below is ever less likely it
   * (judgement) [Hz].
   */
  private static final double LEAST_BLADE_PASS_HZ = 80.0;

  /** Orders above so many times the comb's spacing say little and are many. */
  private static final double HIGHEST_ORDER = 6.0;

  /** So many orders of the shaft are looked at in any case: blade-pass is among them. */
  private static final int HIGHEST_SHAFT_ORDER = 2 * MOST_BLADES;

  /** Whole multiples of the comb's spacing are few: they are looked at up to this one. */
  private static final double HIGHEST_WHOLE_ORDER = 64.0;

  /** How probable it is that a fan's shaft orders and sidebands stand out at all (judgement). */
  private static final double SHAFT_HEARD = 0.5;

  /**
   * How probable it is that the third order is heard where neither the first nor the second is:
   * imbalance and misalignment make those (judgement).
   */
  private static final double THIRD_ALONE = 0.03;

  /** How probable it is that blades are so uneven that all orders are heard (judgement). */
  private static final double UNEVEN = 0.15;

  /** How probable it is that motor orders or others do (judgement). */
  private static final double OTHERS_HEARD = 0.3;

  /**
   * How probable it is that a fan's noise swells with its shaft so that it can be told, then that
   * it does so once a turn, and if so two and three times as well (judgement).
   */
  private static final double SWELLS = 0.3;

  /** Half width of a line of the envelope: the window's square has lobes of 4 bins and more. */
  private static final int SWELL_REACH = 6;

  /** A line of the envelope further from its place than this is something else's [bins]. */
  private static final double SWELL_OFF = 0.4;

  private static final double[] SWELL_PRESENCE = {0.9, 0.3, 0.15};

  /** One reading of the evidence. */
  record Reading(int combOrder, int blades, double probability) {}

  private static final double FALL_OFF_HARMONIC = 8.0;

  /**
   * How much less probable a multiple of blade-pass is for each one missing before it, and the
   * longest gap that is counted (judgement).
   */
  private static final double AFTER_GAP = 0.5;

  private static final int LONGEST_GAP = 4;

  /**
   * How probable it is that blade-pass itself is there where one of its low multiples is clear
   * (judgement).
   */
  private static final double FIRST_OF_SEVERAL = 0.98;

  private static final double CLEAR_MULTIPLE = 5.0;
  private static final int LOW_MULTIPLES = 4;

  private final OrderPowers stack;
  private final OrderPowers envelope;
  private final double spacingHz;
  private final SpeedHints hints;
  private final boolean sharper;
  private final double highest;
  private final OrderEvidence evidence;
  private final OrderRanks ranks;
  private final boolean clearMultiples;

  /** Orders of the lines between the comb's multiples. */
  private final double[] between;

  /**
   * Prepares.
   *
   * @param stack the stacked orders
   * @param spacingHz median spacing of the comb [Hz]
   * @param hints what is known beforehand
   * @param movement how far the comb moved through the recording, over its spacing [1]
   * @param sharper whether the comb is a line followed because it is sharp, whatever order it is
   */
  ShaftOrders(
      OrderStack stack, double spacingHz, SpeedHints hints, double movement, boolean sharper) {
    this.stack = stack.lines();
    this.envelope = stack.envelope();
    this.spacingHz = spacingHz;
    this.hints = hints;
    this.sharper = sharper;
    this.highest = Math.min(this.stack.highestOrder(), HIGHEST_ORDER);
    this.evidence = new OrderEvidence(this.stack);
    this.ranks = new OrderRanks(evidence, movement);
    this.between = evidence.between(highest, SEEN_NATS);
    int last = (int) Math.min(this.stack.highestOrder(), CLEAR_RANGE);
    this.clearMultiples = evidence.multiples(last, StandingChoice.CLEAR_NATS) > 0;
  }

  /** All readings with their probabilities, which make 1, most probable first. */
  List<Reading> readings() {
    List<int[]> pairs = new ArrayList<>();
    List<Double> logs = new ArrayList<>();
    double top = Double.NEGATIVE_INFINITY;
    for (int q = 1; q <= MOST_BLADES * 2; q++) {
      double rpm = 60.0 * spacingHz / q;
      if (rpm < SpeedResult.LOWEST_RPM || rpm > SpeedResult.HIGHEST_RPM) {
        continue;
      }
      double[] lines = null;
      for (int blades = 1; blades <= 128; blades++) {
        boolean aside = blades % q != 0 && q % blades != 0;
        if (aside && q > HIGHEST_ASIDE) {
          continue;
        }
        double prior = logPrior(blades, rpm, q);
        if (prior == Double.NEGATIVE_INFINITY) {
          continue;
        }
        if (lines == null) {
          lines = lineNats(q);
        }
        if (aside
            && !(isClear(lines, blades)
                && evidence.energy((double) blades / q) > rival(q) * evidence.energy(1.0))) {
          continue;
        }
        double log = prior + fit(lines, blades) + ranks.log(q, blades) + swell(q, blades);
        log += bladePassHeard(q, blades) ? 0.0 : Math.log(NOT_HEARD);
        pairs.add(new int[] {q, blades});
        logs.add(log);
        top = Math.max(top, log);
      }
    }
    double sum = 0.0;
    for (double log : logs) {
      sum += Math.exp(log - top);
    }
    List<Reading> result = new ArrayList<>();
    for (int i = 0; i < pairs.size(); i++) {
      double probability = Math.exp(logs.get(i) - top) / sum;
      result.add(new Reading(pairs.get(i)[0], pairs.get(i)[1], probability));
    }
    result.sort(Comparator.comparingDouble(Reading::probability).reversed());
    return result;
  }

  private double logPrior(int blades, double rpm, int q) {
    double log = Math.log(bladePrior(blades));
    if (hints.blades() != null) {
      if (blades != hints.blades()) {
        return Double.NEGATIVE_INFINITY;
      }
      log = 0.0;
    }
    if (blades > MOST_BLADES && hints.blades() == null) {
      return Double.NEGATIVE_INFINITY;
    }
    if (q > blades && q % blades == 0) {
      log += Math.log(ABOVE_BLADE_PASS);
    } else if (blades % q != 0) {
      boolean usual = sharper || q == 2 || motorOrder(q);
      log += Math.log(usual ? BESIDE_BLADE_PASS : ODD_BESIDE_BLADE_PASS);
    } else if (q < blades && q != 1) {
      log += Math.log(PART_OF_BLADE_PASS);
    }
    double z = (Math.log(rpm) - Math.log(3000.0)) / 0.9;
    log -= 0.5 * z * z;
    double deep = Math.log(Math.min(1.0, blades * rpm / 60.0 / LEAST_BLADE_PASS_HZ)) / 0.35;
    log -= 0.5 * deep * deep;
    if (hints.rpmNear() != null) {
      double near = (Math.log(rpm) - Math.log(hints.rpmNear())) / SpeedHints.NEAR_DEVIATION;
      log -= 0.5 * near * near;
    }
    if (hints.taggedHz() != null) {
      double shaft = hints.taggedHz() / hints.taggedOrder();
      double off = Math.log(spacingHz / q / shaft) / SpeedHints.TAGGED_DEVIATION;
      log -= 0.5 * off * off;
    }
    return log;
  }

  private static double rival(int q) {
    return motorOrder(q) ? MOTORS_RIVAL : RIVAL;
  }

  private static boolean isClear(double[] lines, int blades) {
    return blades < lines.length && lines[blades] >= CHANCE_LINE_NATS;
  }

  /** Whether blade-pass of a reading lies where lines can be heard at all. */
  boolean bladePassInRange(Reading reading) {
    return reading.blades() <= stack.highestOrder() * reading.combOrder();
  }

  /**
   * Whether blade-pass of a reading is heard. Where it isn't but other lines are clear, the comb is
   * made of those and may be any part of what the fan's is.
   */
  boolean bladePassHeard(Reading reading) {
    return bladePassHeard(reading.combOrder(), reading.blades());
  }

  /** Whether a reading's comb is too fine a part of what is heard of the shaft. */
  boolean isTooFine(Reading reading) {
    return ranks.isTooFine(reading.combOrder());
  }

  /** How many orders of a reading's shaft stand out in the stack. */
  int ordersHeard(Reading reading) {
    return ranks.ordersHeard(reading.combOrder());
  }

  private boolean bladePassHeard(int q, int blades) {
    double bladePass = (double) blades / q;
    boolean heard =
        Double.isNaN(stack.power(bladePass)) || evidence.nats(bladePass) > CHANCE_LINE_NATS;
    return heard || !clearMultiples;
  }

  /**
   * Probability that a comb which stands still is the fan's, where somebody says that there is one.
   *
   * @param readings the readings
   * @param left spacings of what else was followed [Hz]
   */
  double chosen(List<Reading> readings, List<Double> left) {
    return new StandingChoice(stack, spacingHz, hints).fan(readings.get(0), left);
  }

  /**
   * Probability that lines which stand still are a fan and no chord.
   *
   * @param readings the readings
   */
  double noChord(List<Reading> readings) {
    StackedLines lines = new StackedLines(stack, CLEAR_RANGE, LEAST_POWER);
    return new FixedTones(lines).fan(readings);
  }

  /** Whether all that stands out, the comb too, is the hum of one mains. */
  boolean isHum() {
    StackedLines lines = new StackedLines(stack, stack.highestOrder(), LEAST_POWER);
    List<StackedLines.Line> clear =
        lines.lines().stream().filter(line -> evidence.nats(line.order()) > SEEN_NATS).toList();
    return new StackedHum(clear, spacingHz).isAll();
  }

  /**
   * Prior weight of a number of blades: 5, 7, 9, 11 and 13 on axial fans, odd numbers before even
   * ones, 20 to 61 on blowers (common practice, no source; the weights are a judgement).
   */
  static double bladePrior(int blades) {
    return switch (blades) {
      case 1 -> 0.001;
      case 2 -> 0.003;
      case 3 -> 0.015;
      case 4 -> 0.015;
      case 5 -> 0.12;
      case 6 -> 0.03;
      case 7 -> 0.20;
      case 8 -> 0.03;
      case 9 -> 0.14;
      case 10 -> 0.02;
      case 11 -> 0.10;
      case 12 -> 0.01;
      case 13 -> 0.05;
      default -> blades % 2 == 1 ? 0.008 : 0.003;
    };
  }

  /**
   * Evidence of a line at each order of the shaft if the spacing is order q, NaN where it isn't
   * looked at, index 0 unused [nat].
   */
  private double[] lineNats(int q) {
    int last = Math.max((int) Math.floor(highest * q), HIGHEST_SHAFT_ORDER);
    last = Math.min(last, (int) Math.floor(stack.highestOrder() * q));
    int whole = (int) Math.min(stack.highestOrder(), HIGHEST_WHOLE_ORDER);
    double[] result = new double[Math.max(last, whole * q) + 1];
    double low = chanceNats(q, 0.0, Math.min(1.0, highest));
    double high = chanceNats(q, 1.0, highest);
    for (int k = 1; k < result.length; k++) {
      if (k > last && k % q != 0) {
        result[k] = Double.NaN;
        continue;
      }
      double order = (double) k / q;
      double power = stack.power(order);
      double nats = Double.isNaN(power) ? 0.0 : evidence.nats(order);
      boolean skirt =
          k % q != 0
              && nats > 0.0
              && (evidence.isSkirt(order, 1.0 / q) || evidence.isBeside(order));
      double chance = k < q ? low : high;
      double most = k % q == 0 ? CHANCE_LINE_NATS : chance;
      result[k] = Math.min(skirt ? 0.0 : most, nats - CHOICE_NATS);
    }
    return result;
  }

  /**
   * The most that one line between two orders of the comb may say if the spacing is order q, by the
   * lines there that don't fit [nat].
   */
  private double chanceNats(int q, double from, double to) {
    double unrelated = UNSEEN;
    for (double order : between) {
      double off = Math.abs(order * q - Math.rint(order * q)) / q * stack.cycles();
      unrelated += order > from && order < to && off > 0.5 * PLACE ? 1.0 : 0.0;
    }
    double places = Math.max(1.0, (to - from) * stack.cycles() / PLACE);
    return Math.max(0.0, Math.min(CHANCE_LINE_NATS, Math.log(places / unrelated)));
  }

  /** What the orders of the shaft, blade-pass and others, say for a number of blades [nat]. */
  private static double fit(double[] lines, int blades) {
    double dense = 0.0;
    double shaft = 0.0;
    double other = 0.0;
    boolean turns = blades < 3 || Math.max(lines[1], lines[2]) > 0.0;
    for (int k = 1; k < lines.length; k++) {
      if (Double.isNaN(lines[k]) || k % blades == 0) {
        continue;
      }
      double ratio = Math.exp(lines[k]);
      double everywhere = k <= 2 * blades ? 0.8 : 0.3;
      dense += Math.log(1.0 - everywhere + everywhere * ratio);
      int beside = Math.min(k % blades, blades - k % blades);
      // On few blades every order would be beside blade-pass.
      boolean sideband = beside <= Math.min(2, (blades - 1) / 4) && k < 4 * blades;
      if (k <= 3 || sideband) {
        double presence = k <= 2 ? 0.35 : k == 3 && !turns ? THIRD_ALONE : 0.15;
        shaft += Math.log(1.0 - presence + presence * ratio);
      } else {
        double presence = motorOrder(k) ? 0.1 : 0.01;
        other += Math.log(1.0 - presence + presence * ratio);
      }
    }
    // Whether a fan lets its shaft orders, or motor and odd orders, be heard at all is one question
    // for all of each kind; uneven blades put a line on every order.
    double sparse =
        Math.log(1.0 - SHAFT_HEARD + SHAFT_HEARD * Math.exp(shaft))
            + Math.log(1.0 - OTHERS_HEARD + OTHERS_HEARD * Math.exp(other));
    double top = Math.max(sparse, dense);
    return bladePassFit(lines, blades)
        + top
        + Math.log((1.0 - UNEVEN) * Math.exp(sparse - top) + UNEVEN * Math.exp(dense - top));
  }

  /**
   * What the multiples of blade-pass say for a number of blades [nat]. Their levels fall off: where
   * low multiples are clear, blade-pass is, and beyond some that are missing a further one is ever
   * less likely. All lengths of the gap before a multiple are kept alive.
   */
  private static double bladePassFit(double[] lines, int blades) {
    double[] gap = new double[LONGEST_GAP + 1];
    gap[0] = 1.0;
    double first = bladePassPresence(1);
    for (int m = 2; m <= LOW_MULTIPLES && m * blades < lines.length; m++) {
      first = lines[m * blades] > CLEAR_MULTIPLE ? FIRST_OF_SEVERAL : first;
    }
    double log = 0.0;
    for (int k = blades; k < lines.length; k += blades) {
      double ratio = Double.isNaN(lines[k]) ? 1.0 : Math.exp(lines[k]);
      double there = 0.0;
      double sum = 0.0;
      double shifted = 0.0;
      for (int g = 0; g <= LONGEST_GAP; g++) {
        double presence =
            k == blades ? first : bladePassPresence(k / blades) * Math.pow(AFTER_GAP, g);
        double weight = gap[g];
        there += weight * presence * ratio;
        double missing = weight * (1.0 - presence);
        gap[g] = shifted + (g == LONGEST_GAP ? missing : 0.0);
        shifted = missing;
        sum += missing;
      }
      gap[0] = there;
      sum += there;
      for (int g = 0; g <= LONGEST_GAP; g++) {
        gap[g] /= sum;
      }
      log += Math.log(sum);
    }
    return log;
  }

  /**
   * What the envelope of the noise says for a shaft at 1/q of the spacing [nat]. Noise that swells
   * twice or three times a turn does so once a turn too; that it swells with each blade fits every
   * reading alike.
   */
  private double swell(int q, int blades) {
    double further = 1.0;
    for (int k = SWELL_PRESENCE.length; k > 1; k--) {
      further *= 1.0 - SWELL_PRESENCE[k - 1] + SWELL_PRESENCE[k - 1] * swellRatio(k, q, blades);
    }
    double once = SWELL_PRESENCE[0] * swellRatio(1, q, blades);
    return Math.log(1.0 - SWELLS + SWELLS * (1.0 - SWELL_PRESENCE[0] + once * further));
  }

  /** How much likelier the envelope is with a line at an order of the shaft than without [1]. */
  private double swellRatio(int k, int q, int blades) {
    double order = (double) k / q;
    double power = envelope.power(order);
    if (k >= blades || Double.isNaN(power)) {
      return 1.0;
    }
    boolean there = envelope.distance(order, SWELL_REACH) < SWELL_OFF;
    double worth = Math.min(MOST_INDEPENDENT, envelope.independent(order));
    double nats = LineEvidence.ofMean(there ? power : Math.min(1.0, power), worth);
    return Math.exp(Math.min(CHANCE_LINE_NATS, nats - CHOICE_NATS));
  }

  /** High harmonics of blade-pass fall off fast, as the square of their number (judgement). */
  private static double bladePassPresence(int harmonic) {
    double beyond = Math.max(1.0, harmonic / FALL_OFF_HARMONIC);
    return CombScores.presence(harmonic) / (beyond * beyond);
  }

  /** Least common multiples of usual numbers of slots and poles (judgement). */
  static boolean motorOrder(int k) {
    return k == 4 || k == 6 || k == 8 || k == 12 || k == 16 || k == 24 || k == 36;
  }

  /** Number of the comb's low multiples that stand out. */
  int harmonics() {
    return evidence.multiples((int) highest, CHANCE_LINE_NATS);
  }
}
