package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.function.Function;
import java.util.stream.IntStream;
import org.whinograph.speed.CombFollower.Followed;

/**
 * One segment of a recording from samples to combs: peaks of whitened spectra, the hum taken out,
 * the strongest comb followed, then what is left searched again for a second one.
 *
 * <p>Not safe for use by several threads.
 */
final class SegmentAnalysis {
  /** Evidence from which on a second path casts doubt on a first that is but one line [nat]. */
  private static final double LEAST_LEFT_SCORE = 20.0;

  private static final int TRIES = 2;

  /** The same while nothing but single lines that stand still is found. */
  private static final int TRIES_WHILE_LONE = 4;

  /** Share of a segment's frames in which a comb that rests is known at least [1]. */
  private static final double RESTING_SHARE = 0.9;

  /** Mean evidence of a line of such a comb [nat]. */
  private static final double LINE_NATS = 1.5;

  private final SpeedHints hints;
  private final SegmentPeaks peaks;
  private final PeakList longPeaks;
  private final PeakList shortPeaks;
  private final CombLines lines;
  private final double lineHz;
  private final double highestHz;
  private final CombSearch search;
  private final PathRefiner refiner;
  private final RunEnds ends;
  private final EarlierSegments earlier;
  private List<Double> standing = List.of();
  private List<Double> faint = List.of();
  private List<Double> besideTheSecond = List.of();
  private final List<Double> left = new ArrayList<>();

  /** The two combs that a path and what was left beside it were put on; none if they were not. */
  private List<CombPath> parted = List.of();

  /** Lines that stand still beside the chief comb when another was sought [Hz]. */
  private List<Double> soughtBeside = List.of();

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param hints what is known beforehand
   * @param framesApart by how many frames segments are apart
   */
  SegmentAnalysis(double rate, SpeedHints hints, int framesApart) {
    this.hints = hints;
    this.peaks = new SegmentPeaks(rate);
    this.longPeaks = peaks.ofLong();
    this.shortPeaks = peaks.ofShort();
    this.lineHz = peaks.longLineHz();
    this.lines = new CombLines(longPeaks, lineHz);
    this.highestHz = peaks.highestHz();
    this.search = new CombSearch(highestHz, lineHz, peaks.shortLineHz());
    this.refiner = new PathRefiner(rate, peaks.hop(), highestHz);
    this.ends = new RunEnds(rate, peaks.hop(), highestHz);
    this.earlier = new EarlierSegments(framesApart, lineHz);
  }

  /** Spacing of the frames [samples]; frame i is centred at (i + 1) hops. */
  int hop() {
    return peaks.hop();
  }

  /** Highest frequency of a line that is looked at [Hz]. */
  double highestHz() {
    return highestHz;
  }

  /**
   * Lines that stood still in the segment analysed last and aren't the comb's, faint ones too [Hz].
   */
  List<Double> standing() {
    List<Double> all = new ArrayList<>(standing);
    all.addAll(faint);
    return all;
  }

  /** The same that aren't the second comb's [Hz]; none without one. */
  List<Double> standingBesideTheSecond() {
    return List.copyOf(besideTheSecond);
  }

  /** Median spacings of what else was followed in the segment analysed last [Hz]. */
  List<Double> left() {
    return List.copyOf(left);
  }

  /** Number of whole frames in so many samples. */
  int framesIn(int samples) {
    return Math.max(0, samples / peaks.hop() - 1);
  }

