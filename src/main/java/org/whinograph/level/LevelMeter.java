package org.whinograph.level;

import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Objects;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;
import org.whinograph.weighting.TimeWeighting;
import org.whinograph.weighting.WeightingFilter;

/**
 * Levels of IEC 61672-1:2013 from a stream of samples, in one pass and bounded memory: 3 MB for ten
 * hours, all of it the history.
 *
 * <p>A recording starts in the middle of a sound, with whatever offset the converter has, while
 * filters and averages start from nothing. What keeps that start out of the results:
 *
 * <ul>
 *   <li>The first 0.2 s of a stretch, turned by half a turn about its beginning, are first run
 *       through the A and C filter, so that at the first sample the filters are as if the sound had
 *       gone on before. A double pole at 20.6 Hz forgets 190 dB in 0.2 s. Hence L_Aeq, L_Ceq and
 *       L_AE count every sample. The turn carries on level and slope of what is slow, such as a
 *       draught at 5 Hz, of which a mere step or kink would sound louder than the fan.
 *   <li>C-peak and the F and S averages start after 0.1 s, when whatever the joint leaves has
 *       passed the filters (90 dB down). An average that climbs from 0 never reads too high, so
 *       maxima count from there, and minima and percentiles from 5 τ later ({@link
 *       TimeWeighting#settlingS}). A stretch shorter than 0.1 s + 5 τ gives no F or S level at all:
 *       its sound may have begun long before it.
 *   <li>Z takes the mean of the whole recording out of its mean square and its peak. Nothing has to
 *       settle, 10 Hz is untouched, and a constant offset doesn't pose as sound. Slow drifts are
 *       counted, as the standard gives Z no lower end.
 * </ul>
 *
 * <p>Samples lost in a gap are left out, and each stretch after a gap starts as a recording does.
 *
 * <p>Peaks are those of the samples: the crest of a tone at f can lie between two of them, at worst
 * −20 lg cos(πf/fs) higher (0.02 dB at 1 kHz and 1.25 dB at 8 kHz, at a rate of 48 kHz), within
 * class 1 of table 5.
 *
 * <p>Sums run in order over tenths of a second at fixed positions, so results never depend on how
 * the samples are cut into blocks. For use by one thread at a time.
 */
public final class LevelMeter implements SampleSink {
  private static final double INTERVALS_PER_SECOND = 10.0;
  private static final double PRIMING_S = 0.2;
  private static final double HOLD_OFF_S = 0.1;

  /** Over how much of a stretch's beginning its slow part is estimated. */
  private static final double JOINT_S = 0.002;

  /**
   * Mean squares below this are silence: 300 dB below 1, the rounding of double precision, far
   * below any converter and any sound.
   */
  private static final double SILENCE = 1e-30;

  /** Averages this small are set to 0 between tenths of a second, see WeightingFilter.quench. */
  private static final double NOTHING = 1e-80;

  /** Samples weighted at a time: what stays in the nearest cache. */
  private static final int RUN = 512;

  private final double sampleRateHz;
  private final LevelUnit unit;
  private final WeightingFilter filter;
  private final double fastCoefficient;
  private final double slowCoefficient;
  private final long holdOff;
  private final long fastSettled;
  private final long slowSettled;

  private final double[] weightedC = new double[RUN];
  private final double[] weightedA = new double[RUN];

  /** First samples of a stretch, until the filters can be primed. */
  private final double[] head;

  private int headLength;
  private boolean priming = true;

  /** Next sample to come in, and next sample to measure; they differ while priming [frames]. */
  private long expected;

  private long position;

  /** Samples measured since the stretch began. */
  private long inStretch;

  private long lost;
  private int gaps;
  private boolean inGap;

  // The tenth of a second that is under way.
  private long interval;
  private long intervalEnd;
  private long counted;
  private double sumA2;
  private double sumC2;
  private double sumZ;
  private double sumZ2;
  private double fast;
  private double slow;

  // The second that is under way.
  private double secondA2;
  private long secondCounted;
  private double secondFastMax = Double.NEGATIVE_INFINITY;

  // The recording.
  private final CompensatedSum totalA2 = new CompensatedSum();
  private final CompensatedSum totalC2 = new CompensatedSum();
  private final CompensatedSum totalZ = new CompensatedSum();
  private final CompensatedSum totalZ2 = new CompensatedSum();
  private long totalCounted;

  /**
   * First sample that counts: taken off Z before it is summed, so that an offset costs no digits.
   */
  private double offset;

  private double zMin = Double.POSITIVE_INFINITY;
  private double zMax = Double.NEGATIVE_INFINITY;
  private double c2Max = Double.NEGATIVE_INFINITY;
  private double fastMax = Double.NEGATIVE_INFINITY;
  private double fastMin = Double.POSITIVE_INFINITY;
  private double slowMax = Double.NEGATIVE_INFINITY;
  private double slowMin = Double.POSITIVE_INFINITY;

