package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.function.Supplier;

/**
 * Follows the strongest comb that is left in a segment, once the lines are taken out that aren't
 * its own: hum and other lines that stand still, which a path may rest on where they lie on one of
 * its multiples, or leap to where the fan is faint.
 *
 * <p>Peaks that are taken out stay out. Not safe for use by several threads.
 */
final class CombFollower {
  /** Evidence that a path must have in all to count [nat]. */
  static final double LEAST_SCORE = 40.0;

  /**
   * A run of frames shorter than this is no rotor: it could not have got there so fast [frames].
   */
  static final int SHORTEST_RUN = 12;

  /** A second comb is sought only where so many strong peaks a frame are left. */
  static final double LEAST_LEFT = 0.7;

  /** A path of more leaps and steps isn't one rotor's motion (judgement). */
  static final int MOST_CHANGES = 2;

  /** Relative movement of a comb from which on lines that stand still are told from it [1]. */
  private static final double LEAST_MOVEMENT = 0.01;

  private static final int FRAMES_OF_MOVEMENT = 40;

  /** Share of a path's frames on lines that stand still from which on it is nowhere else [1]. */
  private static final double LEAST_ON_LINES = 0.9;

  /** Multiples of a hum that are taken out where a path rests on it. */
  private static final int HUM_MULTIPLES = 8;

  /** How often lines of others are sought in one comb. */
  private static final int MOST_FOREIGN = 2;

  /** How far about a line peaks are taken out [lines of the long and of the short windows]. */
  private static final double LONG_REACH_LINES = 1.0;

  private static final double SHORT_REACH_LINES = 0.8;
  private static final double HUM_REACH_LINES = 0.6;

  private final CombSearch search;
  private final PeakList longPeaks;
  private final PeakList shortPeaks;
  private final double longLineHz;
  private final double shortLineHz;
  private final HeldStretches stretches;

  /** Lines that were known to stand still beforehand [Hz]. */
  private final List<Double> known = new ArrayList<>();

  /** The mains, heard or not. */
  private final List<MainsHum> hums = new ArrayList<>();

  /** Lines that held a path and were taken out there [Hz]. */
  private final List<Double> holding = new ArrayList<>();

  /**
   * A path and the lines beside it that stand still while it moves.
   *
   * @param path the path
   * @param standing those lines, the hum's too [Hz]
   */
  record Followed(CombPath path, List<Double> standing) {
    /** Whether the path has evidence enough to be a comb's. */
    boolean counts() {
      return path.score() >= LEAST_SCORE && path.framesOn() >= SHORTEST_RUN;
    }
  }

  /**
   * Prepares.
   *
   * @param search the search
   * @param longPeaks peaks of a segment's long windows
   * @param longLineHz line spacing of those windows [Hz]
   * @param shortPeaks peaks of its short windows
   * @param shortLineHz line spacing of those windows [Hz]
   */
  CombFollower(
      CombSearch search,
      PeakList longPeaks,
      double longLineHz,
      PeakList shortPeaks,
      double shortLineHz) {
    this.search = search;
    this.longPeaks = longPeaks;
    this.longLineHz = longLineHz;
    this.shortPeaks = shortPeaks;
    this.shortLineHz = shortLineHz;
    this.stretches = new HeldStretches(longPeaks, longLineHz);
  }

  /** Takes the hum of each mains out. */
  void takeOut(List<MainsHum> mains) {
    for (MainsHum each : mains) {
      hums.add(each);
      known.addAll(each.lines());
      FixedLines.mute(longPeaks, each.lines(), HUM_REACH_LINES * longLineHz);
      FixedLines.mute(shortPeaks, each.lines(), SHORT_REACH_LINES * shortLineHz);
    }
  }

  /**
   * Takes single lines out that are known to be no comb's.
   *
   * @param lines the lines [Hz]
   */
  void leaveOut(List<Double> lines) {
    known.addAll(lines);
    mute(lines);
  }

  /** Whether a path moves. */
  static boolean moves(CombPath path) {
    return path.movement() > LEAST_MOVEMENT && path.framesOn() > FRAMES_OF_MOVEMENT;
  }

