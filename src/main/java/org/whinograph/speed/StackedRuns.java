package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;

/**
 * One comb through the segments of a recording: its runs, put on one multiple of the shaft's
 * frequency and stacked by order. Not safe for use by several threads.
 */
final class StackedRuns {
  private static final double STACK_WINDOW_S = 4.0;

  /** A shorter run shows too few of its orders to compare them. */
  private static final int FEWEST_IN_RUN = 16;

  /** So many frames of a run show its orders. */
  private static final int ENOUGH_OF_RUN = 80;

  private final OrderWindows windows;
  private final int hop;
  private final double rate;
  private OrderStack stack;
  private double lowestHz = Double.NaN;
  private double highestHz = Double.NaN;

  /**
   * A segment of the recording.
   *
   * @param audio samples
   * @param from first frame that no segment before has; 0 in the first segment only
   * @param to end of the frames that this segment is to tell
   * @param highestHz highest frequency of a line [Hz]
   * @param standing lines that stand still in it and aren't the comb's [Hz]
   * @param goesOn whether the comb is known to go on in the first of those frames
   * @param oneOfTwo whether there is another comb that a run may be of
   * @param other spacing of that comb in each frame [Hz], NaN where unknown; null if it isn't heard
   */
  record Segment(
      float[] audio,
      int from,
      int to,
      double highestHz,
      List<Double> standing,
      boolean goesOn,
      boolean oneOfTwo,
      double[] other) {}

  /**
   * Prepares.
   *
   * @param windows windows of all stacks of the recording
   * @param hop distance of the frames [samples]
   * @param rate rate of the samples [Hz]
   */
  StackedRuns(OrderWindows windows, int hop, double rate) {
    this.windows = windows;
    this.hop = hop;
    this.rate = rate;
  }

  /** What was stacked; null without a run. */
  OrderStack stack() {
    return stack;
  }

  /**
   * Stacks the runs of a comb, the longest first, and puts those that are on another multiple on
   * the ones before. A run whose speed doesn't suit theirs is hidden unless its lines say the same,
   * and so is one whose multiple is open or that lacks a clear line of theirs. Where there are two
   * combs, what neither goes on at once nor begins while the other is elsewhere is either's.
   *
   * @param segment the segment
   * @param hz spacing by frame, changed in such runs [Hz]
   * @param searched the same without what was followed beyond the runs [Hz]
   * @param path the path that it came from
   */
  void add(Segment segment, double[] hz, double[] searched, CombPath path) {
    int keepFrom = segment.from();
    boolean[] settled = new boolean[hz.length];
    LinkedRuns linked = new LinkedRuns(searched, hop / rate, lowestHz, highestHz);
    List<Run> unlinked = new ArrayList<>();
    for (Run run : runs(searched, path, keepFrom, Math.min(segment.to(), searched.length))) {
      boolean isNew = run.from() > keepFrom || !segment.goesOn();
      if (stack == null) {
        stack = new OrderStack(windows, searched[run.middle()], STACK_WINDOW_S);
        take(segment, searched, run, linked);
      } else if (!isNew || isOwn(segment, hz, searched, run, linked, settled)) {
        takeOwnPart(segment, hz, searched, run, linked, settled);
      } else {
        unlinked.add(run);
      }
    }
    boolean more = segment.oneOfTwo();
    while (more) {
      // Each that is linked may have another beside it.
      List<Run> next =
          unlinked.stream()
              .filter(run -> linked.goesOn(run.from(), run.to(), segment.other()))
              .toList();
      more = !next.isEmpty();
      unlinked.removeAll(next);
      next.forEach(run -> takeOwnPart(segment, hz, searched, run, linked, settled));
    }
    unlinked.forEach(run -> rescale(hz, searched, run, Double.NaN, settled));
    lowestHz = linked.lowestHz();
    highestHz = linked.highestHz();
  }

  private void take(Segment segment, double[] searched, Run run, LinkedRuns linked) {
    linked.add(run.from(), run.to());
    stack(stack, segment, searched, run.from(), run.to());
  }

  /** Takes a run up to where it may have gone over to another comb; the rest is hidden. */
  private void takeOwnPart(
      Segment segment,
      double[] hz,
      double[] searched,
      Run run,
      LinkedRuns linked,
      boolean[] settled) {
    int end = segment.oneOfTwo() ? ownEnd(segment, searched, run) : run.to();
    if (end < run.to()) {
      rescale(hz, searched, run.since(end), Double.NaN, settled);
    }
    take(segment, searched, end < run.to() ? run.until(end) : run, linked);
  }