  // Through time [mean squares; NaN where nothing is known].
  private final DoubleSequence equivalentOfSeconds = new DoubleSequence();
  private final DoubleSequence fastMaxOfSeconds = new DoubleSequence();
  private final DoubleSequence fastOfIntervals = new DoubleSequence();

  /**
   * A meter for one recording.
   *
   * @param sampleRateHz frames a second [Hz], 32 000 to 768 000
   * @param unit what the samples are: pascals or parts of full scale
   * @throws IllegalArgumentException if the rate is outside the limits
   */
  public LevelMeter(double sampleRateHz, LevelUnit unit) {
    this.filter = new WeightingFilter(sampleRateHz);
    this.sampleRateHz = sampleRateHz;
    this.unit = Objects.requireNonNull(unit, "unit");
    this.fastCoefficient = TimeWeighting.F.coefficient(sampleRateHz);
    this.slowCoefficient = TimeWeighting.S.coefficient(sampleRateHz);
    this.holdOff = Math.round(HOLD_OFF_S * sampleRateHz);
    this.fastSettled = holdOff + Math.round(TimeWeighting.F.settlingS() * sampleRateHz);
    this.slowSettled = holdOff + Math.round(TimeWeighting.S.settlingS() * sampleRateHz);
    this.head = new double[(int) Math.round(PRIMING_S * sampleRateHz)];
    this.intervalEnd = endOfInterval(0);
  }

  /**
   * Takes the next block. {@inheritDoc}
   *
   * @throws IllegalArgumentException if the block has another sample rate or doesn't follow the one
   *     before
   */
  @Override
  public void accept(SampleBlock block) {
    if (block.sampleRateHz() != sampleRateHz) {
      throw new IllegalArgumentException(
          "block: " + sampleRateHz + " Hz as the meter, got " + block.sampleRateHz() + " Hz");
    }
    if (block.position() != expected) {
      throw new IllegalArgumentException(
          "block: position " + expected + " follows, got " + block.position());
    }
    double[] samples = block.samples();
    int length = block.length();
    int at = 0;
    List<Span> spans = block.gaps();
    for (int i = 0; i < spans.size(); i++) {
      Span gap = spans.get(i);
      int from = (int) Math.max(at, Math.min(length, gap.position() - block.position()));
      int to = (int) Math.max(from, Math.min(length, gap.end() - block.position()));
      take(samples, at, from - at);
      lose(to - from);
      at = to;
    }
    take(samples, at, length - at);
    expected += length;
  }

  /**
   * The levels of all samples so far. Asking doesn't end the measurement; within the first 0.2 s of
   * a stretch it makes the filters start from what is there.
   *
   * @return levels in the unit of the meter; unknown, with the reason, where there is none
   */
  public LevelResult result() {
    prime();
    double a2 = totalA2.plus(sumA2);
    double c2 = totalC2.plus(sumC2);
    long n = totalCounted + counted;
    if (n == 0) {
      return nothing();
    }
    double mean = totalZ.plus(sumZ) / n;
    double z2 = Math.max(0.0, totalZ2.plus(sumZ2) / n - mean * mean);
    double zPeak = Math.max(zMax - mean, mean - zMin);
    double[] fastSamples = fastOfIntervals.toArray();
    double[] settled = Arrays.stream(fastSamples).filter(v -> !Double.isNaN(v)).sorted().toArray();
    String silent = "The recording is digital silence, which has no level.";
    String fell = "The sound fell to digital silence, which has no level.";
    return new LevelResult(
        level(a2 / n, silent),
        level(c2 / n, silent),
        level(z2, silent),
        extreme(Math.max(fastMax, secondFastMax), TimeWeighting.F, silent),
        extreme(fastMin, TimeWeighting.F, fell),
        extreme(slowMax, TimeWeighting.S, silent),
        extreme(slowMin, TimeWeighting.S, fell),
        c2Max < 0.0 ? Reading.unknown(tooShort(HOLD_OFF_S, "C weighting")) : level(c2Max, silent),
        level(zPeak * zPeak, silent),
        percentile(settled, 10, fell),
        percentile(settled, 50, fell),
        percentile(settled, 90, fell),
        level(a2 / sampleRateHz, silent),
        history(fastSamples));
  }

  /**
   * What the reader of the levels must know.
   *
   * @return a warning with code {@code lost-samples} if samples were lost, else none
   */
  public List<Warning> warnings() {
    if (lost == 0) {
      return List.of();
    }
    return List.of(
        new Warning(
            "lost-samples",
            String.format(
                Locale.ROOT,
                "The recording lost %d samples (%.3f s) in %d %s: they are left out of every level,"
                    + " L_AE lacks their energy, and F and S levels settle anew after each.",
                lost,
                lost / sampleRateHz,
                gaps,
                gaps == 1 ? "place" : "places")));
  }

