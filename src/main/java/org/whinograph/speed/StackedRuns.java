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
   */
  record Segment(float[] audio, int from, int to, double highestHz, List<Double> standing) {}

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
   * and so is one whose multiple is open.
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
    for (int[] run : runs(searched, path, keepFrom, Math.min(segment.to(), searched.length))) {
      int from = run[0];
      int to = run[1];
      if (stack == null) {
        stack = new OrderStack(windows, searched[(from + to) / 2], STACK_WINDOW_S);
      } else if (from > keepFrom || keepFrom == 0) {
        boolean meets = false;
        boolean open = false;
        if (to - from >= FEWEST_IN_RUN) {
          OrderStack own = OrderStack.ofLines(windows, searched[(from + to) / 2], STACK_WINDOW_S);
          stack(own, segment, searched, from, Math.min(to, from + ENOUGH_OF_RUN));
          double apart = searched[(from + to) / 2] / linked.typicalHz();
          RunMultiples.Match match = RunMultiples.match(stack.lines(), own.lines(), apart);
          meets = match.isClear();
          open = match.isOpen();
          if (match.factor() != 1.0) {
            rescale(hz, searched, from, to, match.factor(), settled);
          }
        }
        if (open || (!meets && !linked.suits(from, to))) {
          rescale(hz, searched, from, to, Double.NaN, settled);
          continue;
        }
      }
      linked.add(from, to);
      stack(stack, segment, searched, from, to);
    }
    lowestHz = linked.lowestHz();
    highestHz = linked.highestHz();
  }

  /** First frame and end of each run, the longest first. */
  private static List<int[]> runs(double[] searched, CombPath path, int keepFrom, int last) {
    List<int[]> runs = new ArrayList<>();
    int from = keepFrom;
    while (from < last) {
      int to = from + 1;
      if (!Double.isNaN(searched[from])) {
        while (to < last && !Double.isNaN(searched[to]) && path.joined()[to]) {
          to++;
        }
        runs.add(new int[] {from, to});
      }
      from = to;
    }
    runs.sort(Comparator.comparingInt(run -> run[0] - run[1]));
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
   * @param settled frames of which that is done: what lies between two runs leads from one to the
   *     other
   */
  private static void rescale(
      double[] hz, double[] searched, int from, int to, double factor, boolean[] settled) {
    int first = from;
    while (first > 0 && !Double.isNaN(hz[first - 1]) && Double.isNaN(searched[first - 1])) {
      first--;
    }
    int last = to;
    while (last < hz.length && !Double.isNaN(hz[last]) && Double.isNaN(searched[last])) {
      last++;
    }
    for (int i = first; i < last; i++) {
      double own = settled[i] ? 1.0 : factor;
      hz[i] *= own;
      searched[i] *= own;
      settled[i] = true;
    }
  }
}
