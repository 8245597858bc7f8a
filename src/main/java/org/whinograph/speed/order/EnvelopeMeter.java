package org.whinograph.speed.order;

import java.util.Arrays;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.Quantile;
import org.whinograph.signal.RealTransform;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;
import org.whinograph.spectrum.Window;
import org.whinograph.speed.SpeedTrack;

/**
 * Rate and depth at which one order swells and fades. The order is brought down to zero frequency
 * along the track of the speed and filtered to a band of about ±{@value #PASS_HZ} Hz; the spectrum
 * of the power in that band shows the beat.
 *
 * <p>Two tones of amplitudes a and b, d Hz apart, have the power a² + b² + 2ab cos 2πdt (the sum of
 * two phasors, squared): one line at d of the modulation m = 2ab/(a² + b²), whatever d is. Swell
 * and fade then lie 20 lg[(a + b)/|a − b|] = 10 lg[(1 + m)/(1 − m)] apart. The power of the noise
 * in the band is taken off the mean; it is measured in the band's outer part, where no beat is
 * sought. Once {@value #ENOUGH_FRAMES} half overlapping frames were heard, three minutes, only a
 * quarter of the rest is, and each frame stands for what is left out after it.
 *
 * <p>A second pass over a recording. Memory is bounded (100 kB); results don't depend on the
 * blocks; nothing is allocated per block. Not safe for use by several threads.
 */
final class EnvelopeMeter implements SampleSink {
  /** Half width of the band that passes unchanged [Hz]. */
  static final double PASS_HZ = 15.0;

  /** Slowest beat that is sought [Hz]. */
  static final double SLOWEST_HZ = 0.3;

  /** Fastest beat that is sought [Hz]. */
  static final double FASTEST_HZ = 11.0;

  private static final double FIRST_RATE_HZ = 1000.0;
  private static final int DECIMATION = 10;
  private static final int TAPS = 401;
  private static final double CUTOFF_HZ = 22.0;
  private static final int LENGTH = 1024;
  private static final int LOBE = 2;

  /** Frames after which gaps are left between them (judgement). */
  private static final int ENOUGH_FRAMES = 32;

  /** Length of a gap [frames]. */
  private static final int LEFT_OUT = 3;

  /**
   * Height over the mean of the others from which on a line is no chance: power lines of noise are
   * exponentially distributed, so that of the 110 lines of a frame one exceeds it in 110 e^−12 =
   * 0.07 % of cases, and in fewer of an average.
   */
  private static final double CLEAR = 12.0;

  /** Modulation from which on the fade is no deeper than the noise lets see. */
  private static final double MOST_MODULATION = 0.998;

  private final int order;
  private final SpeedTrack track;
  private final double rate;
  private final int chunk;
  private final double firstRate;
  private final double[] taps = new double[TAPS];
  private final double bandwidthHz;

  /** Each value stands twice, so that the last {@value #TAPS} lie in a row somewhere. */
  private final double[] ringRe = new double[2 * TAPS];

  private final double[] ringIm = new double[2 * TAPS];
  private final double[][] frame = new double[3][LENGTH];
  private final double[] work = new double[LENGTH];
  private final double[] window = Window.HANN.samples(LENGTH);
  private final RealTransform transform = new RealTransform(LENGTH);
  private final double[] power = new double[LENGTH / 2];
  private final double[] outer = new double[LENGTH / 2];
  private double mean;
  private double weight;
  private int frames;

  private long position;
  private final double[] held;
  private int inChunk;
  private int restChunks;
  private double cycles;
  private boolean known;
  private double upRe;
  private double upIm;
  private double sumRe;
  private double sumIm;
  private double lastUpRe;
  private double lastUpIm;
  private int ringAt;
  private int ringFilled;
  private int untilOutput = DECIMATION;
  private int filled;

  /**
   * Prepares for the second pass.
   *
   * @param sampleRateHz frames a second [Hz]
   * @param track speed [1/min], with two frames at least
   * @param order order of that speed
   */
  EnvelopeMeter(double sampleRateHz, SpeedTrack track, int order) {
    this.rate = sampleRateHz;
    this.track = track;
    this.order = order;
    this.chunk = (int) Math.max(1, Math.round(rate / FIRST_RATE_HZ));
    this.firstRate = rate / chunk;
    this.held = new double[chunk];
    double sum = 0.0;
    for (int i = 0; i < TAPS; i++) {
      double x = i - (TAPS - 1) / 2.0;
      double t = 2.0 * Math.PI * x / (TAPS + 1.0);
      double blackman = 0.42 + 0.5 * Math.cos(t) + 0.08 * Math.cos(2.0 * t);
      double angle = 2.0 * Math.PI * CUTOFF_HZ / firstRate * x;
      taps[i] = blackman * (x == 0.0 ? 1.0 : Math.sin(angle) / angle);
      sum += taps[i];
    }
    double squares = 0.0;
    for (int i = 0; i < TAPS; i++) {
      taps[i] /= sum;
      squares += taps[i] * taps[i];
    }
    this.bandwidthHz = squares * firstRate;
  }

