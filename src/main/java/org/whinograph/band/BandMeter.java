package org.whinograph.band;

import java.util.Arrays;

/**
 * One band's filter running and its energy being counted.
 *
 * <p>The six poles run as three all-pole sections y[n] = x[n] − a2 y[n−2] − a1 y[n−1]; the zeros
 * have been applied before, for all bands of the stage ({@link BandStage}). A section waits for its
 * own last output, so that one filter alone leaves most of the processor idle: {@link #runPair}
 * runs two filters side by side in the time of one.
 *
 * <p>Energies are summed sample by sample in order, so that it never matters in what runs samples
 * come. Positions are stage samples; sample m of a stage k halvings below the input is complete
 * with input frame 2^k (m + 1) − 1.
 *
 * <p>One thread at a time.
 */
final class BandMeter {
  /**
   * What is left out at the start and after each gap, in units of 1/B (B: width of the band). By
   * then less than 10⁻⁵ of the filter's response to an impulse is still to come.
   */
  static final double SETTLING_WIDTHS = 4.0;

  /**
   * Least product of bandwidth and averaging time. Noise then scatters by 4.34/√(BT) = 2.2 dB
   * (standard deviation); an average over less says nothing.
   */
  static final double LEAST_BANDWIDTH_TIME = 4.0;

  private final BandPassDesign design;
  private final double a11;
  private final double a12;
  private final double a21;
  private final double a22;
  private final double a31;
  private final double a32;

  // Outputs of the sections: p the newest, q the one before.
  private double p1;
  private double q1;
  private double p2;
  private double q2;
  private double p3;
  private double q3;

  /** Energy of the running second. */
  private double energy;

  private final double inputRateHz;
  private final int halvings;
  private final double delayFrames;
  private final double settlingFrames;
  private final GapList gaps;
  private int gapIndex;
  private boolean counting;
  private long settledAt;
  private long secondEnd;
  private long secondCount;
  private double totalEnergy;
  private long totalCount;
  private float[] seconds = new float[64];
  private int secondsDone;

  /**
   * Prepares a band.
   *
   * @param design its filter
   * @param inputRateHz sample rate of the recording [Hz]
   * @param halvings how often the rate was halved before
   * @param gaps gaps of the recording, growing while it is read
   */
  BandMeter(BandPassDesign design, double inputRateHz, int halvings, GapList gaps) {
    this.design = design;
    this.inputRateHz = inputRateHz;
    this.halvings = halvings;
    this.gaps = gaps;
    double[] a = design.denominators();
    a11 = a[0];
    a12 = a[1];
    a21 = a[2];
    a22 = a[3];
    a31 = a[4];
    a32 = a[5];
    double decimation = decimationDelay(design.band().midbandHz(), inputRateHz, halvings);
    delayFrames = decimation + design.delaySeconds() * inputRateHz;
    settlingFrames = decimation + SETTLING_WIDTHS / design.band().widthHz() * inputRateHz;
    settledAt = sampleAt(settlingFrames);
    secondEnd = sampleAt(inputRateHz + delayFrames);
  }

  /** The band. */
  Band band() {
    return design.band();
  }

  /** Group delay of all halvings at a frequency [input frames]. */
  private static double decimationDelay(double frequencyHz, double inputRateHz, int halvings) {
    double delay = 0.0;
    double rate = inputRateHz;
    for (int k = 0; k < halvings; k++) {
      double part = frequencyHz / rate;
      double step = 1e-3 * part;
      double angle =
          HalfBandDecimator.response(part - step)
              .divide(HalfBandDecimator.response(part + step))
              .getArgument();
      delay += angle / (2.0 * Math.PI * 2.0 * step) * inputRateHz / rate;
      rate *= 0.5;
    }
    return delay;
  }

  /** First stage sample that is complete at or after an input frame. */
  private long sampleAt(double frame) {
    return (long) Math.ceil(Math.scalb(frame + 1.0, -halvings)) - 1;
  }

  /**
   * Filters a run of samples in two bands of one stage.
   *
   * @param first a band
   * @param second another band of the same stage
   * @param in input with the zeros applied [from index 0]
   * @param length number of samples
   * @param position stage position of the first
   */
  static void process(BandMeter first, BandMeter second, double[] in, int length, long position) {
    int done = 0;
    while (done < length) {
      long now = position + done;
      long until = Math.min(position + length, Math.min(first.advance(now), second.advance(now)));
      int end = (int) (until - position);
      double firstEnergy = first.energy;
      double secondEnergy = second.energy;
      runPair(first, second, in, done, end);
      first.close(firstEnergy, end - done);
      second.close(secondEnergy, end - done);
      done = end;
    }
  }

  /**
   * Filters a run of samples in one band.
   *
   * @param in input with the zeros applied [from index 0]
   * @param length number of samples
   * @param position stage position of the first
   */
  void process(double[] in, int length, long position) {
    int done = 0;
    while (done < length) {
      long until = Math.min(position + length, advance(position + done));
      int end = (int) (until - position);
      double before = energy;
      run(in, done, end);
      close(before, end - done);
      done = end;
    }
  }

  /** Moves the bookkeeping to a stage position; returns where it next changes. */
  private long advance(long now) {
    if (now >= secondEnd) {
      endSecond();
    }
    while (gapIndex < gaps.size() && sampleAt(gaps.end(gapIndex) + settlingFrames) <= now) {
      gapIndex++;
    }
    long next = secondEnd;
    counting = now >= settledAt;
    if (!counting) {
      next = Math.min(next, settledAt);
    }
    if (gapIndex < gaps.size()) {
      long start = sampleAt((double) gaps.start(gapIndex));
      if (start <= now) {
        counting = false;
        next = Math.min(next, sampleAt(gaps.end(gapIndex) + settlingFrames));
      } else {
        next = Math.min(next, start);
      }
    }
    return next;
  }

