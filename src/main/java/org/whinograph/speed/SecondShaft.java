package org.whinograph.speed;

import java.util.Arrays;
import java.util.List;
import org.whinograph.quantity.Reading;

/**
 * The comb beside the first that moves on its own, through the segments of a recording, and which
 * order of its shaft it is. It is solved as the first is: its runs are stacked by order, and the
 * orders heard are weighed. The lines of the first fan are left out where they rest beside it.
 *
 * <p>Costs nothing as long as there is no such comb. Not safe for use by several threads.
 */
final class SecondShaft {
  private static final int FEWEST_FRAMES = 20;

  /** Shafts whose speeds differ by less could be one [1]. */
  private static final double ALIKE = 0.003;

  /** A speed of more range moves, and a ratio of less stays [1]. */
  private static final double MOVES = 0.02;

  private static final double KEPT = 0.008;

  /** Ratios that differ by less are one place in the stack [1]. */
  private static final double CELL = 1.005;

  /** Frames in which the ratio must be there for a line to show: a second. */
  private static final int DWELLS = 4;

  /** Low orders and multiples of blade-pass that the first fan is heard by. */
  private static final int LOW = 3;

  private static final int MULTIPLES = 8;

  /** Bins to either side of such a line. */
  private static final int BESIDE = 3;

  private final CombFrames spacings = new CombFrames();
  private final StackedRuns stacked;
  private boolean another;
  private boolean rests = true;

  /**
   * Prepares.
   *
   * @param stacked where its runs go
   */
  SecondShaft(StackedRuns stacked) {
    this.stacked = stacked;
  }

  /**
   * Takes a segment in.
   *
   * @param comb the comb; null if there is none
   * @param segment the segment, with the lines beside that comb
   * @param shared frames at the segment's end that the next one has too
   */
  void add(Comb comb, StackedRuns.Segment segment, int shared) {
    if (comb == null) {
      spacings.append(null, null, segment.from(), segment.to());
      spacings.remember(null, 0, shared);
      return;
    }
    double link = spacings.link(comb.hz());
    another |= Double.isNaN(link) || (spacings.any() && !spacings.shares(comb.hz()));
    double factor = Double.isNaN(link) ? 1.0 : link;
    double[] hz = CombFrames.times(comb.hz(), factor);
    if (!another) {
      stacked.add(segment, hz, CombFrames.times(comb.searched(), factor), comb.path());
    }
    rests &= comb.motion() == CombMotion.STANDS;
    spacings.append(hz, comb.deviation(), segment.from(), segment.to());
    spacings.remember(hz, segment.to() - shared / 2, shared);
  }

  /**
   * Its spacing through time, as the speed of a shaft with one line a turn.
   *
   * @param frameS distance of the frames [s]
   * @return the track; null if it was heard for too short a time
   */
  SpeedTrack comb(double frameS) {
    return heard() ? spacings.track(frameS, 60.0, false, Double.POSITIVE_INFINITY) : null;
  }

  /** Whether there is one that was heard for long enough. */
  boolean heard() {
    return spacings.knownHz().length >= FEWEST_FRAMES;
  }

  /**
   * Its speed.
   *
   * @param frameS distance of the frames [s]
   * @param first speed of the first fan through time; all frames unknown if its speed is
   * @param firstBlades number of blades of the first fan, or null
   * @return the speed, or why it is unknown; null if no such comb was heard
   */
  SecondSpeed speed(double frameS, SpeedTrack first, Integer firstBlades) {
    if (!heard()) {
      return null;
    }
    if (first.knownFraction() == 0.0) {
      return SecondSpeed.unknown(
          "As long as no speed of a first fan is known, nothing tells which comb is whose.", 0.0);
    }
    OrderStack stack = stacked.stack();
    if (another || stack == null || stack.windows() == 0) {
      return SecondSpeed.unknown(
          another
              ? "The second comb of lines isn't the same one all through the recording."
              : "The second comb of lines was heard for too short a time to tell its orders.",
          0.0);
    }
    double[] known = spacings.knownHz();
    Arrays.sort(known);
    double medianHz = known[known.length / 2];
    leaveOut(stack.lines(), frameS, first, firstBlades);
    ShaftOrders orders =
        new ShaftOrders(stack, medianHz, SpeedHints.none(), SpeedAnalyser.movement(known), false);
    List<ShaftOrders.Reading> readings = orders.readings();
    if (readings.isEmpty()) {
      return SecondSpeed.unknown("The second comb of lines fits no speed of a fan.", 0.0);
    }
    WeighedReadings weighed = new WeighedReadings(readings, fan(orders, readings));
    if (weighed.probability() < SecondSpeed.CLAIM_SPEED) {
      return SecondSpeed.unknown(
          "A second comb of lines was followed, but not which order of its shaft it is.",
          weighed.probability());
    }
    SpeedTrack track =
        spacings.track(frameS, 60.0 / weighed.order(), false, Double.POSITIVE_INFINITY);
    if (couldBe(first, ratios(track, first))) {
      return SecondSpeed.unknown(
          "The second comb of lines could be the first fan's: its speed is alike or moves along.",
          0.0);
    }
    double rpm = weighed.rpm(medianHz);
    return new SecondSpeed(
        Reading.of(rpm),
        rpm * spacings.deviationOfMedian(frameS),
        weighed.probability(),
        weighed.claimedBlades(),
        track);
  }

