package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;

/**
 * The path that a search read back, put right: where it leaps to a multiple of its spacing, or away
 * to another line and back, the shaft has not. Works in place on the cells and on where they are
 * joined.
 *
 * <p>Not safe for use by several threads.
 */
final class SearchedPath {
  /** Frames to either side of a leap in which the comb is looked for where it was. */
  private static final int LOOK_FRAMES = 8;

  /** What it must have there for the leap to be undone [nat a frame]. */
  private static final double LEAP_NATS = 2.0;

  /** A leap is by a ratio if it is this near to it [cells]. */
  private static final int LEAP_CELLS = 6;

  /** By so many frames a path may lag where a ramp sets in. */
  private static final int MOST_LAG_FRAMES = 3;

  /** A comb that moves no more than this from frame to frame is at rest [cells]. */
  private static final int REST_CELLS = 2;

  /** A run so many times as short as its neighbours together is a moment (judgement). */
  private static final int MOMENT = 12;

  /** And it is no longer than this (judgement) [frames]. */
  private static final int LONGEST_MOMENT = 8;

  /** From one rest to another it has stepped if they lie further apart than this [cells]. */
  private static final int STEP_CELLS = 6;

  /** A gap between two runs longer than this may hold anything [frames]. */
  private static final int GAP_FRAMES = 4;

  /** Greatest move from one frame to the next that is no leap [cells]. */
  private static final int MOST_MOVED = 32;

  /** Evidence that a comb must have in a run that is given up for it [nat], and over the run's. */
  private static final double LEAST_ALONG = 8.0;

  private static final double AS_GOOD = 0.5;

  /** Share of a comb's evidence that it must have at d parts of n where it leaps to them [1]. */
  private static final double NEARLY = 0.75;

  /** How far from where it was a comb is sought beyond the end of a run [cells]. */
  private static final int FOLLOW_BAND = 24;

  private final float[][] emission;
  private final double[] offEmission;
  private final int cells;
  private final int[] path;
  private final boolean[] joined;

  /**
   * Takes a path.
   *
   * @param emission likelihood of a comb by frame and cell, over the greatest of the frame
   * @param offEmission likelihood of no comb by frame, over the same
   * @param cells cells that count
   * @param path cell by frame, −1 for no comb; put right
   * @param joined whether a frame goes on from the one before without a jump; put right
   */
  SearchedPath(float[][] emission, double[] offEmission, int cells, int[] path, boolean[] joined) {
    this.emission = emission;
    this.offEmission = offEmission;
    this.cells = cells;
    this.path = path;
    this.joined = joined;
  }

  /** Leaps, and steps out of one rest into another, within what the path holds for one comb. */
  int changes() {
    int count = 0;
    for (int t = 2; t + 1 < path.length; t++) {
      if (path[t - 2] < 0 || path[t - 1] < 0 || path[t] < 0 || path[t + 1] < 0) {
        continue;
      }
      boolean atRest =
          Math.abs(path[t - 1] - path[t - 2]) <= REST_CELLS
              && Math.abs(path[t + 1] - path[t]) <= REST_CELLS;
      if (!joined[t] || (atRest && Math.abs(path[t] - path[t - 1]) > STEP_CELLS)) {
        count++;
      }
    }
    return count;
  }

  /**
   * Bridges moments: a comb that is left for a voice or a knock, and is there again as it was, has
   * gone on meanwhile.
   */
  void bridgeMoments() {
    int before = 0;
    int from = runEnd(0);
    while (from < path.length) {
      int to = runEnd(from);
      if (to < path.length && isMoment(before, from, to)) {
        Arrays.fill(path, from, to, path[from - 1]);
        Arrays.fill(joined, from, to + 1, true);
        from = runEnd(before);
      } else {
        before = from;
        from = to;
      }
    }
  }

  /** Whether a run is short beside those before and after it, which are at the same place. */
  private boolean isMoment(int before, int from, int to) {
    int others = from - before + runEnd(to) - to;
    return path[from - 1] >= 0
        && path[from] >= 0
        && path[to] >= 0
        && Math.abs(path[to] - path[from - 1]) <= REST_CELLS
        && to - from <= LONGEST_MOMENT
        && others > MOMENT * (to - from);
  }

  /**
   * Undoes changes of multiple. Where the path leaps from one frame to the next to n times or an
   * n-th of its spacing, the shaft has not: the search has taken up the shaft's own comb instead of
   * the blade-pass comb, or the other way. All stretches so joined are put on the multiple that
   * fits them best together.
   */
  void keepOneMultiple() {
    int frames = path.length;
    int from = 0;
    while (from < frames) {
      if (path[from] < 0) {
        from++;
        continue;
      }
      int[] label = new int[frames];
      List<Integer> labels = new ArrayList<>(List.of(0));
      int to = from + 1;
      int current = 0;
      while (to < frames && path[to] >= 0) {
        if (!joined[to]) {
          int leap = leapCells(to, from);
          if (leap == 0) {
            break;
          }
          joined[to] = true;
          current += leap;
          if (!labels.contains(current)) {
            labels.add(current);
          }
        }
        label[to] = current;
        to++;
      }
      int best = likeliest(labels, label, from, to);
      for (int t = from; t < to; t++) {
        path[t] = Math.max(0, Math.min(cells - 1, path[t] - label[t] + best));
      }
      from = to;
    }
  }