  private void take(double[] samples, int from, int length) {
    if (length == 0) {
      return;
    }
    inGap = false;
    int taken = 0;
    if (priming) {
      taken = Math.min(length, head.length - headLength);
      System.arraycopy(samples, from, head, headLength, taken);
      headLength += taken;
      if (headLength < head.length) {
        return;
      }
      prime();
    }
    measure(samples, from + taken, length - taken);
  }

  /** Steps over lost samples; whatever follows is a new stretch. */
  private void lose(int length) {
    if (length == 0) {
      return;
    }
    prime();
    if (!inGap) {
      inGap = true;
      gaps++;
    }
    lost += length;
    priming = true;
    inStretch = 0;
    fast = 0.0;
    slow = 0.0;
    long end = position + length;
    while (end >= intervalEnd) {
      position = intervalEnd;
      closeInterval();
    }
    position = end;
  }

  /**
   * Starts a stretch: the filters hear its head turned about its beginning, then the head itself.
   */
  private void prime() {
    if (!priming || headLength == 0) {
      return;
    }
    priming = false;
    int length = headLength;
    headLength = 0;
    if (totalCounted + counted == 0) {
      offset = head[0];
    }
    double twice = 2.0 * beginning((int) Math.min(length, Math.round(JOINT_S * sampleRateHz)));
    filter.settle(twice - head[length - 1]);
    double[] turned = new double[RUN];
    for (int last = length - 1; last > 0; last -= RUN) {
      int run = Math.min(RUN, last);
      for (int i = 0; i < run; i++) {
        turned[i] = twice - head[last - i];
      }
      filter.process(turned, 0, run, weightedC, weightedA);
    }
    measure(head, 0, length);
  }

  /**
   * Value at the first sample of the parabola fitted to the first n samples by least squares:
   * weights [3 (3n² − 3n + 2) − 18 (2n − 1) i + 30 i²]/[n (n + 1) (n + 2)]. For n up to 2 it is the
   * sample.
   */
  private double beginning(int n) {
    double sum = 0.0;
    for (int i = 0; i < n; i++) {
      double weight =
          3.0 * (3.0 * n * n - 3.0 * n + 2.0) - 18.0 * (2.0 * n - 1.0) * i + 30.0 * i * i;
      sum += weight * head[i];
    }
    return sum / ((double) n * (n + 1) * (n + 2));
  }

  private void measure(double[] samples, int from, int length) {
    int at = from;
    int end = from + length;
    while (at < end) {
      long most = Math.min(RUN, Math.min(end - at, intervalEnd - position));
      int run = (int) Math.min(most, nextEvent() - inStretch);
      filter.process(samples, at, run, weightedC, weightedA);
      count(samples, at, run);
      at += run;
      position += run;
      inStretch += run;
      if (position == intervalEnd) {
        closeInterval();
      }
    }
  }

  /** Where in the stretch the next average starts or settles. */
  private long nextEvent() {
    if (inStretch < holdOff) {
      return holdOff;
    }
    if (inStretch < fastSettled) {
      return fastSettled;
    }
    return inStretch < slowSettled ? slowSettled : Long.MAX_VALUE;
  }

  /**
   * Sums, extremes and averages over a run that the filter has just weighted. Extremes go on from
   * run to run, for a comparison that hardly ever holds costs nothing; one that may not count yet
   * is given a bound that nothing passes.
   */
  private void count(double[] samples, int from, int length) {
    boolean held = inStretch < holdOff;
    boolean fastCounts = inStretch >= fastSettled;
    boolean slowCounts = inStretch >= slowSettled;
    double fastCoefficient = held ? 0.0 : this.fastCoefficient;
    double slowCoefficient = held ? 0.0 : this.slowCoefficient;
    double fastDecay = 1.0 - fastCoefficient;
    double slowDecay = 1.0 - slowCoefficient;
    double sumA2 = this.sumA2;
    double sumC2 = this.sumC2;
    double sumZ = this.sumZ;
    double sumZ2 = this.sumZ2;
    double zMin = this.zMin;
    double zMax = this.zMax;
    double c2Max = held ? Double.POSITIVE_INFINITY : this.c2Max;
    double fast = this.fast;
    double slow = this.slow;
    double secondFastMax = held ? Double.POSITIVE_INFINITY : this.secondFastMax;
    double slowMax = held ? Double.POSITIVE_INFINITY : this.slowMax;
    double fastMin = fastCounts ? this.fastMin : Double.NEGATIVE_INFINITY;
    double slowMin = slowCounts ? this.slowMin : Double.NEGATIVE_INFINITY;
    for (int i = 0; i < length; i++) {
      double z = samples[from + i] - offset;
      sumZ += z;
      sumZ2 += z * z;
      if (z > zMax) {
        zMax = z;
      }
      if (z < zMin) {
        zMin = z;
      }
      double c2 = weightedC[i] * weightedC[i];
      sumC2 += c2;
      if (c2 > c2Max) {
        c2Max = c2;
      }
      double a2 = weightedA[i] * weightedA[i];
      sumA2 += a2;
      fast = fastDecay * fast + fastCoefficient * a2;
      if (fast > secondFastMax) {
        secondFastMax = fast;
      }
      if (fast < fastMin) {
        fastMin = fast;
      }
      slow = slowDecay * slow + slowCoefficient * a2;
      if (slow > slowMax) {
        slowMax = slow;
      }
      if (slow < slowMin) {
        slowMin = slow;
      }
    }
    this.sumA2 = sumA2;
    this.sumC2 = sumC2;
    this.sumZ = sumZ;
    this.sumZ2 = sumZ2;
    this.zMin = zMin;
    this.zMax = zMax;
    this.fast = fast;
    this.slow = slow;
    if (!held) {
      this.c2Max = c2Max;
      this.secondFastMax = secondFastMax;
      this.slowMax = slowMax;
    }
    if (fastCounts) {
      this.fastMin = fastMin;
    }
    if (slowCounts) {
      this.slowMin = slowMin;
    }
    counted += length;
  }

