package org.whinograph.speed;

import java.util.ArrayList;
import java.util.List;
import java.util.function.IntPredicate;
import org.apache.commons.math3.util.ArithmeticUtils;

/**
 * The hum of one mains in a segment: lines that stand still at whole multiples of one frequency. A
 * comb that is there and never moves is the mains and not a fan.
 *
 * <p>The frequency isn't exactly the nominal one. Grids keep it within 0.05 Hz (continental Europe)
 * to 0.2 Hz (Great Britain) in ordinary operation (Regulation (EU) 2017/1485, Annex III, table 1,
 * standard frequency range; from memory), and a multiple is off by as many times that. So it is
 * found from the first multiples, then ever more closely from one multiple to the next.
 *
 * <p>Immutable and safe for use by several threads.
 */
final class MainsHum {
  /** Multiples that nearly always come together. */
  static final int LOW_MULTIPLES = 6;

  static final double[] NOMINAL_HZ = {50.0, 60.0};

  /** How far from it a mains is in ordinary operation [Hz]. */
  static final double MOST_OFF_NOMINAL_HZ = 0.2;

  /**
   * Steps to either side of the nominal frequency in which the supply's is sought, and one [Hz].
   */
  private static final int STEPS = 4;

  private static final double STEP_HZ = 0.05;

  /**
   * How far a multiple may be off beside that [Hz], and what one place errs by [Hz] (judgement).
   */
  private static final double LEAST_OFF_HZ = 0.1;

  private static final double MOST_OFF_HZ = 0.25;
  private static final double PLACE_HZ = 0.04;

  /** Multiples that are looked at. */
  private static final int MULTIPLES = 100;

  /**
   * Lines among the first dozen multiples without which one that is off its nominal frequency is no
   * hum, but may be a shaft that turns nearly as fast (judgement).
   */
  private static final int FIRST_DOZEN = 12;

  private static final int FEWEST_IN_FAMILY = 4;

  /** Higher multiples among which so many must stand out where no low one does (judgement). */
  private static final int HIGHER_MULTIPLES = 40;

  private static final int FEWEST_HIGHER = 3;

  /** Further from a line than this a comb's multiple is elsewhere [lines of the windows]. */
  private static final double FAR_LINES = 3.0;

  /** Mean evidence of a multiple of a path from which on it is one of its lines [nat]. */
  private static final double LINE_NATS = 0.8;

  /** The same of one that stands out of most frames: hum like that is taken out line by line. */
  private static final double CLEAR_NATS = 5.0;

  /** How far such a line may be from a multiple of the supply [lines of the windows]. */
  private static final double OFF_LINES = 0.3;

  private final Supply supply;
  private final List<Double> lines;
  private final List<Double> faint;

  /** Which of the first dozen multiples are there; none if there is no hum. */
  private final List<Integer> first;

  private MainsHum(Supply supply, List<Double> lines, List<Double> faint, List<Integer> first) {
    this.supply = supply;
    this.first = List.copyOf(first);
    this.lines = List.copyOf(lines);
    this.faint = List.copyOf(faint);
  }

  /**
   * Looks for the hum of each mains.
   *
   * @param peaks peaks of a segment's long windows
   * @param spacingHz line spacing of those windows [Hz]
   * @return one for each mains, heard or not
   */
  static List<MainsHum> in(PeakList peaks, double spacingHz) {
    List<MainsHum> result = new ArrayList<>();
    for (double nominal : NOMINAL_HZ) {
      result.add(Search.best(peaks, nominal, spacingHz).hum());
    }
    return result;
  }

  /** Frequency of the supply, the nominal one unless it is heard [Hz]. */
  double hz() {
    return supply.hz;
  }

  /**
   * Multiples that stand out and have to be taken out [Hz]; none unless at least two of the first
   * six are there, one of them clearly, or more of the first dozen, or some higher ones clearly.
   */
  List<Double> lines() {
    return lines;
  }

