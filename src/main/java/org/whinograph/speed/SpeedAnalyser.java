package org.whinograph.speed;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Objects;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Warning;

/**
 * Finds a fan's shaft speed through a recording out of its sound.
 *
 * <p>Samples are brought down to about 16 kHz and worked on in overlapping segments of two and a
 * half minutes, so that memory stays bounded: about 40 MB beside 50 bytes a frame of a quarter of a
 * second. In each segment the strongest comb of lines is followed, refined, and stacked into one
 * order spectrum of the whole recording; at the end that says which order of the shaft the comb is.
 *
 * <p>Levels don't matter, so samples may be in any unit. Not safe for use by several threads.
 */
public final class SpeedAnalyser implements SampleSink {
  private static final int SEGMENT_FRAMES = 600;
  private static final int MARGIN_FRAMES = 24;
  private static final double KEPT_RATE_HZ = 14_400.0;

  /** A recording with less than this on one comb can't be told from a chord [s]. */
  private static final double LEAST_KNOWN_S = 4.0;

  /**
   * Beside a second comb, some of whose lines may pass for the first fan's orders, a reading that
   * is less sure than this isn't told, and by how much it is less probable (judgement, from
   * invented recordings) [1].
   */
  private static final double SURE_BESIDE_ANOTHER = 0.9;

  private static final double BESIDE_ANOTHER = 0.7;

  /** A comb that changes more often is a melody and no rotor (judgement) [1/s]. */
  private static final double MOST_CHANGES_PER_S = 0.4;

  /**
   * The same of one that wanders and of which nothing else is known: fewer than a slow melody's.
   */
  private static final double FEW_CHANGES_PER_S = 0.1;

  /**
   * A run that is faster than the median by more than this took up another multiple of the comb
   * after a silence, across which nothing joins them (judgement).
   */
  private static final double MOST_OVER_MEDIAN = 6.0;

  /** A comb that moves by more is no hum of a mains (judgement) [1]. */
  private static final double GRID_MOVES = 5e-4;

  /** Beside a second comb the first must show so many orders. */
  private static final int FEWEST_ORDERS = 2;

  private static final double TWO_SIDED_95 = 1.96;

  private final SpeedHints hints;
  private final double rate;
  private final LowPass lowPass;
  private final SegmentAnalysis analysis;
  private final float[] audio;
  private int filled;
  private long segmentStartFrame;
  private final CombFrames main = new CombFrames();
  private final SecondShaft second;
  private final StackedRuns stacked;
  private boolean alive;
  private boolean glides;
  private boolean several;
  private boolean sharper;
  private int changes;
  private List<Double> left = List.of();
  private SpeedResult result;

  /**
   * Prepares for a recording.
   *
   * @param sampleRateHz frames a second [Hz], at least 4000
   * @param hints what is known beforehand
   * @throws IllegalArgumentException if the rate is below 4000 Hz or not finite
   */
  public SpeedAnalyser(double sampleRateHz, SpeedHints hints) {
    if (!(sampleRateHz >= 4000.0) || Double.isInfinite(sampleRateHz)) {
      throw new IllegalArgumentException("sampleRateHz: at least 4000 Hz, got " + sampleRateHz);
    }
    this.hints = Objects.requireNonNull(hints, "hints");
    int factor = Math.max(1, (int) (sampleRateHz / KEPT_RATE_HZ));
    this.rate = sampleRateHz / factor;
    // Every later step costs a third. What folds lands above 0.4 of the rate.
    this.lowPass = new LowPass(factor, 0.4, 0.6, 50.0);
    this.analysis = new SegmentAnalysis(rate, hints, SEGMENT_FRAMES - 2 * MARGIN_FRAMES);
    OrderWindows windows = new OrderWindows(rate);
    this.stacked = new StackedRuns(windows, analysis.hop(), rate);
    this.second = new SecondShaft(new StackedRuns(windows, analysis.hop(), rate));
    this.audio = new float[(SEGMENT_FRAMES + 1) * analysis.hop()];
  }

  @Override
  public void accept(SampleBlock block) {
    if (result != null) {
      throw new IllegalStateException("accept: the result was already asked for");
    }
    int at = 0;
    while (at < block.length()) {
      at = lowPass.take(block.samples(), at, block.length());
      int ready = lowPass.ready();
      keep(lowPass.make(), ready);
    }
  }