  private void closeInterval() {
    totalA2.add(sumA2);
    totalC2.add(sumC2);
    totalZ.add(sumZ);
    totalZ2.add(sumZ2);
    totalCounted += counted;
    secondA2 += sumA2;
    secondCounted += counted;
    sumA2 = 0.0;
    sumC2 = 0.0;
    sumZ = 0.0;
    sumZ2 = 0.0;
    counted = 0;
    filter.quench();
    fast = fast < NOTHING ? 0.0 : fast;
    slow = slow < NOTHING ? 0.0 : slow;
    fastOfIntervals.add(inStretch >= fastSettled ? fast : Double.NaN);
    interval++;
    intervalEnd = endOfInterval(interval);
    if (interval % (long) INTERVALS_PER_SECOND == 0) {
      equivalentOfSeconds.add(secondA2 / secondCounted);
      fastMaxOfSeconds.add(secondFastMax);
      fastMax = Math.max(fastMax, secondFastMax);
      secondA2 = 0.0;
      secondCounted = 0;
      secondFastMax = Double.NEGATIVE_INFINITY;
    }
  }

  private long endOfInterval(long index) {
    return Math.round((index + 1) * sampleRateHz / INTERVALS_PER_SECOND);
  }

  private Reading level(double meanSquare, String reason) {
    return meanSquare < SILENCE ? Reading.unknown(reason) : Reading.of(unit.levelOf(meanSquare));
  }

  private Reading extreme(double meanSquare, TimeWeighting weighting, String reason) {
    boolean settled =
        weighting == TimeWeighting.F
            ? fastMin != Double.POSITIVE_INFINITY
            : slowMin != Double.POSITIVE_INFINITY;
    return settled
        ? level(meanSquare, reason)
        : Reading.unknown(tooShort(HOLD_OFF_S + weighting.settlingS(), weighting + " weighting"));
  }

  private Reading percentile(double[] ascending, int percent, String reason) {
    if (ascending.length == 0) {
      return Reading.unknown(tooShort(HOLD_OFF_S + TimeWeighting.F.settlingS(), "F weighting"));
    }
    // The highest level that is reached or exceeded in at least so many of the samples: a level
    // that
    // occurred, so that nothing is interpolated between decibels.
    int reached = (int) Math.ceil(ascending.length * percent / 100.0);
    return level(ascending[ascending.length - reached], reason);
  }

  private static String tooShort(double leastS, String what) {
    return String.format(
        Locale.ROOT,
        "The recording has no unbroken stretch longer than %.3f s, which the %s needs to settle.",
        leastS,
        what);
  }

  private LevelHistory history(double[] fastSamples) {
    return new LevelHistory(
        levels(equivalentOfSeconds.toArray()),
        levels(fastMaxOfSeconds.toArray()),
        levels(fastSamples),
        1.0 / INTERVALS_PER_SECOND);
  }

  /** Mean squares to levels in place, NaN where there is none. */
  private double[] levels(double[] meanSquares) {
    for (int i = 0; i < meanSquares.length; i++) {
      meanSquares[i] = meanSquares[i] >= SILENCE ? unit.levelOf(meanSquares[i]) : Double.NaN;
    }
    return meanSquares;
  }

  private LevelResult nothing() {
    Reading none = Reading.unknown("The recording has no samples that were not lost.");
    return new LevelResult(
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        none,
        history(fastOfIntervals.toArray()));
  }
}