  /**
   * Multiples that are too faint to lead the search astray [Hz]: the first six if hum is there at
   * all, and higher ones that are. Stacked over a recording they would stand out as orders of a
   * shaft that turns in step with the mains.
   */
  List<Double> faint() {
    return faint;
  }

  /**
   * Finds the higher multiples of faint hum that stand out while a comb is elsewhere than it
   * usually is: a line of its shaft would have moved.
   *
   * @param peaks peaks of the segment's long windows
   * @param spacingHz line spacing of those windows [Hz]
   * @param comb the comb
   * @return their frequencies [Hz]
   */
  List<Double> beyond(PeakList peaks, double spacingHz, CombPath comb) {
    List<Double> result = new ArrayList<>();
    double usual = comb.medianHz();
    Supply closer = supply;
    for (int k = LOW_MULTIPLES + 1; k <= MULTIPLES && !faint.isEmpty(); k++) {
      double line = k * closer.hz;
      IntPredicate elsewhere =
          t -> !(line * Math.abs(comb.spacingHz()[t] / usual - 1.0) < FAR_LINES * spacingHz);
      StandingLine standing = StandingLine.at(peaks, line, spacingHz, elsewhere);
      if (standing.isThere() && closer.has(k, standing)) {
        result.add(line);
        closer = closer.with(k, standing.meanHz());
      }
    }
    return result;
  }

  /**
   * Whether a path that stands still is what is left of hum: its lines are multiples of the supply,
   * each too faint to be taken out by itself, and hum is heard at another multiple too.
   *
   * @param path the path
   * @param spacingHz line spacing of the windows [Hz]
   */
  boolean explains(CombPath path, double spacingHz) {
    double[] evidence = path.harmonicEvidence();
    double spacing = path.medianHz();
    boolean any = false;
    for (int m = 1; m <= evidence.length; m++) {
      double line = m * spacing;
      double off = Math.abs(line - supply.hz * Math.max(1.0, Math.rint(line / supply.hz)));
      // A path is known to half a cell of the search.
      double allowed = Math.max(OFF_LINES * spacingHz, 0.5 * CombSearch.CELL_WIDTH * line);
      if (evidence[m - 1] > LINE_NATS) {
        any = true;
        if (off > allowed || evidence[m - 1] > CLEAR_NATS) {
          return false;
        }
      }
    }
    long step = Math.round(spacing / supply.hz);
    return any && first.stream().anyMatch(k -> step <= 1 || k % step != 0);
  }

  /**
   * What is known of the supply's frequency: the places of some multiples, all known alike.
   *
   * @param hz the frequency [Hz]
   * @param places sum of order times place [Hz]
   * @param squares sum of squared orders; the quotient of both is the frequency by least squares
   */
  private record Supply(double hz, double places, double squares) {
    Supply with(int order, double placeHz) {
      double sum = places + order * placeHz;
      double weights = squares + order * order;
      return new Supply(sum / weights, sum, weights);
    }

    /** Whether a line lies where a multiple is, as well as that is known. */
    boolean has(int order, StandingLine line) {
      double unknown = squares > 0.0 ? order * PLACE_HZ / Math.sqrt(squares) : 0.0;
      double allowed = Math.max(LEAST_OFF_HZ, Math.min(MOST_OFF_HZ, STEP_HZ * order)) + unknown;
      return line.isWithin(allowed, order * hz);
    }
  }

  /** A frequency that the supply may have, and what is heard at its multiples. */
  private static final class Search {
    private final PeakList peaks;
    private final double nominalHz;
    private final double spacingHz;
    private Supply supply;

    /** How many of the first six multiples are there and stand out; which of the first dozen. */
    private int low;

    private int usual;
    private List<Integer> dozen = List.of();
    private int divisor;