  private void close(double energyBefore, int length) {
    if (counting) {
      secondCount += length;
    } else {
      energy = energyBefore;
    }
  }

  private void endSecond() {
    if (secondsDone == seconds.length) {
      seconds = Arrays.copyOf(seconds, 2 * seconds.length);
    }
    seconds[secondsDone++] = (float) secondMeanSquare();
    totalEnergy += energy;
    totalCount += secondCount;
    energy = 0.0;
    secondCount = 0;
    secondEnd = sampleAt((secondsDone + 1) * inputRateHz + delayFrames);
  }

  /** Mean square of the running second; NaN if less than half of it counts. */
  private double secondMeanSquare() {
    double whole = Math.scalb(inputRateHz, -halvings);
    return secondCount < 0.5 * whole ? Double.NaN : energy / secondCount / design.midbandPower();
  }

  /**
   * Mean square of a second.
   *
   * @param second which, from 0
   * @return mean square in the band [unit of the samples, squared]; NaN if less than half of the
   *     second could be counted
   */
  double secondMeanSquare(int second) {
    if (second < secondsDone) {
      return seconds[second];
    }
    return second == secondsDone ? secondMeanSquare() : Double.NaN;
  }

  /** Mean square of all that counts; NaN if nothing does. */
  double meanSquare() {
    return (totalEnergy + energy) / (totalCount + secondCount) / design.midbandPower();
  }

  /** Time that counts [s]. */
  double averagingSeconds() {
    return Math.scalb((double) (totalCount + secondCount), halvings) / inputRateHz;
  }

  /** Length of a recording without gaps that gives a level [s]. */
  double leastSeconds() {
    return settlingFrames / inputRateHz + LEAST_BANDWIDTH_TIME / design.band().widthHz();
  }

  private void run(double[] in, int from, int to) {
    double p1 = this.p1;
    double q1 = this.q1;
    double p2 = this.p2;
    double q2 = this.q2;
    double p3 = this.p3;
    double q3 = this.q3;
    double sum = energy;
    int i = from;
    for (; i + 1 < to; i += 2) {
      q1 = in[i] - a12 * q1 - a11 * p1;
      q2 = q1 - a22 * q2 - a21 * p2;
      q3 = q2 - a32 * q3 - a31 * p3;
      sum += q3 * q3;
      p1 = in[i + 1] - a12 * p1 - a11 * q1;
      p2 = p1 - a22 * p2 - a21 * q2;
      p3 = p2 - a32 * p3 - a31 * q3;
      sum += p3 * p3;
    }
    energy = sum;
    store(p1, q1, p2, q2, p3, q3);
    if (i < to) {
      single(in[i]);
    }
  }

  private static void runPair(BandMeter m, BandMeter n, double[] in, int from, int to) {
    double a11 = m.a11;
    double a12 = m.a12;
    double a21 = m.a21;
    double a22 = m.a22;
    double a31 = m.a31;
    double a32 = m.a32;
    double b11 = n.a11;
    double b12 = n.a12;
    double b21 = n.a21;
    double b22 = n.a22;
    double b31 = n.a31;
    double b32 = n.a32;
    double p1 = m.p1;
    double q1 = m.q1;
    double p2 = m.p2;
    double q2 = m.q2;
    double p3 = m.p3;
    double q3 = m.q3;
    double r1 = n.p1;
    double s1 = n.q1;
    double r2 = n.p2;
    double s2 = n.q2;
    double r3 = n.p3;
    double s3 = n.q3;
    double sumM = m.energy;
    double sumN = n.energy;
    int i = from;
    for (; i + 1 < to; i += 2) {
      double x = in[i];
      q1 = x - a12 * q1 - a11 * p1;
      s1 = x - b12 * s1 - b11 * r1;
      q2 = q1 - a22 * q2 - a21 * p2;
      s2 = s1 - b22 * s2 - b21 * r2;
      q3 = q2 - a32 * q3 - a31 * p3;
      s3 = s2 - b32 * s3 - b31 * r3;
      sumM += q3 * q3;
      sumN += s3 * s3;
      x = in[i + 1];
      p1 = x - a12 * p1 - a11 * q1;
      r1 = x - b12 * r1 - b11 * s1;
      p2 = p1 - a22 * p2 - a21 * q2;
      r2 = r1 - b22 * r2 - b21 * s2;
      p3 = p2 - a32 * p3 - a31 * q3;
      r3 = r2 - b32 * r3 - b31 * s3;
      sumM += p3 * p3;
      sumN += r3 * r3;
    }
    m.energy = sumM;
    n.energy = sumN;
    m.store(p1, q1, p2, q2, p3, q3);
    n.store(r1, s1, r2, s2, r3, s3);
    if (i < to) {
      m.single(in[i]);
      n.single(in[i]);
    }
  }

  private void single(double x) {
    double y1 = x - a12 * q1 - a11 * p1;
    double y2 = y1 - a22 * q2 - a21 * p2;
    double y3 = y2 - a32 * q3 - a31 * p3;
    energy += y3 * y3;
    store(y1, p1, y2, p2, y3, p3);
  }

  private void store(
      double newest1,
      double before1,
      double newest2,
      double before2,
      double newest3,
      double before3) {
    p1 = newest1;
    q1 = before1;
    p2 = newest2;
    q2 = before2;
    p3 = newest3;
    q3 = before3;
  }
}
