package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.stream.IntStream;

/**
 * On which of two combs a path is in each of its frames, where it is known to go over from one to
 * the other. From a crossing on it is on the other one. Across a silence, or where it leaps without
 * two being heard at once, nothing says so: then it is on the same one if it goes on at the same
 * speed, or if the lines that it has are that one's and not the other's. Where neither tells, it
 * may be on either.
 *
 * <p>All thresholds are a judgement. Immutable.
 */
final class PathSides {
  /** The comb of which a path has most frames. */
  static final int OWN = 1;

  /** The other one. */
  static final int OTHER = -1;

  /** One of both, unknown which; also where the path is on none. */
  static final int OPEN = 0;

  /** Longest silence over which a path is still joined [frames]. */
  private static final int MOST_GAP = 6;

  /** Frames about a crossing in which a path may leap. */
  private static final int NEAR = 4;

  /** A path that is at a speed again is on the same comb [ln 1]. */
  private static final double SAME_SPEED = 0.004;

  private final CombPath path;
  private final CombLines lines;
  private final boolean[] isBetween;
  private final int firstParting;
  private final List<Group> groups = new ArrayList<>();

  /** A stretch in which a path changes sides only at crossings. */
  private final class Group {
    final int from;
    final int to;
    final boolean[] changed;
    final double[][] levels = new double[2][];
    final int[] known = new int[2];
    boolean settled;
    boolean exchanged;

    Group(int from, int to, boolean[] crossings) {
      this.from = from;
      this.to = to;
      this.changed = new boolean[to - from];
      boolean on = false;
      for (int t = from; t < to; t++) {
        on ^= t > from && crossings[t];
        changed[t - from] = on;
      }
      for (int side = 0; side < 2; side++) {
        double[] hz = path.spacingHz().clone();
        for (int t = from; t < to; t++) {
          boolean here = changed[t - from] == (side == 1) && !isBetween[t];
          hz[t] = here ? hz[t] : Double.NaN;
          known[side] += Double.isNaN(hz[t]) ? 0 : 1;
        }
        levels[side] = lines.meansAtRest(hz, from, to);
      }
    }

    boolean hasBoth() {
      return known[0] > 0 && known[1] > 0;
    }

    int frames() {
      return known[0] + known[1];
    }
  }

  private PathSides(
      CombPath path, boolean[] found, boolean[] partings, CombPath left, CombLines lines) {
    this.path = path;
    this.lines = lines;
    this.isBetween = new boolean[found.length];
    boolean[] crossings = atLeaps(found);
    boolean[] told =
        left == null ? new boolean[found.length] : new MetPaths(path, left, lines).judge(crossings);
    boolean[] open = atLeaps(partings);
    for (int t = 0; t < open.length; t++) {
      open[t] &= !told[t];
      crossings[t] &= !open[t];
    }
    this.firstParting =
        IntStream.range(0, open.length).filter(t -> open[t]).findFirst().orElse(open.length);
    int start = 0;
    int last = -1;
    for (int t = 0; t < crossings.length; t++) {
      if (!Double.isNaN(path.spacingHz()[t]) && !isBetween[t]) {
        if (open[t] || (last >= 0 && isOpen(last, t) && !isNear(crossings, t))) {
          groups.add(new Group(start, t, crossings));
          start = t;
        }
        last = t;
      }
    }
    groups.add(new Group(start, crossings.length, crossings));
  }

  /**
   * The crossings where the path leaps, if it leaps near them. Where a leap takes some frames, it
   * is on neither comb meanwhile.
   */
  private boolean[] atLeaps(boolean[] crossings) {
    boolean[] moved = new boolean[crossings.length];
    for (int t = 0; t < crossings.length; t++) {
      if (crossings[t]) {
        int first = t;
        int last = t;
        for (int k = Math.max(1, t - NEAR); k <= Math.min(crossings.length - 1, t + NEAR); k++) {
          boolean leaps = step(k) > CrossedPaths.LEAP;
          first = leaps && first == t ? k : first;
          last = leaps ? k : last;
        }
        first = Math.min(first, t);
        Arrays.fill(isBetween, first, last, true);
        // What leaps there and back at once is where it was.
        moved[last] = last == first || !(first > 0 && change(first - 1, last) < CrossedPaths.LEAP);
      }
    }
    return moved;
  }