  /** {@inheritDoc} */
  @Override
  public void accept(SampleBlock block) {
    for (Span gap : block.gaps()) {
      if (gap.length() > 0) {
        forget();
        Arrays.fill(held, 0, inChunk, 0.0);
      }
    }
    int at = 0;
    while (at < block.length()) {
      int count = Math.min(chunk - inChunk, block.length() - at);
      System.arraycopy(block.samples(), at, held, inChunk, count);
      at += count;
      inChunk += count;
      if (inChunk == chunk) {
        inChunk = 0;
        addChunk();
        position += chunk;
      }
    }
  }

  /** Looks at the speed once a millisecond; between, the order keeps its frequency. */
  private void addChunk() {
    if (restChunks > 0) {
      restChunks--;
      return;
    }
    double rpm = track.rpmAt((position + 0.5 * chunk) / rate);
    boolean now = !Double.isNaN(rpm) && order * rpm / 60.0 < 0.45 * rate;
    if (now != known) {
      forget();
    }
    known = now;
    if (!known) {
      return;
    }
    double stepCycles = order * rpm / 60.0 / rate;
    mix(-2.0 * Math.PI * cycles, -2.0 * Math.PI * stepCycles);
    cycles = (cycles + chunk * stepCycles) % 1.0;
    // A triangle of two chunks: its zeros lie on all multiples of the first rate.
    ringRe[ringAt] = (lastUpRe + sumRe - upRe) / chunk;
    ringIm[ringAt] = (lastUpIm + sumIm - upIm) / chunk;
    ringRe[ringAt + TAPS] = ringRe[ringAt];
    ringIm[ringAt + TAPS] = ringIm[ringAt];
    ringAt = ringAt + 1 == TAPS ? 0 : ringAt + 1;
    ringFilled = Math.min(TAPS, ringFilled + 1);
    lastUpRe = upRe;
    lastUpIm = upIm;
    if (--untilOutput == 0) {
      untilOutput = DECIMATION;
      if (ringFilled == TAPS) {
        output();
      }
    }
  }

  /**
   * Sums the chunk mixed down by a phasor, by itself and weighed by a slope from 0 to 1. Even and
   * odd samples turn apart, so that one rotation needn't wait for the other.
   */
  private void mix(double phase, double step) {
    double stepRe = Math.cos(step);
    double stepIm = Math.sin(step);
    double rotationRe = stepRe * stepRe - stepIm * stepIm;
    double rotationIm = 2.0 * stepRe * stepIm;
    double cos = Math.cos(phase);
    double sin = Math.sin(phase);
    double oddCos = cos * stepRe - sin * stepIm;
    double oddSin = cos * stepIm + sin * stepRe;
    double re = 0.0;
    double im = 0.0;
    double slopeRe = 0.0;
    double slopeIm = 0.0;
    int last = chunk - 1;
    for (int i = 0; i < last; i += 2) {
      double x = held[i];
      double y = held[i + 1];
      double bothRe = x * cos + y * oddCos;
      double bothIm = x * sin + y * oddSin;
      re += bothRe;
      im += bothIm;
      slopeRe += i * bothRe + y * oddCos;
      slopeIm += i * bothIm + y * oddSin;
      double next = cos * rotationRe - sin * rotationIm;
      sin = cos * rotationIm + sin * rotationRe;
      cos = next;
      next = oddCos * rotationRe - oddSin * rotationIm;
      oddSin = oddCos * rotationIm + oddSin * rotationRe;
      oddCos = next;
    }
    if (chunk % 2 == 1) {
      re += held[last] * cos;
      im += held[last] * sin;
      slopeRe += last * (held[last] * cos);
      slopeIm += last * (held[last] * sin);
    }
    sumRe = re;
    sumIm = im;
    upRe = (slopeRe + 0.5 * re) / chunk;
    upIm = (slopeIm + 0.5 * im) / chunk;
  }

  private void output() {
    double re = filtered(ringRe);
    double im = filtered(ringIm);
    frame[0][filled] = re;
    frame[1][filled] = im;
    frame[2][filled++] = re * re + im * im;
    if (filled == LENGTH) {
      add();
      goOn();
    }
  }

  /** Keeps half a frame for the next one, or leaves a gap. */
  private void goOn() {
    if (frames >= ENOUGH_FRAMES) {
      forget();
      restChunks = LEFT_OUT * LENGTH * DECIMATION;
    } else {
      for (double[] values : frame) {
        System.arraycopy(values, LENGTH / 2, values, 0, LENGTH / 2);
      }
      filled = LENGTH / 2;
    }
  }