  private void keep(float[] samples, int length) {
    int at = 0;
    while (at < length) {
      if (filled == audio.length) {
        finishSegment(SEGMENT_FRAMES - MARGIN_FRAMES);
        int step = (SEGMENT_FRAMES - 2 * MARGIN_FRAMES) * analysis.hop();
        System.arraycopy(audio, step, audio, 0, filled - step);
        filled -= step;
        segmentStartFrame += SEGMENT_FRAMES - 2 * MARGIN_FRAMES;
      }
      int count = Math.min(length - at, audio.length - filled);
      System.arraycopy(samples, at, audio, filled, count);
      filled += count;
      at += count;
    }
  }

  /** Works on the segment in the buffer and keeps its frames up to a local index. */
  private void finishSegment(int keepTo) {
    Arrays.fill(audio, filled, audio.length, 0f);
    int keepFrom = segmentStartFrame == 0 ? 0 : MARGIN_FRAMES;
    Combs combs = analysis.combs(audio, filled, !alive);
    Comb first = combs.first();
    double[] hz = null;
    if (first != null) {
      double same = main.link(first.hz());
      double link = Double.isNaN(same) ? 1.0 : same;
      hz = CombFrames.times(first.hz(), link);
      double[] searched = CombFrames.times(first.searched(), link);
      if (combs.second() != null) {
        Comb other = combs.second();
        int lost = MergedPaths.lostFrom(first.searched(), other.searched(), keepFrom);
        Arrays.fill(hz, lost, hz.length, Double.NaN);
        Arrays.fill(searched, lost, hz.length, Double.NaN);
        Arrays.fill(other.hz(), Math.min(lost, other.hz().length), other.hz().length, Double.NaN);
      }
      alive |= first.motion() != CombMotion.STANDS;
      glides |= first.motion() == CombMotion.GLIDES;
      several |= first.isComb();
      sharper |= first.isSharper();
      changes += first.path().changes();
      left = analysis.left().size() > left.size() ? analysis.left() : left;
      StackedRuns.Segment segment =
          new StackedRuns.Segment(
              audio,
              keepFrom,
              keepTo,
              analysis.highestHz(),
              analysis.standing(),
              main.shares(first.hz()) && !Double.isNaN(same),
              combs.second() != null || second.heard(),
              combs.second() == null ? null : combs.second().searched());
      stacked.add(segment, hz, searched, first.path());
    }
    main.append(hz, first == null ? null : first.deviation(), keepFrom, keepTo);
    StackedRuns.Segment beside =
        new StackedRuns.Segment(
            audio,
            keepFrom,
            keepTo,
            analysis.highestHz(),
            analysis.standingBesideTheSecond(),
            keepFrom > 0,
            false,
            null);
    second.add(combs.second(), beside, 2 * MARGIN_FRAMES);
    main.remember(hz, keepTo - MARGIN_FRAMES, 2 * MARGIN_FRAMES);
  }

  /**
   * Ends the recording and says what was found. Calling it again gives the same.
   *
   * @return the speed through time, or why there is none
   */
  public SpeedResult result() {
    if (result == null) {
      if (filled > 0) {
        finishSegment(analysis.framesIn(filled));
      }
      result = conclude();
    }
    return result;
  }