  /** Which of the multiples, as leaps from the first, fits all frames of a stretch best. */
  private int likeliest(List<Integer> labels, int[] label, int from, int to) {
    int best = 0;
    double bestScore = Double.NEGATIVE_INFINITY;
    for (int candidate : labels) {
      double score = 0.0;
      for (int t = from; t < to; t++) {
        score += Math.log(around(emission[t], path[t] - label[t] + candidate, 2));
      }
      if (score > bestScore) {
        bestScore = score;
        best = candidate;
      }
    }
    return best;
  }

  /**
   * Undoes visits to other lines. A shaft doesn't leap and leap back: where one run ends, the next
   * begins elsewhere and the one after that is where the first was, the one between isn't the
   * comb's. From the strongest run on, such a neighbour is given up for the way the comb goes on if
   * that way has nearly as much evidence.
   */
  void keepOneComb() {
    boolean[] done = new boolean[path.length];
    while (true) {
      int[] run = strongestRun(done);
      if (run == null) {
        return;
      }
      Arrays.fill(done, run[0], run[1], true);
      int edge = run[1] - 1;
      while (edge >= 0) {
        edge = goOn(done, edge, 1);
      }
      edge = run[0];
      while (edge >= 0) {
        edge = goOn(done, edge, -1);
      }
    }
  }

  private int[] strongestRun(boolean[] done) {
    int[] best = null;
    double most = 0.0;
    int from = 0;
    while (from < path.length) {
      int to = runEnd(from);
      if (path[from] >= 0 && !done[from]) {
        double score = 0.0;
        for (int t = from; t < to; t++) {
          score += nats(t, path[t]);
        }
        if (score > most) {
          most = score;
          best = new int[] {from, to};
        }
      }
      from = to;
    }
    return best;
  }

  private int runEnd(int from) {
    int to = from + 1;
    while (path[from] >= 0 && to < path.length && path[to] >= 0 && joined[to]) {
      to++;
    }
    return to;
  }

  /** Evidence for a comb at a cell of a frame against none [nat]. */
  double nats(int t, int cell) {
    return Math.log(around(emission[t], cell, 1) / Math.max(1e-300, offEmission[t]));
  }

  /**
   * Looks at the run next to an edge of a run that is kept.
   *
   * @return the far edge of that run if it is the same comb by now, else −1
   */
  private int goOn(boolean[] done, int edge, int direction) {
    int begin = edge + direction;
    while (begin >= 0 && begin < path.length && path[begin] < 0) {
      begin += direction;
    }
    int gap = Math.abs(begin - edge) - 1;
    if (begin < 0 || begin >= path.length || done[begin] || gap > GAP_FRAMES) {
      return -1;
    }
    int end = begin;
    while (end + direction >= 0
        && end + direction < path.length
        && path[end + direction] >= 0
        && joined[Math.max(end, end + direction)]) {
      end += direction;
    }
    if (Math.abs(path[begin] - path[edge]) > MOST_MOVED * (gap + 1)) {
      int[] way = new int[Math.abs(end - edge) + 1];
      double along = follow(path[edge], edge, direction, way);
      double own = 0.0;
      for (int t = begin; t != end + direction; t += direction) {
        own += nats(t, path[t]);
      }
      boolean visit = returns(end, direction, way[way.length - 1]);
      if (!visit || !(along > Math.max(LEAST_ALONG, AS_GOOD * own))) {
        return -1;
      }
      for (int k = 1; k < way.length; k++) {
        int t = edge + k * direction;
        path[t] = way[k];
        joined[direction > 0 ? t : t + 1] = true;
      }
      int beyond = end + direction;
      if (beyond >= 0 && beyond < path.length) {
        joined[Math.max(end, beyond)] =
            path[beyond] >= 0 && Math.abs(path[beyond] - path[end]) <= LEAP_CELLS;
      }
    }
    for (int t = begin; t != end + direction; t += direction) {
      done[t] = true;
    }
    return end;
  }

  /** Whether the run beyond another begins near a cell. */
  private boolean returns(int end, int direction, int cell) {
    for (int k = 1; k <= GAP_FRAMES + 1; k++) {
      int t = end + k * direction;
      if (t < 0 || t >= path.length) {
        return false;
      }
      if (path[t] >= 0) {
        return Math.abs(path[t] - cell) <= MOST_MOVED;
      }
    }
    return false;
  }

