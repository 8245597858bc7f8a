package org.whinograph.speed;

import java.util.Arrays;

/** The harmonics of a run at zero frequency, a few samples a frame. */
final class Baseband {
  /** Blocks that a frame is cut into: the rate of what is left of the harmonics. */
  static final int BLOCKS_PER_FRAME = 8;

  /** Lengths of the windows, each twice the one before [blocks]. */
  static final int[] WINDOWS = {16, 32, 64, 128};

  /** Part of the rate of the blocks within which a residual has no image. */
  private static final double UNAMBIGUOUS = 0.48;

  /**
   * Variance of the peak of a Hann-windowed periodogram in white noise, over the reciprocal of its
   * curvature: (Σw Σw²t²) / (Σw² Σwt²), by linearising the peak's condition.
   */
  private static final double HANN_VARIANCE = hannVariance();

  /**
   * Second difference of a path, over its spacing, from which on a window's line about it is in
   * pieces, of which the strongest tells the middle of the window (judgement) [1].
   */
  static final double SHARPEST_BEND = 0.025;

  /** Power up to which noise may make another place as likely as the line's [nat]. */
  private static final double FAINT_NATS = 40.0;

  private final double rate;
  private final int hop;
  private final int block;
  private final int[] orders;
  private final int blocks;
  private final double[][] re;
  private final double[][] im;
  private final double[][] turnedRe;
  private final double[][] turnedIm;

  /** Sums of what lies evenly about the middle of a window, and differences, windowed. */
  private final double[][] evenRe;

  private final double[][] evenIm;
  private final double[][] oddRe;
  private final double[][] oddIm;
  private final ResidualScan scan;
  private double[] window = {};
  private double above;
  private double below;

  /**
   * Makes room.
   *
   * @param rate rate of the audio [Hz]
   * @param hop spacing of the frames [samples], a multiple of {@value #BLOCKS_PER_FRAME}
   * @param orders the harmonics, counted from 1
   * @param blocks length of the run [blocks]
   */
  Baseband(double rate, int hop, int[] orders, int blocks) {
    this(
        rate,
        hop,
        orders,
        blocks,
        new double[orders.length][blocks],
        new double[orders.length][blocks]);
  }

  private Baseband(double rate, int hop, int[] orders, int blocks, double[][] re, double[][] im) {
    this.rate = rate;
    this.hop = hop;
    this.block = hop / BLOCKS_PER_FRAME;
    this.orders = orders;
    this.blocks = blocks;
    this.re = re;
    this.im = im;
    this.turnedRe = new double[orders.length][blocks];
    this.turnedIm = new double[orders.length][blocks];
    int half = WINDOWS[WINDOWS.length - 1] / 2;
    this.evenRe = new double[orders.length][half];
    this.evenIm = new double[orders.length][half];
    this.oddRe = new double[orders.length][half];
    this.oddIm = new double[orders.length][half];
    this.scan = new ResidualScan(orders.length);
  }

  /** The same of one harmonic, counted by its place among the orders. */
  Baseband only(int m) {
    return new Baseband(
        rate, hop, new int[] {orders[m]}, blocks, new double[][] {re[m]}, new double[][] {im[m]});
  }

  /** The harmonics, counted from 1. */
  int[] orders() {
    return orders;
  }

  /** Spacing at a block's centre, straight between the frames' centres [Hz]. */
  private double hzAt(double[] hz, int b) {
    double place = (b + 0.5) / BLOCKS_PER_FRAME - 0.5;
    int n = hz.length;
    if (n == 1) {
      return hz[0];
    }
    int left = Math.max(0, Math.min(n - 2, (int) Math.floor(place)));
    return hz[left] + (place - left) * (hz[left + 1] - hz[left]);
  }

  private double[] exp(double[] logs) {
    double[] result = new double[logs.length];
    for (int i = 0; i < logs.length; i++) {
      result[i] = Math.exp(logs[i]);
    }
    return result;
  }