  private SpeedResult conclude() {
    double frameS = analysis.hop() / rate;
    double[] known = main.knownHz();
    OrderStack stack = stacked.stack();
    if (known.length * frameS < LEAST_KNOWN_S || stack == null || stack.windows() == 0) {
      return nothing("No comb of lines that could be a fan was heard for 4 s or longer.");
    }
    Arrays.sort(known);
    double medianHz = known[known.length / 2];
    ShaftOrders orders = new ShaftOrders(stack, medianHz, hints, movement(known), sharper);
    List<ShaftOrders.Reading> readings = orders.readings();
    if (readings.isEmpty()) {
      return nothing("The lines heard fit no speed from 600 to 60000 1/min with the hints given.");
    }
    double heard = heard(orders, readings, known, frameS);
    WeighedReadings weighed = new WeighedReadings(readings, heard);
    if (second.heard() && hints.isEmpty() && weighed.probability() < SURE_BESIDE_ANOTHER) {
      weighed = new WeighedReadings(readings, BESIDE_ANOTHER * heard);
    }
    SpeedTrack comb = main.track(frameS, 60.0, false, Double.POSITIVE_INFINITY);
    List<Warning> warnings = new ArrayList<>();
    boolean claimed = weighed.probability() >= SpeedResult.CLAIM_SPEED;
    Reading median;
    Reading low;
    Reading high;
    if (claimed) {
      double rpm = weighed.rpm(medianHz);
      double spread = TWO_SIDED_95 * main.deviationOfMedian(frameS);
      median = Reading.of(rpm);
      low = Reading.of(rpm * (1.0 - spread));
      high = Reading.of(rpm * (1.0 + spread));
    } else {
      String reason =
          heard < SpeedResult.CLAIM_SPEED
              ? "Lines were heard that may be no fan."
              : "The blade-pass frequency was followed, but not which number of blades it belongs"
                  + " to; give the number of blades.";
      median = Reading.unknown(reason);
      low = median;
      high = median;
      warnings.add(new Warning("speed-unknown", reason));
    }
    double most =
        Math.min(SpeedResult.HIGHEST_RPM, MOST_OVER_MEDIAN * 60.0 * medianHz / weighed.order());
    SpeedTrack track = main.track(frameS, 60.0 / weighed.order(), !claimed, most);
    SpeedTrack rival = second.comb(frameS);
    if (rival != null) {
      warnings.add(
          new Warning("second-comb", "A second comb of lines moves on its own: another fan?"));
    }
    return new SpeedResult(
        median,
        low,
        high,
        weighed.probability(),
        weighed.claimedBlades(),
        weighed.candidates(medianHz),
        track,
        comb,
        weighed.order(),
        rival,
        second.speed(frameS, track, weighed.claimedBlades()),
        warnings);
  }

  /**
   * Distance of the quartiles over the lower one [1]: of a comb that moves, and not now and then.
   */
  static double movement(double[] sorted) {
    int last = sorted.length - 1;
    return sorted[(int) (0.75 * last)] / sorted[(int) (0.25 * last)] - 1.0;
  }

  /** Probability that the comb is a fan at all (judgement). */
  private double heard(
      ShaftOrders orders, List<ShaftOrders.Reading> readings, double[] known, double frameS) {
    double probability = 0.99;
    if (!alive && !hints.isEmpty()) {
      // Who gives the blades says there is a fan, but not which of the lines is its.
      probability *= orders.chosen(readings, left);
    } else if (!alive && orders.harmonics() < 2 && !several) {
      // One line that stands still may be anything.
      probability = 0.3;
    } else if (!alive) {
      probability *= orders.noChord(readings);
    }
    if (!orders.bladePassInRange(readings.get(0)) || !orders.bladePassHeard(readings.get(0))) {
      // Nothing else may be left where a hint rules the rest out.
      probability *= 0.3;
    }
    if (orders.isTooFine(readings.get(0))) {
      probability *= 0.3;
    }
    if (second.heard() && orders.ordersHeard(readings.get(0)) < FEWEST_ORDERS) {
      // Between two combs a path may rest on a bit of both: then its orders aren't there.
      probability *= 0.3;
    }
    if (hints.isEmpty() && movement(known) < GRID_MOVES && orders.isHum()) {
      probability *= 0.2;
    }
    boolean surely = glides || (alive && !hints.isEmpty());
    double perSecond = surely ? MOST_CHANGES_PER_S : alive ? FEW_CHANGES_PER_S : 0.0;
    if (changes > Math.max(2.0, perSecond * known.length * frameS)) {
      probability *= 0.2;
    }
    return probability;
  }

  private SpeedResult nothing(String reason) {
    Reading unknown = Reading.unknown(reason);
    double frameS = analysis.hop() / rate;
    SpeedTrack track = main.track(frameS, 60.0, true, Double.POSITIVE_INFINITY);
    return new SpeedResult(
        unknown,
        unknown,
        unknown,
        0.0,
        null,
        List.of(),
        track,
        track,
        0,
        null,
        null,
        List.of(new Warning("no-speed", reason)));
  }
}