  /** The last values through the filter, two sums at a time so that neither waits. */
  private double filtered(double[] ring) {
    double even = taps[TAPS - 1] * ring[ringAt + TAPS - 1];
    double odd = 0.0;
    for (int i = 0; i < TAPS - 1; i += 2) {
      even += taps[i] * ring[ringAt + i];
      odd += taps[i + 1] * ring[ringAt + i + 1];
    }
    return even + odd;
  }

  private void add() {
    double sum = 0.0;
    for (double value : frame[2]) {
      sum += value;
    }
    frames++;
    double share = frames < ENOUGH_FRAMES ? 1.0 : 2.0 * (1 + LEFT_OUT);
    weight += share;
    mean += share * sum / LENGTH;
    transformed(frame[2], sum / LENGTH, share, power);
    transformed(frame[0], 0.0, share, outer);
    transformed(frame[1], 0.0, share, outer);
  }

  /** Adds the squared magnitudes of a Hann frame, scaled to mean squares a line. */
  private void transformed(double[] values, double offset, double share, double[] sum) {
    for (int i = 0; i < LENGTH; i++) {
      work[i] = (values[i] - offset) * window[i];
    }
    transform.forward(work);
    addPowers(sum, share * 2.0 / Math.pow(LENGTH * Window.HANN.coherentGain(), 2));
  }

  private void addPowers(double[] sum, double scale) {
    for (int k = 1; k < LENGTH / 2; k++) {
      double re = work[2 * k];
      double im = work[2 * k + 1];
      sum[k] += scale * (re * re + im * im);
    }
  }

  /** Starts anew after samples or speeds that are missing. */
  private void forget() {
    filled = 0;
    ringFilled = 0;
    lastUpRe = 0.0;
    lastUpIm = 0.0;
  }

  /** Rate and depth. */
  Envelope result() {
    double[] speeds =
        Arrays.stream(track.rpm()).filter(value -> !Double.isNaN(value)).sorted().toArray();
    double frequencyHz = speeds.length == 0 ? 0.0 : order * speeds[speeds.length / 2] / 60.0;
    if (frames == 0) {
      return unknown(frequencyHz, "an envelope needs 11 s of known speed in one piece");
    }
    double spacing = firstRate / DECIMATION / LENGTH;
    int from = (int) Math.ceil(SLOWEST_HZ / spacing);
    int to = (int) Math.floor(FASTEST_HZ / spacing);
    int peak = from;
    for (int k = from; k <= to; k++) {
      peak = power[k] > power[peak] ? k : peak;
    }
    double floor = mean(power, from, to, frames);
    if (!(power[peak] > CLEAR * floor) || peak == from) {
      return unknown(frequencyHz, "the order doesn't swell and fade regularly");
    }
    double energy = 0.0;
    double moment = 0.0;
    for (int k = peak - LOBE; k <= peak + LOBE; k++) {
      double line = Math.max(0.0, power[k] - floor);
      energy += line;
      moment += line * k;
    }
    double lines = Window.HANN.noiseBandwidthLines();
    double amplitude = Math.sqrt(2.0 * energy / lines / weight);
    // Each line holds both sides of both parts: half of it is the mean square of a line of noise.
    int low = (int) Math.ceil((FASTEST_HZ + 1.0) / spacing);
    int high = (int) Math.floor(PASS_HZ / spacing);
    double density = mean(outer, low, high, 2 * frames) / weight / 2.0 / (lines * spacing);
    double steady = mean / weight - density * bandwidthHz;
    double modulation = amplitude / steady;
    Reading depth =
        steady > 0.0 && modulation < MOST_MODULATION
            ? Reading.of(Decibels.ofEnergyRatio((1.0 + modulation) / (1.0 - modulation)))
            : Reading.unknown("both tones are about equally strong: the fade is lost in the noise");
    return new Envelope(order, frequencyHz, Reading.of(moment / energy * spacing), depth, null);
  }

  private Envelope unknown(double frequencyHz, String reason) {
    Reading none = Reading.unknown(reason);
    return new Envelope(order, frequencyHz, none, none, null);
  }

  /**
   * Mean of lines of noise by their median, which a few tones don't move: a sum of n exponential
   * values has a median of (1 − 1/(9n))³ of its mean (Wilson and Hilferty 1931).
   */
  private static double mean(double[] values, int from, int to, int summed) {
    double[] some = Arrays.copyOfRange(values, from, to + 1);
    return Quantile.median(some, some.length) / Math.pow(1.0 - 1.0 / (9.0 * summed), 3);
  }
}