  /**
   * Follows the comb from a cell on, by the likeliest way within a band.
   *
   * @param way the cells, from the given one on
   * @return evidence for the way against no comb, with what its moves cost [nat]
   */
  private double follow(int start, int edge, int direction, int[] way) {
    int width = 2 * FOLLOW_BAND + 1;
    double[] score = new double[width];
    Arrays.fill(score, Double.NEGATIVE_INFINITY);
    score[FOLLOW_BAND] = 0.0;
    int[][] from = new int[way.length][width];
    for (int k = 1; k < way.length; k++) {
      int t = edge + k * direction;
      double[] next = new double[width];
      for (int to = 0; to < width; to++) {
        int cell = start - FOLLOW_BAND + to;
        boolean inside = cell >= 0 && cell < cells;
        from[k][to] = likeliestStep(score, to);
        next[to] =
            inside
                ? score[from[k][to]] + CombDrift.logDrift(to - from[k][to]) + nats(t, cell)
                : Double.NEGATIVE_INFINITY;
      }
      score = next;
    }
    int at = 0;
    for (int to = 1; to < width; to++) {
      at = score[to] > score[at] ? to : at;
    }
    double result = score[at];
    for (int k = way.length - 1; k >= 0; k--) {
      way[k] = start - FOLLOW_BAND + at;
      at = from[k][at];
    }
    return result;
  }

  /** Where within the band a way to some place most likely comes from. */
  private static int likeliestStep(double[] score, int to) {
    int best = to;
    for (int b = Math.max(0, to - 4); b <= Math.min(score.length - 1, to + 4); b++) {
      if (score[b] + CombDrift.logDrift(to - b) > score[best] + CombDrift.logDrift(to - best)) {
        best = b;
      }
    }
    return best;
  }

  /** Cells of a leap by a ratio of small whole numbers at a frame, 0 if it is none. */
  private int leapCells(int t, int from) {
    int back = Math.max(from, t - 5);
    int drift = t - 1 > back ? Math.round((path[t - 1] - path[back]) / (float) (t - 1 - back)) : 0;
    int next = t;
    while (next < Math.min(path.length - 1, t + 5) && path[next + 1] >= 0) {
      next++;
    }
    int driftAfter = next > t ? Math.round((path[next] - path[t]) / (float) (next - t)) : 0;
    int leap = path[t] - path[t - 1];
    // A shaft that really leapt leaves nothing on its old comb and had nothing on its new one.
    double enough = LEAP_NATS * LOOK_FRAMES;
    double most = 0.0;
    int found = 0;
    for (int n = 2; n <= ShaftOrders.MOST_BLADES; n++) {
      for (int d = 1; d < (n <= 9 ? n : 2); d++) {
        int ratio = (int) Math.round(CombSearch.CELLS_PER_OCTAVE * CombSearch.log2((double) n / d));
        int expected = leap > 0 ? ratio : -ratio;
        boolean settles = Math.abs(leap + path[next] - path[t] - expected) < LEAP_CELLS;
        if (!settles && !reaches(leap - expected, drift, driftAfter)) {
          continue;
        }
        double before = natsBefore(t, from, expected);
        double after = natsAfter(t, -expected);
        // Of a comb at d parts of n some lines always are another's: they are no comb yet.
        double leastBefore = Math.max(enough, d == 1 ? 0.0 : NEARLY * natsBefore(t, from, 0));
        double leastAfter = Math.max(enough, d == 1 ? 0.0 : NEARLY * natsAfter(t, 0));
        if ((before > leastBefore || after > leastAfter) && before + after > most) {
          most = before + after;
          found = expected;
        }
      }
    }
    return found;
  }

  /** Evidence for a comb so many cells from a path in the frames before one [nat]. */
  private double natsBefore(int t, int from, int beside) {
    double sum = 0.0;
    for (int k = Math.max(from, t - LOOK_FRAMES); k < t; k++) {
      sum += Math.log(around(emission[k], path[k] + beside, 3) / offEmission[k]);
    }
    return sum;
  }

  /** The same in the frames from one on [nat]. */
  private double natsAfter(int t, int beside) {
    double sum = 0.0;
    for (int k = t; k < Math.min(path.length, t + LOOK_FRAMES) && path[k] >= 0; k++) {
      sum += Math.log(around(emission[k], path[k] + beside, 3) / offEmission[k]);
    }
    return sum;
  }

  /**
   * Whether what a leap goes beyond a ratio is what the shaft moves meanwhile: a frame's drift, or
   * that of the few frames by which the path lags where a ramp sets in.
   */
  private static boolean reaches(int beyond, int drift, int driftAfter) {
    boolean near = Math.abs(beyond) < LEAP_CELLS || Math.abs(beyond - drift) < LEAP_CELLS;
    for (int lag = 1; lag <= MOST_LAG_FRAMES; lag++) {
      near |= Math.abs(beyond - lag * driftAfter) < LEAP_CELLS;
    }
    return near;
  }

  private double around(float[] values, int cell, int reach) {
    double greatest = 1e-12;
    for (int c = Math.max(0, cell - reach); c <= Math.min(cells - 1, cell + reach); c++) {
      greatest = Math.max(greatest, values[c]);
    }
    return greatest;
  }
}