  /**
   * Brings the harmonics down.
   *
   * @param audio samples; frame i is centred at (i + 1) hops
   * @param logHz the path [ln Hz, one a frame]
   * @param firstFrame first frame of the run
   * @param mixer mixer of blocks
   */
  void fill(float[] audio, double[] logHz, int firstFrame, BlockMixer mixer) {
    double[] path = exp(logHz);
    double[] steps = new double[BlockMixer.ABREAST];
    double[] cycles = new double[BlockMixer.ABREAST];
    double passed = 0.0;
    double before = 0.0;
    for (int first = 0; first < blocks; first += steps.length) {
      int count = Math.min(steps.length, blocks - first);
      for (int b = 0; b < count; b++) {
        double hz = hzAt(path, first + b);
        passed += first + b == 0 ? 0.0 : 0.5 * (before + hz) * block / rate;
        before = hz;
        cycles[b] = passed;
        steps[b] = 2.0 * Math.PI * hz / rate;
      }
      // Frame i covers (i + 0.5) … (i + 1.5) hops; blocks cut it evenly.
      mixer.take(audio, firstFrame * hop + hop / 2 + first * block + block / 2, count);
      for (int m = 0; m < orders.length; m++) {
        mixer.mix(steps, orders[m], count);
        for (int b = 0; b < count; b++) {
          put(m, first + b, -2.0 * Math.PI * (orders[m] * cycles[b] % 1.0), mixer, b);
        }
      }
    }
  }

  private void put(int m, int b, double phase, BlockMixer mixer, int column) {
    double cos = Math.cos(phase);
    double sin = Math.sin(phase);
    double even = mixer.even(column);
    double odd = mixer.odd(column);
    re[m][b] = even * cos + odd * sin;
    im[m][b] = even * sin - odd * cos;
  }

  /** Takes the difference between a better path and the first one out of the phases. */
  void turnTo(double[] first, double[] better) {
    double[] from = exp(first);
    double[] to = exp(better);
    double cycles = 0.0;
    double before = 0.0;
    for (int b = 0; b < blocks; b++) {
      double difference = hzAt(to, b) - hzAt(from, b);
      cycles += b == 0 ? 0.0 : 0.5 * (before + difference) * block / rate;
      before = difference;
      turn(b, -2.0 * Math.PI * cycles);
    }
  }

  private void turn(int b, double angle) {
    for (int m = 0; m < orders.length; m++) {
      double cos = Math.cos(orders[m] * angle);
      double sin = Math.sin(orders[m] * angle);
      turnedRe[m][b] = re[m][b] * cos - im[m][b] * sin;
      turnedIm[m][b] = re[m][b] * sin + im[m][b] * cos;
    }
  }

  /**
   * Noise power in a block of each harmonic, by frame: from lines 6 to 12 Hz aside, which no
   * harmonic reaches.
   */
  double[][] noise(int frames) {
    double[][] result = new double[orders.length][frames];
    int length = Math.min(WINDOWS[0], blocks);
    double[] raw = new double[frames];
    for (int m = 0; m < orders.length; m++) {
      for (int i = 0; i < frames; i++) {
        raw[i] = Math.log(Math.max(1e-30, beside(m, i, length)));
      }
      double[] even = new double[frames];
      Arrays.fill(even, 1.0);
      double[] smooth = LocalLines.smoothed(raw, even, 8.0);
      for (int i = 0; i < frames; i++) {
        result[m][i] = Math.exp(smooth[i]);
      }
    }
    return result;
  }

  /** Mean power in the lines beside a harmonic. */
  private double beside(int m, int frame, int length) {
    double sum = 0.0;
    for (int line = 3; line <= 6; line++) {
      double turns = (double) line / WINDOWS[0];
      double up = power(re[m], im[m], frame, length, turns);
      double down = power(re[m], im[m], frame, length, -turns);
      sum += (up + down) / response(turns);
    }
    return sum / 8.0;
  }

  /** Power response of the block window at a frequency in turns a block, 1 at 0. */
  private double response(double turns) {
    double x = 2.0 * turns;
    double sinc = Math.sin(Math.PI * x) / (Math.PI * x);
    double amplitude = sinc / (1.0 - x * x);
    return amplitude * amplitude;
  }

  private int begin(int frame, int length) {
    int centre = frame * BLOCKS_PER_FRAME + BLOCKS_PER_FRAME / 2;
    return Math.max(0, Math.min(blocks - length, centre - length / 2));
  }