  /**
   * Finds the combs of a segment: the one that a fan most likely makes, and another that moves on
   * its own.
   *
   * @param audio samples [any length; zeros beyond {@code samples}]
   * @param samples how many count
   * @param lookForWander whether it still matters if the first comb wanders
   */
  Combs combs(float[] audio, int samples, boolean lookForWander) {
    int frames = framesIn(samples);
    peaks.collect(audio, frames);
    if (frames < CombFollower.SHORTEST_RUN) {
      return Combs.NONE;
    }
    List<MainsHum> mains = MainsHum.in(longPeaks, lineHz);
    List<Double> hum = all(mains, MainsHum::lines);
    faint = all(mains, MainsHum::faint);
    CombFollower follower =
        new CombFollower(search, longPeaks, lineHz, shortPeaks, peaks.shortLineHz());
    follower.takeOut(mains);
    List<Double> others = FixedLines.stillThere(longPeaks, earlier.still(), lineHz);
    follower.leaveOut(others);
    List<Followed> found = follow(follower, frames, others);
    List<CombPath> all = found.stream().map(Followed::path).toList();
    List<CombPath> paths = new ArrayList<>(all);
    paths.removeIf(each -> isMixture(each, all));
    paths.sort((a, b) -> Double.compare(worth(b), worth(a)));
    // Lines that stand still may have more evidence than a faint fan: then how each comb moves
    // decides, in every segment alike.
    boolean open = paths.size() > 1 && !livesSurely(paths.get(0));
    List<Comb> result = new ArrayList<>();
    for (CombPath each : paths) {
      boolean first = result.isEmpty();
      if (first
          || open
          || isParted(result.get(0).path(), each)
          || mayBeAnother(result.get(0), each)) {
        standing = standingBeside(each, found);
        result.add(refiner.refined(audio, each, standing, open || (first && lookForWander)));
      }
    }
    if (open) {
      result.sort((a, b) -> Double.compare(worth(b), worth(a)));
    }
    paths.stream()
        .filter(each -> !result.isEmpty() && !each.equals(result.get(0).path()))
        .filter(each -> open || each.isComb())
        .forEach(each -> left.add(each.medianHz()));
    List<Double> still = still(result);
    hideStrayed(result);
    for (int i = result.size() - 1; i > 0; i--) {
      boolean another =
          isParted(result.get(0).path(), result.get(i).path())
              || isAnother(result.get(0), result.get(i));
      if (!another) {
        result.remove(i);
      }
    }
    Combs combs = inRoles(result);
    besideTheSecond = List.of();
    if (combs.second() != null) {
      besideTheSecond = standingBeside(combs.second().path(), found, true);
      besideTheSecond.addAll(faint);
    }
    standing = hum;
    settle(combs, found, hum);
    if (combs.first() == null) {
      return combs;
    }
    CombPath told = combs.first().path();
    standing = new ArrayList<>(standingBeside(told, found));
    standing.addAll(still);
    List<Double> beside = new ArrayList<>(standing);
    beside.addAll(others);
    beside.remove(told.medianHz());
    if (CombFollower.moves(told)) {
      mains.forEach(each -> faint.addAll(each.beyond(longPeaks, lineHz, told)));
    }
    Comb chief = sharpest(audio, combs.first());
    boolean glides =
        ends.extend(
            audio,
            chief.hz(),
            chief.deviation(),
            chief.path().joined(),
            chief.path().harmonicEvidence(),
            beside);
    chief = glides ? chief.gliding() : chief;
    HeldStretches.hideOnHum(chief, hum);
    return new Combs(chief, combs.second());
  }

  /** Lines of both mains [Hz]. */
  private static List<Double> all(List<MainsHum> mains, Function<MainsHum, List<Double>> lines) {
    return new ArrayList<>(mains.stream().map(lines).flatMap(List::stream).toList());
  }

  /**
   * The first comb and the second, as they were before: the one with more evidence is first only
   * where nothing else is known.
   */
  private Combs inRoles(List<Comb> found) {
    if (found.isEmpty()) {
      return Combs.NONE;
    }
    Comb one = found.get(0);
    Comb other = found.size() > 1 ? found.get(1) : null;
    int straight = earlier.asFirst(one.searched());
    int otherWay = earlier.asSecond(one.searched());
    if (other == null && (straight >= 0 || !earlier.lives())) {
      // What is nowhere else is the first's: what was heard before may have been wrong.
      straight = Math.max(0, straight);
    } else if (other == null) {
      // A fan was heard elsewhere at the same time.
      otherWay = Math.max(0, otherWay);
    } else {
      straight += earlier.asSecond(other.searched());
      otherWay += earlier.asFirst(other.searched());
    }
    if (straight == otherWay) {
      otherWay -= earlier.pairing(levels(one), levels(other));
    }
    if (straight == otherWay && other != null && isParted(one.path(), other.path())) {
      // The fan that the path was on for longest.
      otherWay += other.path().isOf(parted.get(0)) ? 1 : 0;
    }
    return otherWay > straight ? new Combs(other, one) : new Combs(one, other);
  }