  /** Whether a speed whose ratios to the first are given could be the first fan's. */
  private static boolean couldBe(SpeedTrack first, double[] ratios) {
    boolean alike = ratios.length > 0 && Math.abs(ratios[ratios.length / 2] - 1.0) < ALIKE;
    return alike || movesAlong(first, ratios);
  }

  /** Whether the first speed moves and the ratio to it doesn't: lines of one shaft, perhaps. */
  private static boolean movesAlong(SpeedTrack first, double[] ratios) {
    double[] known =
        Arrays.stream(first.rpm()).filter(value -> !Double.isNaN(value)).sorted().toArray();
    return ratios.length > 0 && middle(known) > MOVES && middle(ratios) < KEPT;
  }

  /** Ratio of the 95th to the 5th percentile of sorted values, less 1. */
  private static double middle(double[] sorted) {
    int last = sorted.length - 1;
    return sorted[last - last / 20] / sorted[last / 20] - 1.0;
  }

  /** Probability that the comb is a fan's, by how its lines lie. */
  private double fan(ShaftOrders orders, List<ShaftOrders.Reading> readings) {
    ShaftOrders.Reading leading = readings.get(0);
    boolean plain =
        orders.bladePassInRange(leading)
            && orders.bladePassHeard(leading)
            && !orders.isTooFine(leading);
    return !plain ? 0.3 : rests ? orders.noChord(readings) : 0.99;
  }

  /** Ratio of one speed to another in the frames that both know, sorted [1]. */
  private static double[] ratios(SpeedTrack one, SpeedTrack other) {
    double[] ratios = new double[Math.min(one.frames(), other.frames())];
    int count = 0;
    for (int i = 0; i < ratios.length; i++) {
      double ratio = one.rpm()[i] / other.rpm()[i];
      ratios[count] = ratio;
      count += Double.isNaN(ratio) ? 0 : 1;
    }
    double[] known = Arrays.copyOf(ratios, count);
    Arrays.sort(known);
    return known;
  }

  /** Leaves the first fan's orders out of the stack where they dwell in one place of it. */
  private void leaveOut(OrderPowers lines, double frameS, SpeedTrack first, Integer firstBlades) {
    double[] ratios = ratios(first, spacings.track(frameS, 60.0, false, Double.POSITIVE_INFINITY));
    if (ratios.length < FEWEST_FRAMES) {
      return;
    }
    int from = 0;
    while (from < ratios.length) {
      int to = from;
      while (to < ratios.length && ratios[to] <= ratios[from] * CELL) {
        to++;
      }
      if (to - from >= DWELLS) {
        leaveOut(lines, ratios[from], ratios[to - 1], firstBlades);
      }
      from = to;
    }
  }

  private static void leaveOut(
      OrderPowers lines, double least, double greatest, Integer firstBlades) {
    for (int k = 1; k <= LOW; k++) {
      lines.leaveOut(k * least, k * greatest, BESIDE);
    }
    for (int k = 1; firstBlades != null && k <= MULTIPLES; k++) {
      lines.leaveOut(k * firstBlades * least, k * firstBlades * greatest, BESIDE);
    }
  }
}
