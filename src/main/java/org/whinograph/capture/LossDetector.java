package org.whinograph.capture;

/**
 * Finds samples that the input lost without a word, by comparing the wall clock with the count of
 * samples.
 *
 * <p>The lateness of a read is the time since the start less the duration of all frames so far. It
 * jumps about, since data come in bursts and threads wait, but waiting only ever makes a read
 * later: the least lateness over about a hundred reads is steady. Samples that are lost raise it
 * for good; a stall that loses nothing raises it only until the backlog has been read.
 *
 * <p>A read is on time while its lateness stays within a threshold above the least of the last
 * seconds. That much is proven whole; what came since the last read on time is in doubt, until
 * either another one is on time or {@value #WINDOW} reads have settled at a higher lateness: then
 * the difference is the loss. The clocks of sound and computer drift apart by up to 100 ppm, so the
 * least lateness follows slowly.
 *
 * <p>What it can't find: losses below the threshold, 15 ms where data come steadily and at most 100
 * ms where they come in bursts. If there are many, the clocks seem to drift apart by more than
 * crystals do, which {@link #clockDeviationPpm} shows.
 *
 * <p>Where it was lost: a buffer that overflows keeps the oldest samples and throws away what comes
 * until it is read again. So the gap ends at the moment when reading went on after its longest
 * pause, as far as that lies in the stretch that is in doubt.
 */
final class LossDetector {
  /** Reads that must agree before a loss is taken for one. */
  static final int WINDOW = 100;

  private static final int HALF = WINDOW / 2;

  /**
   * Windows of half the length, about twenty seconds, that the least is taken over: bursts and
   * waits beat with each other, which moves the least of one window by up to 25 ms within some
   * seconds.
   */
  private static final int HISTORY = 40;

  private static final double LEAST_THRESHOLD_S = 0.015;
  private static final double MOST_THRESHOLD_S = 0.100;

  /** How far above the spread of the least lateness a read may lie and still be on time. */
  private static final double SPREADS = 3.0;

  /** The least lateness moves by 25 ms, which over this time is less than 100 ppm. */
  private static final double DEVIATION_KNOWN_S = 300;

  private final double rate;
  private final double[] history = new double[HISTORY];
  private int histories;
  private double windowLeast = Double.POSITIVE_INFINITY;
  private int windowReads;

  private boolean started;
  private long originNanos;
  private long frames;
  private double base = Double.POSITIVE_INFINITY;
  private double firstBase = Double.NaN;
  private long firstBaseNanos;
  private long lastNanos;

  private double doubtLeast;
  private double doubtLeastBefore;
  private int doubtReads;
  private long previousEndNanos;
  private double longestPause;
  private double resumedAt;

  LossDetector(double rate) {
    this.rate = rate;
  }

  /**
   * Takes a read.
   *
   * @param count frames that it brought, with those known to be dropped before it
   * @param startNanos when it began [ns]
   * @param endNanos when it came back [ns]
   * @return true if all samples so far are proven whole, or {@link #lost} has just told a loss
   */
  boolean onTime(long count, long startNanos, long endNanos) {
    if (!started) {
      started = true;
      originNanos = endNanos - Math.round(count / rate * 1e9);
      firstBaseNanos = endNanos;
      previousEndNanos = startNanos;
    }
    frames += count;
    lastNanos = endNanos;
    double lateness = seconds(endNanos) - frames / rate;
    base = Math.min(base, lateness);
    notePause(count, startNanos, endNanos);
    if (lateness <= base + threshold()) {
      settle(lateness);
      return true;
    }
    doubt(lateness);
    return false;
  }

  /**
   * The loss that is certain by now.
   *
   * @return frames lost, 0 while it is in doubt
   */
  long lost() {
    if (doubtReads < WINDOW
        || doubtReads % HALF != 0
        || Math.abs(doubtLeast - doubtLeastBefore) > threshold() / 2) {
      return 0;
    }
    double before = 0;
    int known = Math.min(histories, HISTORY);
    for (int i = 0; i < known; i++) {
      before += history[i] / known;
    }
    double after = (doubtLeast + doubtLeastBefore) / 2;
    return Math.max(0, Math.round((after - (known == 0 ? base : before)) * rate));
  }

  /**
   * Where the gap would begin [frames from the start, not counting this loss itself], for a loss
   * that is certain.
   */
  long lossPosition(long lost) {
    return Math.round((resumedAt - base) * rate) - lost;
  }

  /** Counts the loss as frames, so that the clocks agree again. */
  void accept(long lost) {
    frames += lost;
    clearDoubt();
    windowReads = 0;
    windowLeast = Double.POSITIVE_INFINITY;
  }

  /** Where a moment lies on the recording's clock. */
  long positionAt(long nanos) {
    if (!started) {
      return 0;
    }
    return Math.max(0, Math.round((seconds(nanos) - base) * rate));
  }

  /**
   * How much faster the sound's clock ran than the computer's [ppm], or NaN within the first
   * minute.
   */
  double clockDeviationPpm() {
    double elapsed = (lastNanos - firstBaseNanos) / 1e9;
    return elapsed < DEVIATION_KNOWN_S || histories < HISTORY
        ? Double.NaN
        : (firstBase - base) / elapsed * 1e6;
  }

  private double seconds(long nanos) {
    return (nanos - originNanos) / 1e9;
  }

  private double threshold() {
    if (histories < HISTORY) {
      return MOST_THRESHOLD_S;
    }
    double low = Double.POSITIVE_INFINITY;
    double high = Double.NEGATIVE_INFINITY;
    for (double least : history) {
      low = Math.min(low, least);
      high = Math.max(high, least);
    }
    return Math.max(LEAST_THRESHOLD_S, Math.min(MOST_THRESHOLD_S, SPREADS * (high - low)));
  }

  /**
   * A pause between reads is ours; one within a read is the input's, and what it brought is new.
   */
  private void notePause(long count, long startNanos, long endNanos) {
    double between = (startNanos - previousEndNanos) / 1e9;
    double within = (endNanos - startNanos) / 1e9;
    if (Math.max(between, within) > longestPause) {
      longestPause = Math.max(between, within);
      resumedAt = between > within ? seconds(startNanos) : seconds(endNanos) - count / rate;
    }
    previousEndNanos = endNanos;
  }

  private void settle(double lateness) {
    clearDoubt();
    windowLeast = Math.min(windowLeast, lateness);
    if (++windowReads == HALF) {
      history[histories++ % HISTORY] = windowLeast;
      int known = Math.min(histories, HISTORY);
      base = Double.POSITIVE_INFINITY;
      for (int i = 0; i < known; i++) {
        base = Math.min(base, history[i]);
      }
      if (histories == HISTORY) {
        firstBase = base;
        firstBaseNanos = lastNanos;
      }
      windowReads = 0;
      windowLeast = Double.POSITIVE_INFINITY;
    }
  }

  private void doubt(double lateness) {
    if (doubtReads % HALF == 0) {
      doubtLeastBefore = doubtReads == 0 ? Double.POSITIVE_INFINITY : doubtLeast;
      doubtLeast = Double.POSITIVE_INFINITY;
    }
    doubtLeast = Math.min(doubtLeast, lateness);
    doubtReads++;
  }

  private void clearDoubt() {
    doubtReads = 0;
    longestPause = 0;
  }
}