  /** Mean evidence of each multiple of a comb at rest [nat], null without one. */
  private double[] levels(Comb comb) {
    return comb == null ? null : lines.meansAtRest(comb.searched(), 0, comb.searched().length);
  }

  /**
   * Follows one path after the other, as long as what is left is worth it.
   *
   * @param others single lines that stand still, to which those that were followed are added [Hz]
   */
  private List<Followed> follow(CombFollower follower, int frames, List<Double> others) {
    List<Followed> found = new ArrayList<>();
    boolean lone = true;
    boolean[] crossings = null;
    int first = 0;
    Followed next = follower.follow();
    left.clear();
    parted = List.of();
    soughtBeside = List.of();
    while (next.counts()) {
      CombPath path = next.path();
      found.add(next);
      search.mute(path, longPeaks, shortPeaks);
      // Whether one line that stands still is told depends on what else there is.
      lone &= isLone(path);
      if (isLone(path)) {
        others.add(path.medianHz());
      }
      int tries = lone ? TRIES_WHILE_LONE : TRIES;
      StrongPeaks strong = new StrongPeaks(longPeaks, lineHz, highestHz);
      double least = CombFollower.LEAST_LEFT * frames;
      boolean crosses = false;
      if (crossings == null && !isLone(path)) {
        crossings = new CrossedPaths(lines).crossings(path);
        first = found.size() - 1;
        crosses = isAnywhere(crossings);
      }
      if (found.size() >= tries || !(lone || crosses || left(strong, path) > least)) {
        break;
      }
      soughtBeside = strong.lines();
      next = lone ? follower.follow() : follower.beyondTheShaft(path, follower.search(), highestHz);
      double score = next.path().score();
      if (score < CombFollower.LEAST_SCORE && score > LEAST_LEFT_SCORE) {
        left.add(next.path().medianHz());
      }
    }
    if (crossings != null) {
      part(found, first, crossings);
    }
    return found;
  }

  /**
   * Puts a path and what is left beside it each on one comb, if they aren't: where the path went
   * over to another, or both met and were exchanged.
   */
  private void part(List<Followed> found, int index, boolean[] crossings) {
    Followed one = found.get(index);
    CombPath path = one.path();
    boolean isBeside = index + 1 < found.size() && !isLone(found.get(index + 1).path());
    CombPath left = isBeside ? found.get(index + 1).path() : null;
    if (left == null && !isAnywhere(crossings)) {
      return;
    }
    boolean[] partings = new CrossedPaths(lines).partings(path, crossings);
    int[] sides = PathSides.of(path, crossings, partings, left, lines);
    if (Arrays.stream(sides).allMatch(side -> side == PathSides.OWN)) {
      return;
    }
    CombPath[] combs = PartedPaths.of(path, sides, left);
    CombPath own = withEvidence(combs[0]);
    CombPath other = withEvidence(combs[1]);
    if (Math.min(own.framesOn(), other.framesOn()) >= CombFollower.SHORTEST_RUN) {
      parted = List.of(own, other);
    }
    found.set(index, new Followed(own, one.standing()));
    if (isBeside) {
      found.set(index + 1, new Followed(other, found.get(index + 1).standing()));
    } else {
      found.add(index + 1, new Followed(other, one.standing()));
    }
  }

  private static boolean isAnywhere(boolean[] frames) {
    return IntStream.range(0, frames.length).anyMatch(t -> frames[t]);
  }

  private CombPath withEvidence(CombPath path) {
    return path.of(search.harmonicEvidence(longPeaks, path.spacingHz(), true));
  }

  /** How many peaks are left that call for another search; beside a fan only another comb does. */
  private int left(StrongPeaks strong, CombPath path) {
    return lives(path) ? strong.leftBeside(path.spacingHz(), earlier.beside()) : strong.left();
  }