  /** Change from the frame before, 0 if it isn't known [ln 1]. */
  private double step(int t) {
    double step = change(t - 1, t);
    return Double.isNaN(step) ? 0.0 : step;
  }

  /** Change from one frame to another [ln 1]. */
  private double change(int one, int other) {
    return Math.abs(Math.log(path.spacingHz()[other] / path.spacingHz()[one]));
  }

  /** Whether a path crosses about a frame: a leap to another comb may take some frames. */
  private static boolean isNear(boolean[] crossings, int t) {
    boolean near = false;
    for (int k = Math.max(0, t - NEAR); k < Math.min(crossings.length, t + NEAR + 1); k++) {
      near |= crossings[k];
    }
    return near;
  }

  /** Whether nothing tells if a path is on the same comb as before. */
  private boolean isOpen(int before, int t) {
    double change = change(before, t);
    boolean silent = t - before > MOST_GAP + 1;
    boolean leaps = !path.joined()[t] || change > CrossedPaths.GREAT_LEAP * (t - before);
    return (silent || leaps) && change > SAME_SPEED;
  }

  /**
   * Finds the side for each frame.
   *
   * @param path the path
   * @param crossings the frames from which on it is on another comb than before
   * @param partings those of them at which either side may be the comb before
   * @param left what is left beside the path, null if there is nothing
   * @param lines the lines of the segment
   * @return {@link #OWN}, {@link #OTHER} or {@link #OPEN} for each frame
   */
  static int[] of(
      CombPath path, boolean[] crossings, boolean[] partings, CombPath left, CombLines lines) {
    return new PathSides(path, crossings, partings, left, lines).sides();
  }

  private int[] sides() {
    int[] sides = new int[path.spacingHz().length];
    Group anchor = anchor();
    if (!anchor.hasBoth() && firstParting == sides.length) {
      Arrays.fill(sides, OWN);
      return sides;
    }
    anchor.settled = true;
    List<Group> others = new ArrayList<>(groups);
    others.sort((a, b) -> Integer.compare(b.frames(), a.frames()));
    for (Group each : others) {
      settle(each, anchor);
    }
    int sum = 0;
    for (Group each : groups) {
      for (int t = each.from; each.settled && t < each.to; t++) {
        int side = each.changed[t - each.from] == each.exchanged ? OWN : OTHER;
        sides[t] = isBetween[t] ? OPEN : side;
        sum += Double.isNaN(path.spacingHz()[t]) ? 0 : sides[t];
      }
    }
    return sum < 0 ? Arrays.stream(sides).map(side -> -side).toArray() : sides;
  }

  /**
   * What the other stretches are held against: the longest that is on both combs, or else the
   * longest before two part.
   */
  private Group anchor() {
    Group anchor = groups.get(0);
    for (Group each : groups) {
      boolean more = each.frames() > anchor.frames();
      if (each.hasBoth() == anchor.hasBoth()) {
        boolean counts = each.hasBoth() || each.to <= firstParting;
        anchor = more && counts ? each : anchor;
      } else {
        anchor = each.hasBoth() ? each : anchor;
      }
    }
    return anchor;
  }

  /** Settles which sides of a group are those of the anchor, by the lines that they have. */
  private static void settle(Group group, Group anchor) {
    if (group.settled) {
      return;
    }
    int pairing = CombLines.pairing(group.levels, anchor.levels);
    group.settled = pairing != 0;
    group.exchanged = pairing < 0;
  }
}