    private Search(PeakList peaks, double nominalHz, double hz, double spacingHz) {
      this.peaks = peaks;
      this.nominalHz = nominalHz;
      this.spacingHz = spacingHz;
      this.supply = new Supply(hz, 0.0, 0.0);
      listen(LOW_MULTIPLES);
      if (!dozen.isEmpty()) {
        // Closer to where the first ones lie, more of them are found.
        listen(FIRST_DOZEN);
      }
    }

    private void listen(int multiples) {
      Supply found = new Supply(supply.hz, 0.0, 0.0);
      low = 0;
      usual = 0;
      dozen = new ArrayList<>();
      divisor = 0;
      for (int k = 1; k <= multiples; k++) {
        StandingLine line = at(k);
        if (line.isThere() && supply.has(k, line)) {
          dozen.add(k);
          divisor = ArithmeticUtils.gcd(divisor, k);
          low += k <= LOW_MULTIPLES ? 1 : 0;
          usual += k <= LOW_MULTIPLES && line.isUsual() ? 1 : 0;
          found = found.with(k, line.meanHz());
        }
      }
      supply = found;
    }

    /** The frequency at which most multiples are heard. */
    static Search best(PeakList peaks, double nominal, double spacingHz) {
      Search best = new Search(peaks, nominal, nominal, spacingHz);
      for (int step = 1; step <= STEPS; step++) {
        for (int side = -1; side <= 1; side += 2) {
          double hz = nominal + side * step * STEP_HZ;
          Search other = new Search(peaks, nominal, hz, spacingHz);
          best = other.worth() > best.worth() ? other : best;
        }
      }
      return best;
    }

    private StandingLine at(int k) {
      return at(supply, k);
    }

    private StandingLine at(Supply frequency, int k) {
      return StandingLine.at(peaks, k * frequency.hz, spacingHz, t -> true);
    }

    private int worth() {
      return isThere() ? usual + dozen.size() : 0;
    }

    /** Whether there is hum; near the nominal frequency two low multiples will do. */
    private boolean isThere() {
      boolean near = Math.abs(supply.hz - nominalHz) <= STEP_HZ;
      return isFamily() || (near && low >= 2);
    }

    /** Whether there are more multiples than a shaft that turns about as fast may make. */
    private boolean isFamily() {
      return dozen.size() >= FEWEST_IN_FAMILY && divisor <= 2;
    }

    MainsHum hum() {
      boolean there = isThere();
      boolean clear = there && (usual > 0 || isFamily() || isClearAbove());
      supply = there ? supply : new Supply(nominalHz, 0.0, 0.0);
      List<Double> lines = new ArrayList<>();
      List<Double> faint = new ArrayList<>();
      for (int k = 1; k <= MULTIPLES && clear; k++) {
        StandingLine line = at(k);
        if (line.isThere() && supply.has(k, line)) {
          // Each tells the frequency more closely than those before.
          supply = k > LOW_MULTIPLES ? supply.with(k, line.meanHz()) : supply;
          (line.isUsual() || line.isOften() ? lines : faint).add(k * supply.hz);
        }
      }
      for (int k = 1; k <= LOW_MULTIPLES && there; k++) {
        faint.add(k * supply.hz);
      }
      return new MainsHum(supply, lines, faint, there ? dozen : List.of());
    }

    /**
     * Whether higher multiples stand out that aren't all multiples of one of them, as a fan's are.
     */
    private boolean isClearAbove() {
      int count = 0;
      int common = 0;
      Supply closer = supply;
      for (int k = LOW_MULTIPLES + 1; k <= HIGHER_MULTIPLES; k++) {
        StandingLine line = at(closer, k);
        if (line.isThere() && closer.has(k, line)) {
          closer = closer.with(k, line.meanHz());
          count += line.isUsual() ? 1 : 0;
          common = line.isUsual() ? ArithmeticUtils.gcd(common, k) : common;
        }
      }
      return count >= FEWEST_HIGHER && common <= 2;
    }
  }
}