  /** Keeps in mind what the next segment needn't find out again. */
  private void settle(Combs combs, List<Followed> found, List<Double> hum) {
    Comb chief = combs.first();
    earlier.keepLevels(levels(chief), levels(combs.second()));
    earlier.keepSecond(combs.second() == null ? new double[0] : combs.second().searched());
    if (chief == null) {
      earlier.keep(new double[0], combs.second() != null);
      return;
    }
    boolean lives = chief.motion() != CombMotion.STANDS || lives(chief.path());
    earlier.keep(chief.searched(), lives);
    if (!lives) {
      return;
    }
    List<Double> still = new ArrayList<>();
    for (Followed each : found) {
      if (each.path().isOf(chief.path())) {
        still.addAll(each.standing());
      } else if (isLone(each.path())) {
        still.add(each.path().medianHz());
      }
    }
    still.removeAll(hum);
    for (double hz : still) {
      double reach = Math.max(lineHz, CombSearch.CELL_WIDTH * hz);
      earlier.settleStill(FixedLines.place(longPeaks, hz, reach));
    }
    if (combs.second() != null) {
      earlier.settleBeside(List.of());
    } else if (!soughtBeside.isEmpty()) {
      earlier.settleBeside(soughtBeside);
    }
  }

  /** Whether a path is a rotor's: it moves, or goes on from one that did. */
  private boolean lives(CombPath path) {
    return CombFollower.moves(path) || earlier.continues(path);
  }

  /** The same, by more than noise may drive the search about one faint line. */
  private boolean livesSurely(CombPath path) {
    return earlier.continues(path) || (CombFollower.moves(path) && !path.isDoubtful());
  }

  /** Single lines that were found to stand while the chief comb doesn't [Hz]. */
  private static List<Double> still(List<Comb> combs) {
    List<Double> still = new ArrayList<>();
    for (int i = 1; i < combs.size(); i++) {
      Comb each = combs.get(i);
      boolean stands =
          each.motion() == CombMotion.STANDS && combs.get(0).motion() != CombMotion.STANDS;
      if (stands && !each.isComb() && !Double.isNaN(each.lineHz())) {
        still.add(each.lineHz());
      }
    }
    return still;
  }

  /**
   * Whether a comb is a second fan's. One line that stands still is none, however sharply it is
   * seen and however the search went to and fro about it.
   */
  private static boolean isAnother(Comb chief, Comb comb) {
    CombPath sharp = comb.path().along(comb.searched());
    return comb.isComb()
        && (comb.path().lines() >= 2 || CombFollower.moves(sharp))
        && OwnMotion.of(chief.searched(), comb.searched());
  }

  /** Whether two paths are known to be two machines', since one of them was on both. */
  private boolean isParted(CombPath one, CombPath other) {
    return parted.stream().anyMatch(one::isOf) && parted.stream().anyMatch(other::isOf);
  }

  /** Whether a path may be a second fan's beside the chief comb. */
  private static boolean mayBeAnother(Comb chief, CombPath path) {
    return path.isComb() && OwnMotion.of(chief.searched(), path.spacingHz());
  }

  private static List<Double> standingBeside(CombPath path, List<Followed> found) {
    // What rests beside a comb that rests may be its own.
    return standingBeside(path, found, CombFollower.moves(path));
  }

  private static List<Double> standingBeside(
      CombPath path, List<Followed> found, boolean restingToo) {
    List<Double> lines = new ArrayList<>();
    for (Followed each : found) {
      if (each.path().isOf(path)) {
        lines.addAll(each.standing());
      } else if (restingToo && rests(each.path()) && !SameShaft.areOne(path, each.path())) {
        double[] evidence = each.path().harmonicEvidence();
        for (int k = 1; k <= evidence.length; k++) {
          if (evidence[k - 1] > LINE_NATS) {
            lines.add(k * each.path().medianHz());
          }
        }
      }
    }
    return lines;
  }