  /** The strongest path that is left, as the search leaves it, and isn't the hum's. */
  Followed search() {
    return beyondTheHum(this::strongest);
  }

  private Followed strongest() {
    CombPath path = searched();
    List<Double> stands = new ArrayList<>(known);
    if (moves(path)) {
      stands.addAll(FixedLines.apartFrom(longPeaks, longLineHz, path.spacingHz()));
    }
    return new Followed(path, stands);
  }

  /**
   * The strongest path that is left and isn't the hum's, without the lines that aren't its comb's.
   * Only while nothing but single lines was found before: what is found beside a comb may be a
   * second fan, whose lines fix nothing.
   */
  Followed follow() {
    return beyondTheHum(this::cleared);
  }

  /** The next path that is more than what was left of the hum; that is taken out. */
  private Followed beyondTheHum(Supplier<Followed> paths) {
    Followed next = paths.get();
    for (int i = 0; i < hums.size() && next.counts() && isHum(next.path()); i++) {
      search.mute(next.path(), longPeaks, shortPeaks);
      next = paths.get();
    }
    return next;
  }

  private boolean isHum(CombPath path) {
    return !moves(path) && hums.stream().anyMatch(each -> each.explains(path, longLineHz));
  }

  private Followed cleared() {
    CombPath path = searched();
    List<Double> stands = new ArrayList<>(known);
    if (path.score() < LEAST_SCORE) {
      return new Followed(path, stands);
    }
    List<Double> apart = FixedLines.apartFrom(longPeaks, longLineHz, path.spacingHz());
    path = without(path, apart);
    // While the comb stands still itself, nothing tells whose a line is.
    if (path.movement() > LEAST_MOVEMENT) {
      stands.addAll(apart);
    }
    double[] onHum = stretches.byHum(path, hums);
    if (onHum != null) {
      for (int k = 1; k <= HUM_MULTIPLES; k++) {
        mute(CombFrames.times(onHum, k));
      }
      path = searched();
    }
    double[] held = stretches.in(path);
    if (held != null) {
      mute(held);
      addLines(held);
      path = searched();
      stands.addAll(FixedLines.apartFrom(longPeaks, longLineHz, path.spacingHz()));
    }
    path = offStanding(withoutForeign(path), stands);
    // What was left out of a path that stands still in the end may as well be the fan's.
    boolean stays = path.isComb() || path.movement() > LEAST_MOVEMENT;
    return new Followed(path, stays ? stands : new ArrayList<>(known));
  }

  /**
   * What is left beside a comb once the low orders of its own shaft are taken out, which hide a
   * second fan where they make the strongest path.
   *
   * @param comb the comb
   * @param next the strongest path that was left
   * @param highestHz highest frequency of a line [Hz]
   * @return a path of another shaft; the given one if that isn't the comb's shaft, or nothing else
   *     is left
   */
  Followed beyondTheShaft(CombPath comb, Followed next, double highestHz) {
    int multiple = SameShaft.multiple(comb.spacingHz(), next.path().spacingHz());
    if (!next.counts() || multiple == 0) {
      return next;
    }
    for (double[] line : SameShaft.lines(comb.spacingHz(), next.path(), multiple)) {
      mute(line);
    }
    StrongPeaks peaks = new StrongPeaks(longPeaks, longLineHz, highestHz);
    if (!(peaks.leftBeside(comb.spacingHz(), List.of()) > LEAST_LEFT * longPeaks.frames())) {
      return next;
    }
    Followed other = search();
    boolean another =
        other.counts()
            && other.path().lines() >= 2
            && SameShaft.multiple(comb.spacingHz(), other.path().spacingHz()) == 0;
    return another ? other : next;
  }

  private CombPath searched() {
    return search.search(longPeaks, shortPeaks).withoutShortRuns(SHORTEST_RUN);
  }