  /**
   * Whether a run is known to be the same shaft's as those before; if its comb is on another
   * multiple it is put on theirs. One that is known to be another's is hidden.
   */
  private boolean isOwn(
      Segment segment,
      double[] hz,
      double[] searched,
      Run run,
      LinkedRuns linked,
      boolean[] settled) {
    boolean meets = false;
    if (run.to() - run.from() >= FEWEST_IN_RUN) {
      double apart = searched[run.middle()] / linked.typicalHz();
      RunMultiples.Match match = match(segment, searched, run.from(), run.to(), apart);
      if (match.isOpen() || match.isAnothers()) {
        rescale(hz, searched, run, Double.NaN, settled);
        return false;
      }
      meets = match.isClear();
      if (match.factor() != 1.0) {
        rescale(hz, searched, run, match.factor(), settled);
      }
    }
    return meets
        || (segment.oneOfTwo() && linked.goesOn(run.from(), run.to(), segment.other()))
        || (linked.suits(run.from(), run.to())
            && (!segment.oneOfTwo()
                || linked.secondIsElsewhere(run.from(), run.to(), segment.other())));
  }

  /** The lines of the first frames of a run, laid over those before. */
  private RunMultiples.Match match(
      Segment segment, double[] searched, int from, int to, double apart) {
    OrderStack own = OrderStack.ofLines(windows, searched[(from + to) / 2], STACK_WINDOW_S);
    stack(own, segment, searched, from, Math.min(to, from + ENOUGH_OF_RUN));
    return RunMultiples.match(stack.lines(), own.lines(), apart);
  }

  /**
   * Frame up to which a run is on the shaft of those before: where two combs met, the path may have
   * gone on along the other.
   */
  private int ownEnd(Segment segment, double[] searched, Run run) {
    int end = run.to();
    while (end - run.from() >= 2 * FEWEST_IN_RUN) {
      int from = Math.max(run.from(), end - ENOUGH_OF_RUN);
      if (!match(segment, searched, from, end, 1.0).isAnothers()) {
        return end;
      }
      end = from;
    }
    return end;
  }

  /**
   * A run of known frames.
   *
   * @param from first frame
   * @param to end of those that the segment is to tell
   * @param last end of the run
   */
  private record Run(int from, int to, int last) {
    int middle() {
      return (from + to) / 2;
    }

    Run until(int end) {
      return new Run(from, end, end);
    }

    Run since(int first) {
      return new Run(first, to, last);
    }
  }

  /** The runs, the longest first. */
  private static List<Run> runs(double[] searched, CombPath path, int keepFrom, int end) {
    List<Run> runs = new ArrayList<>();
    int from = keepFrom;
    while (from < end) {
      int to = from + 1;
      if (!Double.isNaN(searched[from])) {
        while (to < searched.length && !Double.isNaN(searched[to]) && path.joined()[to]) {
          to++;
        }
        runs.add(new Run(from, Math.min(end, to), to));
      }
      from = to;
    }
    runs.sort(Comparator.comparingInt(run -> run.from() - run.to()));
    return runs;
  }

  private void stack(OrderStack target, Segment segment, double[] hz, int from, int to) {
    if (to - from < 2) {
      return;
    }
    double[] times = new double[hz.length];
    for (int i = 0; i < hz.length; i++) {
      times[i] = (i + 1.0) * hop;
    }
    SpacingRun run = new SpacingRun(times, hz, from, to);
    target.add(segment.audio(), run, segment.highestHz(), segment.standing());
  }

  /**
   * Multiplies a run by a factor, NaN to hide it, and of what was followed beyond runs the frames
   * that lead to it or from it.
   *
   * @param settled frames beyond runs of which that is done: what lies between two runs leads from
   *     one to the other
   */
  private static void rescale(
      double[] hz, double[] searched, Run run, double factor, boolean[] settled) {
    int first = run.from();
    while (first > 0 && !Double.isNaN(hz[first - 1]) && Double.isNaN(searched[first - 1])) {
      first--;
    }
    int last = run.last();
    while (last < hz.length && !Double.isNaN(hz[last]) && Double.isNaN(searched[last])) {
      last++;
    }
    for (int i = first; i < last; i++) {
      boolean isOfRun = i >= run.from() && i < run.last();
      double own = isOfRun || !settled[i] ? factor : 1.0;
      hz[i] *= own;
      searched[i] *= own;
      settled[i] |= !isOfRun;
    }
  }
}