  /** Hann periodogram of white noise of unit power has mean 1. */
  private double power(double[] zRe, double[] zIm, int frame, int length, double turns) {
    int start = begin(frame, length);
    double sumRe = 0.0;
    double sumIm = 0.0;
    double energy = 0.0;
    double rotationRe = Math.cos(2.0 * Math.PI * turns);
    double rotationIm = -Math.sin(2.0 * Math.PI * turns);
    double hannRe = Math.cos(2.0 * Math.PI / length);
    double hannIm = Math.sin(2.0 * Math.PI / length);
    double hCos = Math.cos(Math.PI / length);
    double hSin = Math.sin(Math.PI / length);
    double cos = 1.0;
    double sin = 0.0;
    for (int i = 0; i < length; i++) {
      double w = 0.5 - 0.5 * hCos;
      double x = w * zRe[start + i];
      double y = w * zIm[start + i];
      sumRe += x * cos - y * sin;
      sumIm += x * sin + y * cos;
      energy += w * w;
      double next = cos * rotationRe - sin * rotationIm;
      sin = cos * rotationIm + sin * rotationRe;
      cos = next;
      next = hCos * hannRe - hSin * hannIm;
      hSin = hCos * hannIm + hSin * hannRe;
      hCos = next;
    }
    return (sumRe * sumRe + sumIm * sumIm) / energy;
  }

  /**
   * Seeks the residuals of all frames around a better path.
   *
   * @param window length of the windows [blocks]
   * @param first the path that the baseband was made with
   * @param centre the better path
   * @param noise noise by harmonic and frame
   * @param reachHz how far to look [Hz], or 0 for half a percent and at least 1 Hz
   */
  Estimates estimates(
      int window, double[] first, double[] centre, double[][] noise, double reachHz) {
    Estimates result = new Estimates(centre.length, orders.length);
    turnTo(first, centre);
    for (int i = 0; i < centre.length; i++) {
      double hz = Math.exp(centre[i]);
      double reach = reachHz > 0.0 ? reachHz / hz : Math.max(0.005, 1.0 / hz);
      estimate(i, window, reach, 0.7 * reach, noise, centre, result);
    }
    return result;
  }

  /**
   * Seeks the residual of one frame within ±wanted: the peak of the periodograms' sum, held near
   * the middle by a bell of standard deviation {@code trust}, lest noise lead it astray.
   */
  void estimate(
      int frame,
      int window,
      double wanted,
      double trust,
      double[][] noise,
      double[] centre,
      Estimates result) {
    int length = Math.min(window, blocks);
    double localHz = Math.exp(centre[frame]);
    double seconds = length * block / rate;
    int highest = 1;
    int lowest = Integer.MAX_VALUE;
    for (int order : orders) {
      highest = Math.max(highest, order);
      lowest = Math.min(lowest, order);
    }
    // One value a block repeats its periodogram every 1/block: beyond half of that a high line
    // would be taken for its own image.
    double reach = Math.min(wanted, UNAMBIGUOUS * rate / (block * localHz * lowest));
    int side = Math.max(2, (int) Math.ceil(reach * seconds * localHz * highest / 0.2));
    double step = reach / side;
    double turns = step * localHz * block / rate;
    prepare(frame, length, noise);
    scan.begin(side, step / trust);
    while (scan.next()) {
      int k = scan.place();
      for (int m = 0; m < orders.length; m++) {
        periodogram(m, length, orders[m] * turns * k);
        scan.add(m, above, below);
      }
    }
    int bestAt = scan.greatest();
    double best = scan.sum(bestAt);
    double at = bestAt * step;
    double lift = 0.0;
    double variance = reach * reach;
    // A peak at the edge is taken as it is, with the variance of the whole reach.
    if (Math.abs(bestAt) < side) {
      double a = scan.sum(bestAt - 1);
      double c = scan.sum(bestAt + 1);
      double bend = Math.min(-1e-9, a - 2.0 * best + c);
      at += Math.max(-0.5, Math.min(0.5, 0.5 * (a - c) / bend)) * step;
      variance = Math.min(variance, HANN_VARIANCE * step * step / -bend);
      lift = lift(centre, frame);
    }
    // The quickest windows are taken only where they are clear.
    boolean faint = best < FAINT_NATS && window >= WINDOWS[0];
    double spread = faint ? step * step * scan.spread(at / step) : 0.0;
    result.value[frame] = centre[frame] + lift + at;
    result.misled[frame] = Math.max(0.0, spread - variance);
    result.variance[frame] = variance;
    result.strength[frame] = best + 0.5 * (at / trust) * (at / trust);
    for (int m = 0; m < orders.length; m++) {
      result.powers[m][frame] = scan.power(m, bestAt);
    }
  }