  /** The path without lines that it visits; it is sought again unless it stays without them. */
  private CombPath without(CombPath path, List<Double> lines) {
    List<Double> visited = butMain(path, lines);
    boolean[] visits = visits(path, visited);
    if (visits == null) {
      return path;
    }
    mute(visited);
    return stretches.staysWithout(path, visits) ? path : searched();
  }

  /**
   * The lines but the one whose frequency is a path's spacing in most of its frames, if it only
   * goes to and fro between them: the others go on while it is there, and that one while it is with
   * them.
   */
  private List<Double> butMain(CombPath path, List<Double> lines) {
    boolean[] all = visits(path, lines);
    if (all == null || count(all) < LEAST_ON_LINES * path.framesOn()) {
      return lines;
    }
    for (double hz : lines) {
      boolean[] here = visits(path, List.of(hz));
      boolean first = Math.rint(hz / path.medianHz()) == 1.0;
      if (first && here != null && 2 * count(here) > path.framesOn()) {
        return lines.stream().filter(each -> each != hz).toList();
      }
    }
    return lines;
  }

  private static int count(boolean[] frames) {
    int count = 0;
    for (boolean each : frames) {
      count += each ? 1 : 0;
    }
    return count;
  }

  /** The path without lines that it leapt to, or that don't move with its shaft. */
  private CombPath withoutForeign(CombPath first) {
    TunedLines tuned = new TunedLines(longPeaks, longLineHz);
    VisitedLines visited = new VisitedLines(longPeaks, longLineHz);
    CombPath path = first;
    for (int i = 0; i < MOST_FOREIGN; i++) {
      List<Double> foreign = visited.of(path);
      double untuned = tuned.foreign(path);
      if (!Double.isNaN(untuned)) {
        foreign.add(untuned);
      }
      if (foreign.isEmpty()) {
        break;
      }
      mute(foreign);
      path = searched();
    }
    return tuned.settled(path);
  }

  /**
   * The path without a line that goes on while it is elsewhere, if it rests on one at other times.
   *
   * @param stands where such lines go
   */
  private CombPath offStanding(CombPath path, List<Double> stands) {
    // What leaps to and fro is a mixture of machines, whose lines stay apart from each other.
    if (!moves(path) || path.changes() > MOST_CHANGES) {
      return path;
    }
    List<Double> apart = FixedLines.apartFrom(longPeaks, longLineHz, path.spacingHz());
    apart.addAll(stretches.goingOn(path, holding));
    if (visits(path, apart) == null) {
      return path;
    }
    stands.addAll(apart);
    return without(path, apart);
  }

  private void addLines(double[] held) {
    Arrays.stream(held)
        .filter(each -> !Double.isNaN(each))
        .distinct()
        .filter(each -> !holding.contains(each))
        .forEach(holding::add);
  }

  /** The frames in which a multiple of a path lies on one of the given lines, null without any. */
  private boolean[] visits(CombPath path, List<Double> lines) {
    boolean[] result = new boolean[path.spacingHz().length];
    boolean any = false;
    for (double hz : lines) {
      double allowed = Math.max(longLineHz, 0.6 * CombSearch.CELL_WIDTH * hz);
      for (int t = 0; t < result.length; t++) {
        double spacing = path.spacingHz()[t];
        double ratio = hz / spacing;
        result[t] |= Math.abs(ratio - Math.rint(ratio)) * spacing < allowed && ratio > 0.5;
        any |= result[t];
      }
    }
    return any ? result : null;
  }

  private void mute(List<Double> lines) {
    FixedLines.mute(longPeaks, lines, LONG_REACH_LINES * longLineHz);
    FixedLines.mute(shortPeaks, lines, SHORT_REACH_LINES * shortLineHz);
  }

  /** Mutes a line in the frames for which it is given. */
  private void mute(double[] lineHz) {
    for (int t = 0; t < lineHz.length; t++) {
      FixedLines.mute(longPeaks, t, lineHz[t], LONG_REACH_LINES * longLineHz);
      for (int s = 4 * t; s < 4 * t + 4; s++) {
        FixedLines.mute(shortPeaks, s, lineHz[t], SHORT_REACH_LINES * shortLineHz);
      }
    }
  }
}
