package org.whinograph.speed;

import java.util.Arrays;
import org.whinograph.signal.Quantile;

/**
 * A comb of a segment.
 *
 * @param hz mean spacing over each frame [Hz], NaN where unknown
 * @param searched the same without the run-downs and run-ups that were followed outward: what tells
 *     a fan from other sounds [Hz]
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