  /**
   * Mean over a frame above its middle, of a path that is straight between the middles of frames
   * [1].
   */
  private static double lift(double[] logHz, int frame) {
    double bend = secondDifference(logHz, frame);
    return Math.abs(bend) > SHARPEST_BEND ? 0.0 : bend / 8.0;
  }

  /** Second difference of a path at a frame over its spacing there [1]. */
  static double secondDifference(double[] logHz, int frame) {
    if (frame == 0 || frame + 1 >= logHz.length) {
      return 0.0;
    }
    double at = logHz[frame];
    return Math.exp(logHz[frame - 1] - at) - 2.0 + Math.exp(logHz[frame + 1] - at);
  }

  /** Windows the harmonics of one frame, each in units of its noise, and folds them in half. */
  private void prepare(int frame, int length, double[][] noise) {
    int half = length / 2;
    int middle = begin(frame, length) + half;
    double[] window = hann(length);
    for (int m = 0; m < orders.length; m++) {
      double scale = 1.0 / Math.sqrt(0.375 * length * noise[m][frame]);
      for (int i = 0; i < half; i++) {
        double weight = scale * window[half + i];
        double afterRe = turnedRe[m][middle + i];
        double afterIm = turnedIm[m][middle + i];
        double beforeRe = turnedRe[m][middle - 1 - i];
        double beforeIm = turnedIm[m][middle - 1 - i];
        evenRe[m][i] = weight * (afterRe + beforeRe);
        evenIm[m][i] = weight * (afterIm + beforeIm);
        oddRe[m][i] = weight * (afterRe - beforeRe);
        oddIm[m][i] = weight * (afterIm - beforeIm);
      }
    }
  }

  private double[] hann(int length) {
    if (window.length != length) {
      window = new double[length];
      for (int i = 0; i < length; i++) {
        window[i] = 0.5 - 0.5 * Math.cos(2.0 * Math.PI * (i + 0.5) / length);
      }
    }
    return window;
  }

  /**
   * Periodogram of one harmonic at a residual of its own and its opposite, left in {@link #above}
   * and {@link #below}.
   */
  private void periodogram(int m, int length, double turns) {
    double half = Math.PI * turns;
    double cos = Math.cos(half);
    double sin = Math.sin(half);
    double stepRe = cos * cos - sin * sin;
    double stepIm = 2.0 * cos * sin;
    double nextCos = cos * stepRe - sin * stepIm;
    double nextSin = cos * stepIm + sin * stepRe;
    double rotationRe = stepRe * stepRe - stepIm * stepIm;
    double rotationIm = 2.0 * stepRe * stepIm;
    double[] eRe = evenRe[m];
    double[] eIm = evenIm[m];
    double[] oRe = oddRe[m];
    double[] oIm = oddIm[m];
    double reCos = 0.0;
    double reSin = 0.0;
    double imCos = 0.0;
    double imSin = 0.0;
    // Neighbours turn apart, so that one rotation needn't wait for the other.
    for (int i = 0; i < length / 2; i += 2) {
      reCos += eRe[i] * cos + eRe[i + 1] * nextCos;
      reSin += oRe[i] * sin + oRe[i + 1] * nextSin;
      imCos += eIm[i] * cos + eIm[i + 1] * nextCos;
      imSin += oIm[i] * sin + oIm[i + 1] * nextSin;
      double turned = cos * rotationRe - sin * rotationIm;
      sin = cos * rotationIm + sin * rotationRe;
      cos = turned;
      turned = nextCos * rotationRe - nextSin * rotationIm;
      nextSin = nextCos * rotationIm + nextSin * rotationRe;
      nextCos = turned;
    }
    double re = reCos + imSin;
    double im = imCos - reSin;
    above = re * re + im * im;
    re = reCos - imSin;
    im = imCos + reSin;
    below = re * re + im * im;
  }

  private static double hannVariance() {
    int n = 4096;
    double w1 = 0.0;
    double w2 = 0.0;
    double w1t2 = 0.0;
    double w2t2 = 0.0;
    for (int i = 0; i < n; i++) {
      double t = (i + 0.5) / n - 0.5;
      double w = 0.5 + 0.5 * Math.cos(2.0 * Math.PI * t);
      w1 += w;
      w2 += w * w;
      w1t2 += w * t * t;
      w2t2 += w * w * t * t;
    }
    return w1 * w2t2 / (w2 * w1t2);
  }
}