  /** Hides where the path of one comb was on another's lines. */
  private static void hideStrayed(List<Comb> combs) {
    for (int i = 0; i < combs.size(); i++) {
      for (int j = 0; j < combs.size(); j++) {
        Comb comb = combs.get(i);
        int[][] stretches =
            i == j ? new int[0][] : StrayedStretches.of(comb.hz(), combs.get(j).path().spacingHz());
        for (int[] stretch : stretches) {
          Arrays.fill(comb.hz(), stretch[0], stretch[1], Double.NaN);
          Arrays.fill(comb.searched(), stretch[0], stretch[1], Double.NaN);
        }
        combs.set(i, comb.withoutChanges(2 * stretches.length));
      }
    }
  }

  /** Whether a path is a comb that rests all through the segment. */
  private static boolean rests(CombPath path) {
    return path.isComb()
        && !CombFollower.moves(path)
        && path.framesOn() > RESTING_SHARE * path.spacingHz().length;
  }

  /** The comb by the line of its shaft that tells the speed most sharply. */
  private Comb sharpest(float[] audio, Comb comb) {
    boolean single = isLone(comb.path()) || comb.path().isDoubtful();
    if (single && comb.motion() == CombMotion.STANDS) {
      return comb;
    }
    SharperLines sharper = new SharperLines(longPeaks, lineHz, highestHz);
    double medianHz = comb.path().medianHz();
    for (double ratio : sharper.ratios(comb.hz(), standing)) {
      if (earlier.isNotTheShafts(ratio * medianHz)) {
        continue;
      }
      Comb line = refiner.refined(audio, along(comb, ratio), standing, true);
      boolean wanders = line.motion() != CombMotion.STANDS;
      SharperLines.Verdict verdict =
          SharperLines.judge(comb.hz(), comb.deviation(), line.hz(), line.deviation(), wanders);
      if (verdict != SharperLines.Verdict.NOT_THE_SHAFTS) {
        return verdict == SharperLines.Verdict.SHARPER ? line.of(comb) : comb;
      }
      earlier.settleNotTheShafts(ratio * medianHz);
    }
    return comb;
  }

  /** The path of a line that goes along with a comb. */
  private CombPath along(Comb comb, double ratio) {
    CombPath path = comb.path();
    double[] hz = new double[comb.hz().length];
    for (int i = 0; i < hz.length; i++) {
      hz[i] = ratio * (Double.isNaN(comb.hz()[i]) ? path.spacingHz()[i] : comb.hz()[i]);
      hz[i] = hz[i] < highestHz ? hz[i] : Double.NaN;
    }
    double[] evidence = search.harmonicEvidence(longPeaks, hz, true);
    return new CombPath(
        hz, path.joined(), path.confidence(), path.score(), evidence, path.changes());
  }

  /**
   * What moves is a machine; what stands still may be anything, and one line of that least of all
   * unless it suits what is known.
   */
  private double worth(CombPath path) {
    if (isLone(path)) {
      return loneWorth(path);
    }
    return lives(path) ? 3.0 * path.score() : path.score();
  }

  private double worth(Comb comb) {
    if (comb.motion() != CombMotion.STANDS) {
      return 3.0 * comb.path().score();
    }
    return comb.isComb() ? worth(comb.path()) : loneWorth(comb.path());
  }

  private double loneWorth(CombPath path) {
    double suits = hints.taggedHz() == null ? hints.suits(path.medianHz()) : 1.0;
    return path.score() / 3.0 * Math.min(3.0, suits);
  }

  /**
   * Whether a path leaps to and fro between what a comb with more evidence has left, as between the
   * lines of two fans: its motion is no rotor's.
   */
  private static boolean isMixture(CombPath path, List<CombPath> all) {
    boolean mixture = false;
    for (CombPath comb : all) {
      boolean unbroken = comb.changes() <= CombFollower.MOST_CHANGES && comb.isComb();
      mixture |=
          unbroken && comb.score() > path.score() && path.changes() > CombFollower.MOST_CHANGES;
    }
    return mixture;
  }

  /** Whether a path is one line that stands still. */
  private static boolean isLone(CombPath path) {
    return !path.isComb() && !CombFollower.moves(path);
  }
}
