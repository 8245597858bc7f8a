package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import org.whinograph.signal.PowerTransform;
import org.whinograph.signal.Quantile;
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

  private static final double LEAST_CONFIDENCE = 0.9;
  private static final double CERTAIN = 0.99;

  /**
   * Least carrier over the noise in 1 Hz, of the harmonics together [1]: 10.5 dB. Estimates scatter
   * by 1 dB, so that a carrier of 12 dB is kept.
   */
  private static final double LEAST_CARRIER = Math.pow(10.0, 1.05);

  /** Frames to either side over which that is averaged. */
  private static final int AROUND = 12;

  /**
   * A carrier that falls to this part of a run's median within a second is lost: 8 dB (judgement).
   */
  private static final double MOST_FALLEN = Math.pow(10.0, -0.8);

  private static final int SOON = 3;

  private static final int TRIES = 2;

  /** The same while nothing but single lines that stand still is found. */
  private static final int TRIES_WHILE_LONE = 4;

  /** Share of a segment's frames in which a comb that rests is known at least [1]. */
  private static final double RESTING_SHARE = 0.9;

  /** Mean evidence of a line of such a comb [nat]. */
  private static final double LINE_NATS = 1.5;

  /** A line that stands still is found to move by less, if it is faint [1]. */
  private static final double DOUBTFUL_MOVEMENT = 0.02;

  private final double rate;
  private final SpeedHints hints;
  private final int hop;
  private final double highestHz;
  private final int longLength;
  private final int shortLength;
  private final PowerTransform longTransform;
  private final PowerTransform shortTransform;
  private final Whitener longWhitener;
  private final Whitener shortWhitener;
  private final float[] longWindow;
  private final float[] shortWindow;
  private final float[][] longPowers;
  private final float[][] shortPowers;
  private final int[] starts;
  private final int[] shortStarts;
  private final PeakList longPeaks = new PeakList();
  private final PeakList shortPeaks = new PeakList();
  private final CombSearch search;
  private final CombRefiner refiner;
  private final RunEnds ends;
  private final EarlierSegments earlier;
  private List<Double> standing = List.of();
  private List<Double> faint = List.of();
  private List<Double> besideTheSecond = List.of();
  private final List<Double> left = new ArrayList<>();

  /** Lines that stand still beside the chief comb when another was sought [Hz]. */
  private List<Double> soughtBeside = List.of();

  /**
   * A comb of the segment.
   *
   * @param hz mean spacing over each frame [Hz], NaN where unknown
   * @param searched the same without the run-downs and run-ups that were followed outward: what
   *     tells a fan from other sounds [Hz]
   * @param deviation relative standard deviation [1]
   * @param motion how it moves
   * @param path the path it came from
   * @param isComb whether there is more to it than one line that stands still
   * @param isSharper whether it is a line that is followed because it tells the speed most sharply
   */
  record Comb(
      double[] hz,
      double[] searched,
      double[] deviation,
      CombMotion motion,
      CombPath path,
      boolean isComb,
      boolean isSharper) {
    /** Median frequency of its clearest line [Hz], NaN if nothing is known. */
    double lineHz() {
      double[] known = Arrays.stream(hz).filter(each -> !Double.isNaN(each)).toArray();
      double[] evidence = path.harmonicEvidence();
      int clearest = 0;
      for (int m = 1; m < evidence.length; m++) {
        clearest = evidence[m] > evidence[clearest] ? m : clearest;
      }
      return known.length == 0 ? Double.NaN : (clearest + 1) * Quantile.median(known, known.length);
    }

    /** The same comb, known to glide. */
    Comb gliding() {
      return new Comb(hz, searched, deviation, CombMotion.GLIDES, path, isComb, isSharper);
    }

    /** The same comb, less so many changes of its path, which were another's. */
    Comb withoutChanges(int count) {
      CombPath own = path.withChanges(Math.max(0, path.changes() - count));
      return count == 0 ? this : new Comb(hz, searched, deviation, motion, own, isComb, isSharper);
    }

    /** The same, one line of a shaft that more is heard of, whose comb is given. */
    Comb of(Comb shaft) {
      CombPath told = motion == CombMotion.GLIDES ? path.withChanges(SharperLines.leaps(hz)) : path;
      return new Comb(hz, searched, deviation, motion, told, isComb || shaft.isComb(), true);
    }
  }

  /**
   * Prepares.
   *
   * @param rate rate of the audio [Hz]
   * @param hints what is known beforehand
   * @param framesApart by how many frames segments are apart
   */
  SegmentAnalysis(double rate, SpeedHints hints, int framesApart) {
    this.rate = rate;
    this.hints = hints;
    int length = 1024;
    while (length < 0.38 * rate) {
      length *= 2;
    }
    this.longLength = length;
    this.shortLength = length / 4;
    this.hop = length / 2;
    this.highestHz = 0.41 * rate;
    this.longTransform = new PowerTransform(longLength, 2);
    this.shortTransform = new PowerTransform(shortLength, 4);
    this.longWhitener = new Whitener(longLength / 2, 32);
    this.shortWhitener = new Whitener(shortLength / 2, 16);
    this.longWindow = hann(longLength);
    this.shortWindow = hann(shortLength);
    this.longPowers = new float[longTransform.batch()][longLength / 2];
    this.shortPowers = new float[shortTransform.batch()][shortLength / 2];
    this.starts = new int[longTransform.batch()];
    this.shortStarts = new int[shortTransform.batch()];
    this.search = new CombSearch(highestHz, rate / longLength, rate / shortLength);
    this.refiner = new CombRefiner(rate, hop, highestHz);
    this.ends = new RunEnds(rate, hop, highestHz);
    this.earlier = new EarlierSegments(framesApart, rate / longLength);
  }

  private static float[] hann(int length) {
    float[] window = new float[length];
    for (int i = 0; i < length; i++) {
      window[i] = (float) (0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length));
    }
    return window;
  }

  /** Spacing of the frames [samples]; frame i is centred at (i + 1) hops. */
  int hop() {
    return hop;
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
    return Math.max(0, samples / hop - 1);
  }

  /**
   * Finds the combs of a segment, the one that a fan most likely makes first.
   *
   * @param audio samples [any length; zeros beyond {@code samples}]
   * @param samples how many count
   * @param lookForWander whether it still matters if the first comb wanders
   */
  List<Comb> combs(float[] audio, int samples, boolean lookForWander) {
    int frames = framesIn(samples);
    collectPeaks(audio, frames);
    if (frames < CombFollower.SHORTEST_RUN) {
      return List.of();
    }
    double lineHz = rate / longLength;
    List<Double> hum = FixedLines.hum(longPeaks, lineHz);
    faint = FixedLines.faintHum(longPeaks, lineHz);
    CombFollower follower =
        new CombFollower(search, longPeaks, lineHz, shortPeaks, rate / shortLength);
    follower.takeOut(hum);
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
      if (first || open || mayBeAnother(result.get(0), each)) {
        standing = standingBeside(each, found);
        result.add(refined(audio, each, open || (first && lookForWander)));
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
      if (!isAnother(result.get(0), result.get(i))) {
        result.remove(i);
      }
    }
    besideTheSecond = List.of();
    if (result.size() > 1) {
      besideTheSecond = standingBeside(result.get(1).path(), found, true);
      besideTheSecond.addAll(faint);
    }
    standing = hum;
    settle(result, found, hum);
    if (!result.isEmpty()) {
      CombPath told = result.get(0).path();
      standing = new ArrayList<>(standingBeside(told, found));
      standing.addAll(still);
      List<Double> beside = new ArrayList<>(standing);
      beside.addAll(others);
      beside.remove(told.medianHz());
      if (CombFollower.moves(told)) {
        faint.addAll(FixedLines.humBeyond(longPeaks, lineHz, faint, told));
      }
      result.set(0, sharpest(audio, result.get(0)));
      Comb chief = result.get(0);
      boolean glides =
          ends.extend(
              audio,
              chief.hz(),
              chief.deviation(),
              chief.path().joined(),
              chief.path().harmonicEvidence(),
              beside);
      if (glides) {
        result.set(0, chief.gliding());
      }
      HeldStretches.hideOnHum(result.get(0), hum);
    }
    return result;
  }

  /**
   * Follows one path after the other, as long as what is left is worth it.
   *
   * @param others single lines that stand still, to which those that were followed are added [Hz]
   */
  private List<Followed> follow(CombFollower follower, int frames, List<Double> others) {
    double lineHz = rate / longLength;
    List<Followed> found = new ArrayList<>();
    boolean lone = true;
    Followed next = follower.follow();
    left.clear();
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
      StrongPeaks peaks = new StrongPeaks(longPeaks, lineHz, highestHz);
      double least = CombFollower.LEAST_LEFT * frames;
      if (found.size() >= tries || !(lone || left(peaks, path) > least)) {
        break;
      }
      soughtBeside = peaks.lines();
      next = lone ? follower.follow() : follower.beyondTheShaft(path, follower.search(), highestHz);
      double score = next.path().score();
      if (score < CombFollower.LEAST_SCORE && score > LEAST_LEFT_SCORE) {
        left.add(next.path().medianHz());
      }
    }
    return found;
  }

  /** How many peaks are left that call for another search; beside a fan only another comb does. */
  private int left(StrongPeaks peaks, CombPath path) {
    return lives(path) ? peaks.leftBeside(path.spacingHz(), earlier.beside()) : peaks.left();
  }

  /** Keeps in mind what the next segment needn't find out again. */
  private void settle(List<Comb> result, List<Followed> found, List<Double> hum) {
    if (result.isEmpty()) {
      earlier.keep(new double[0], false);
      return;
    }
    Comb chief = result.get(0);
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
      double reach = Math.max(rate / longLength, CombSearch.CELL_WIDTH * hz);
      earlier.settleStill(FixedLines.place(longPeaks, hz, reach));
    }
    if (result.size() > 1) {
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
    return earlier.continues(path) || (CombFollower.moves(path) && !isDoubtful(path));
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
    boolean single = isLone(comb.path()) || isDoubtful(comb.path());
    if (single && comb.motion() == CombMotion.STANDS) {
      return comb;
    }
    SharperLines lines = new SharperLines(longPeaks, rate / longLength, highestHz);
    double medianHz = comb.path().medianHz();
    for (double ratio : lines.ratios(comb.hz(), standing)) {
      if (earlier.isNotTheShafts(ratio * medianHz)) {
        continue;
      }
      Comb line = refined(audio, along(comb, ratio), true);
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

  /** Whether a path is one line that moves by no more than noise may drive the search about. */
  private static boolean isDoubtful(CombPath path) {
    return path.lines() < 2 && path.movement() < DOUBTFUL_MOVEMENT;
  }

  private void collectPeaks(float[] audio, int frames) {
    longPeaks.clear();
    shortPeaks.clear();
    for (int t = 0; t < frames; t += starts.length) {
      for (int i = 0; i < starts.length; i++) {
        starts[i] = Math.min(t + i, frames - 1) * hop;
      }
      longTransform.powers(audio, starts, longWindow, longPowers);
      for (int i = 0; i < starts.length && t + i < frames; i++) {
        addPeaks(longPeaks, longPowers[i], longWhitener, longLength);
      }
    }
    int shortHop = shortLength / 2;
    for (int t = 0; t < frames; t++) {
      for (int s = 0; s < shortStarts.length; s++) {
        shortStarts[s] = t * hop + hop - shortLength / 2 + (2 * s - 3) * shortHop / 2;
      }
      shortTransform.powers(audio, shortStarts, shortWindow, shortPowers);
      for (float[] powers : shortPowers) {
        addPeaks(shortPeaks, powers, shortWhitener, shortLength);
      }
    }
  }

  private void addPeaks(PeakList peaks, float[] power, Whitener whitener, int length) {
    power[0] = 0f;
    if (whitener.whiten(power)) {
      peaks.addFrame(power, length / 2, rate / length, CombSearch.LOWEST_HZ, highestHz);
    } else {
      peaks.addEmptyFrame();
    }
  }

  private Comb refined(float[] audio, CombPath path, boolean lookForWander) {
    int frames = path.spacingHz().length;
    double[] hz = new double[frames];
    double[] deviation = new double[frames];
    double[] strength = new double[frames];
    double[] windowS = new double[frames];
    Arrays.fill(hz, Double.NaN);
    CombRefiner.Refined out = new CombRefiner.Refined(hz, deviation, strength, windowS);
    boolean glides = false;
    int balance = 0;
    int from = 0;
    while (from < frames) {
      int to = path.runEnd(from);
      if (!Double.isNaN(path.spacingHz()[from])) {
        double[] coarse = path.spacingHz();
        CombMotion motion =
            refiner.refine(
                audio,
                coarse,
                from,
                to,
                path.harmonicEvidence(),
                standing,
                lookForWander && !glides,
                out);
        glides |= motion == CombMotion.GLIDES;
        balance += motion == CombMotion.STANDS ? from - to : to - from;
        hideThin(out, from, to);
        hideEnds(out, from, to, frames);
      }
      from = to;
    }
    hideDoubtful(path.confidence(), hz);
    if (glides && isDoubtful(path)) {
      // A glide through what was hidden again is the noise's.
      glides = CombMotion.glides(Arrays.stream(hz).map(Math::log).toArray(), deviation);
    }
    CombMotion wanders = balance > 0 ? CombMotion.WANDERS : CombMotion.STANDS;
    CombMotion motion = glides ? CombMotion.GLIDES : wanders;
    boolean stands = lookForWander && motion == CombMotion.STANDS && isDoubtful(path);
    return new Comb(hz, hz.clone(), deviation, motion, path, path.isComb() && !stands, false);
  }

  /**
   * Hides what the path isn't sure of, and from there on to where it is as good as certain: between
   * noise and the fan the path is neither here nor there.
   */
  private static void hideDoubtful(double[] confidence, double[] hz) {
    boolean[] doubtful = new boolean[hz.length];
    boolean before = false;
    boolean after = false;
    for (int i = 0; i < hz.length; i++) {
      int back = hz.length - 1 - i;
      before = confidence[i] < (before ? CERTAIN : LEAST_CONFIDENCE);
      after = confidence[back] < (after ? CERTAIN : LEAST_CONFIDENCE);
      doubtful[i] |= before;
      doubtful[back] |= after;
    }
    for (int i = 0; i < hz.length; i++) {
      if (doubtful[i]) {
        hz[i] = Double.NaN;
      }
    }
  }

  /** The first and the last frame of a run hold some of what came before or after it. */
  private static void hideEnds(CombRefiner.Refined refined, int from, int to, int frames) {
    if (from > 0) {
      refined.hz()[from] = Double.NaN;
    }
    if (to < frames) {
      refined.hz()[to - 1] = Double.NaN;
    }
  }

  /** Where the lines hardly stand out of the noise, nothing is claimed. */
  private static void hideThin(CombRefiner.Refined refined, int from, int to) {
    double[] carrier = new double[to - from];
    for (int i = from; i < to; i++) {
      // A Hann window gathers 2/3 of its length: ratio = C/N0 · 2T/3.
      carrier[i - from] = Math.max(0.0, refined.strength()[i]) * 1.5 / refined.windowS()[i];
    }
    double usual = Quantile.median(carrier, carrier.length);
    double lost = Math.min(LEAST_CARRIER, MOST_FALLEN * usual);
    for (int i = 0; i < carrier.length; i++) {
      // Where a fan stops, the path may go on along noise for a while: then nothing is left from
      // one frame to the next.
      double before = mean(carrier, i - SOON, i + 1);
      double after = mean(carrier, i, i + SOON + 1);
      if (mean(carrier, i - AROUND, i + AROUND + 1) < LEAST_CARRIER
          || Math.min(before, after) < lost) {
        refined.hz()[from + i] = Double.NaN;
      }
    }
  }

  private static double mean(double[] values, int from, int to) {
    int first = Math.max(0, from);
    int last = Math.min(values.length, to);
    double sum = 0.0;
    for (int i = first; i < last; i++) {
      sum += values[i];
    }
    return sum / (last - first);
  }
}
