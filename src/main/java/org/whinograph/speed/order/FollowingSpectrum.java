package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.TreeMap;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.PowerTransform;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.spectrum.Window;
import org.whinograph.speed.LowPass;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.tone.ToneFinder;

/**
 * Spectra that follow the speed of a shaft: the sound is read anew at even steps of the shaft's
 * angle instead of time, so that every order stands still however the speed drifts. A plain average
 * smears such tones and understates their ratios.
 *
 * <p>Frames are Hann windows of a constant number of turns, half overlapping, about 0.8 s long with
 * lines about 1.2 Hz apart. Each is averaged by energy with those of nearly the same speed, within
 * ±3 %: over a wider range levels and critical bands change. The first of these ranges is centred
 * on the median speed. Frequencies up to 13 kHz are kept. Beside, the levels of the orders are
 * added up at steps of 0.5 % of the speed, where the shape of a resonance shows. A range in which
 * {@value #ENOUGH_FRAMES} frames were heard, 50 s, is known well; from then on about a quarter of
 * the sound at its speeds is read, but for those that are new, and each frame stands for the sound
 * left out after it.
 *
 * <p>A second pass over a recording, since the speed must be known before. Memory is bounded: 190
 * kB for each range of speeds that occurs, at most {@value #MOST_BINS}. Results don't depend on the
 * blocks; nothing is allocated per block after a range was first met. Not safe for use by several
 * threads.
 */
public final class FollowingSpectrum implements SampleSink {
  static final int MOST_BINS = 81;

  /** Lines up to here are kept [Hz]. */
  private static final double PASS_HZ = 13_000.0;

  /** From here on nothing may be left: read at 32 kHz, it would fold into what is kept [Hz]. */
  private static final double STOP_HZ = 19_500.0;

  private static final double ATTENUATION_DB = 75.0;

  /** Samples are brought down to this rate or one up to twice as high [Hz]. */
  private static final double LEAST_KEPT_HZ = 44_000.0;

  private static final int LENGTH = 32_768;
  private static final double NOMINAL_RATE_HZ = 40_000.0;
  private static final double BIN_STEP = Math.log(1.06);

  /** Speeds within a range at which the levels of the orders are kept. */
  private static final int FINE_STEPS = 12;

  /** Frames of one range that tell its mean to 0.4 dB a line: 4.34 dB/√128 (judgement). */
  private static final int ENOUGH_FRAMES = 128;

  /** Frames of one fine step within it that tell its levels (judgement). */
  private static final int ENOUGH_OF_STEP = 16;

  /** Frames from the start of one that is read to the next: uneven, so as to meet no rhythm. */
  private static final int[] APART = {3, 5, 4};

  /** A speed as far from that of the last frame is read at once: one and a half fine steps. */
  private static final double NEWS = 1.5 * BIN_STEP / FINE_STEPS;

  /** Ranges of speed that share one number of turns a frame: a factor of 1.5 in speed. */
  private static final int BINS_PER_GEAR = 7;

  /** Ranges from a gear's middle that it is kept for: one more than its own. */
  private static final int GEAR_REACH = BINS_PER_GEAR / 2 + 1;

  /** Values between two looks at the speed. */
  private static final int STRIDE = 16;

  private static final int CAPACITY = 1 << 15;

  private final int factor;
  private final double rate;
  private final LowPass lowPass;
  private final LevelUnit unit;
  private final double[] trackHz;
  private final double trackStart;
  private final double trackStep;
  private final double centreHz;
  private final AngleKernel kernel;
  private final PowerTransform transform = new PowerTransform(LENGTH, 1);
  private final float[] window = new float[LENGTH];
  private final float[] values = new float[LENGTH];
  private final double[] speeds = new double[LENGTH / STRIDE];
  private final double[] heard = new double[LENGTH / STRIDE];
  private final int[] start = new int[1];
  private final float[][] powers = new float[1][LENGTH / 2];
  private final float[] history;
  private final TreeMap<Integer, Sum> bins = new TreeMap<>();
  private final List<Span> gaps = new ArrayList<>();

  private long received;
  private long historyStart;
  private int historyLength;
  private double time;
  private int filled;
  private boolean overlaps;
  private int rest;
  private int rested;
  private int sparse;
  private double heardLog;

  /** Where the last frame belongs until it is known how much is left out after it, else null. */
  private Sum waiting;

  private double waitingSpeed;
  private int gear;
  private double perTurn;
  private double slowest;
  private double fastest;

  /** What one range of speeds adds up. */
  private static final class Sum {
    private final double[] lines = new double[LENGTH / 2];
    private final SpeedLevels.Sum[] fine = new SpeedLevels.Sum[FINE_STEPS];
    private double speed;
    private int frames;
    private double weight;
    private double spread;
    private double turns;

    Sum() {
      Arrays.setAll(fine, i -> new SpeedLevels.Sum());
    }

    /**
     * Adds a frame.
     *
     * @param frameSpeed mean speed in it [1/s]
     * @param apart frames from its start to that of the next one, 0.5 for half overlapping
     * @param overlaps whether half of it is the last half of the one before
     */
    void add(float[] powers, double frameSpeed, double apart, boolean overlaps) {
      float share = (float) (2.0 * apart);
      for (int k = 1; k < lines.length; k++) {
        lines[k] += share * powers[k];
      }
      speed += share * frameSpeed;
      frames++;
      weight += share;
      // Half overlapping Hann frames correlate by 1/6 (Welch 1967).
      spread += share * share + (overlaps ? 2.0 * share / 36.0 : 0.0);
    }

    double[] mean(int count) {
      double[] result = new double[count];
      for (int k = 0; k < count; k++) {
        result[k] = lines[k] / weight;
      }
      return result;
    }
  }

  /**
   * Prepares for the second pass.
   *
   * @param sampleRateHz frames a second [Hz]
   * @param unit what levels refer to
   * @param track speed of the shaft [1/min], with at least one known frame
   */
  public FollowingSpectrum(double sampleRateHz, LevelUnit unit, SpeedTrack track) {
    if (!(sampleRateHz >= 8000.0) || Double.isInfinite(sampleRateHz)) {
      throw new IllegalArgumentException("sampleRateHz: at least 8000, got " + sampleRateHz);
    }
    if (!(track.knownFraction() > 0.0) || track.frames() < 2) {
      throw new IllegalArgumentException(
          "track: two frames and a known one at least, got " + track.frames() + " frames");
    }
    this.factor = Math.max(1, (int) (sampleRateHz / LEAST_KEPT_HZ));
    this.rate = sampleRateHz / factor;
    this.lowPass = new LowPass(factor, PASS_HZ / rate, STOP_HZ / rate, ATTENUATION_DB, this::keep);
    this.unit = unit;
    this.trackHz = Arrays.stream(track.rpm()).map(rpm -> rpm / 60.0).toArray();
    this.trackStart = track.timeS()[0] * rate;
    this.trackStep = (track.timeS()[1] - track.timeS()[0]) * rate;
    double[] known = Arrays.stream(trackHz).filter(v -> !Double.isNaN(v)).sorted().toArray();
    this.centreHz = known[known.length / 2];
    this.kernel = new AngleKernel();
    this.history = new float[CAPACITY + 2 * AngleKernel.TAPS + 4096];
    // Zeros before the first sample let the first values be read.
    this.historyStart = -AngleKernel.TAPS;
    this.historyLength = AngleKernel.TAPS;
    double scale = Math.sqrt(2.0) / (LENGTH * Window.HANN.coherentGain());
    double[] hann = Window.HANN.samples(LENGTH);
    for (int i = 0; i < LENGTH; i++) {
      window[i] = (float) (hann[i] * scale);
    }
    double sum = 0.0;
    for (int i = 0; i < heard.length; i++) {
      heard[i] = Math.pow(hann[i * STRIDE + STRIDE / 2], 2);
      sum += heard[i];
    }
    for (int i = 0; i < heard.length; i++) {
      heard[i] /= sum;
    }
  }

  private double highestHz() {
    return Math.min(PASS_HZ, 0.45 * rate);
  }

  /** {@inheritDoc} */
  @Override
  public void accept(SampleBlock block) {
    for (Span gap : block.gaps()) {
      long from = Math.max(0, gap.position() / factor - lowPass.reach());
      gaps.add(new Span(from, gap.end() / factor + 1 + lowPass.reach() - from));
    }
    lowPass.accept(block.samples(), block.length());
    produce();
    discard();
  }

  /** Takes samples that have gone through the low-pass. */
  private void keep(float[] samples, int length) {
    if (historyLength + length > history.length) {
      produce();
      discard();
    }
    System.arraycopy(samples, 0, history, historyLength, length);
    historyLength += length;
    received += length;
  }

  /** Lets go of samples that no later value needs. */
  private void discard() {
    if (history.length - historyLength >= CAPACITY / 2) {
      return;
    }
    long needed = (long) Math.floor(time) - AngleKernel.TAPS;
    int drop = (int) Math.max(0, Math.min(historyLength, needed - historyStart));
    System.arraycopy(history, drop, history, 0, historyLength - drop);
    historyStart += drop;
    historyLength -= drop;
  }

  private double speedAt(double moment) {
    double place = (moment - trackStart) / trackStep;
    if (!(place >= -0.5 && place <= trackHz.length - 0.5)) {
      return Double.NaN;
    }
    int left = Math.max(0, Math.min(trackHz.length - 2, (int) Math.floor(place)));
    double share = Math.max(0.0, Math.min(1.0, place - left));
    double a = trackHz[left];
    double b = trackHz[left + 1];
    if (Double.isNaN(a) || Double.isNaN(b)) {
      return share < 0.5 ? a : b;
    }
    return a + share * (b - a);
  }

  private void produce() {
    boolean more = true;
    while (more) {
      double speed = speedAt(time);
      more = Double.isNaN(speed) ? skip() : advance(speed);
      if (filled == LENGTH) {
        add();
        goOn();
      }
    }
  }

  /** Keeps half of a frame for the next, or leaves out what lies between. */
  private void goOn() {
    if (waiting == null) {
      System.arraycopy(values, LENGTH / 2, values, 0, LENGTH / 2);
      System.arraycopy(speeds, LENGTH / 2 / STRIDE, speeds, 0, LENGTH / 2 / STRIDE);
      filled = LENGTH / 2;
      overlaps = true;
    } else {
      filled = 0;
      rested = 0;
      rest = (APART[sparse++ % APART.length] - 1) * LENGTH;
    }
  }

  /** Ends the rest after a frame, which stands for all of it. */
  private void endRest() {
    if (waiting != null) {
      waiting.add(powers[0], waitingSpeed, 1.0 + (double) rested / LENGTH, overlaps);
      waiting = null;
    }
    rest = 0;
  }

  /** Goes on to the border of the next frame of the track; whether its samples are there. */
  private boolean skip() {
    filled = 0;
    endRest();
    double place = Math.max(-0.5, Math.floor((time - trackStart) / trackStep + 0.5) + 0.5);
    time = Math.max(time + 1.0, trackStart + place * trackStep);
    return time < received;
  }

  /** Reads the next stride, or steps over a gap; whether the samples for it are there. */
  private boolean advance(double speed) {
    // Another speed is news.
    if (rest > 0 && Math.abs(Math.log(speed) - heardLog) > NEWS) {
      endRest();
    }
    if (filled == 0 || speed < slowest || speed > fastest) {
      filled = 0;
      shiftGear(speed);
    }
    double step = rate / (perTurn * speed);
    double middle = speedAt(time + 0.5 * STRIDE * step);
    if (!Double.isNaN(middle)) {
      step = rate / (perTurn * middle);
    }
    if (rest > 0) {
      time += STRIDE * step;
      rested += STRIDE;
      rest -= STRIDE;
      return time < received;
    }
    double end = time + STRIDE * step + AngleKernel.TAPS;
    if (end >= received) {
      return false;
    }
    if (touchesGap(time - AngleKernel.TAPS, end)) {
      filled = 0;
      return true;
    }
    if (filled == 0) {
      endRest();
      overlaps = false;
    }
    speeds[filled / STRIDE] = speed;
    kernel.read(history, time - historyStart, step, values, filled, STRIDE);
    filled += STRIDE;
    time += STRIDE * step;
    return true;
  }

  /** Steps over lost samples. */
  private boolean touchesGap(double from, double to) {
    for (int i = 0; i < gaps.size(); i++) {
      Span gap = gaps.get(i);
      if (gap.end() <= from) {
        gaps.remove(i--);
      } else if (gap.position() < to) {
        time = gap.end() + AngleKernel.TAPS;
        gaps.remove(i);
        return true;
      }
    }
    return false;
  }

  private int bin(double speed) {
    return (int) Math.rint(Math.log(speed / centreHz) / BIN_STEP);
  }

  /** The range of a speed, of those that the gear is for. */
  private int index(double speed) {
    int low = gear * BINS_PER_GEAR - BINS_PER_GEAR / 2;
    return Math.max(low, Math.min(low + BINS_PER_GEAR - 1, bin(speed)));
  }

  private int fineStep(double logSpeed, int index) {
    double place = (logSpeed - Math.log(centreHz)) / BIN_STEP - index;
    int step = (int) Math.floor((place + 0.5) * FINE_STEPS);
    return Math.max(0, Math.min(FINE_STEPS - 1, step));
  }

  private void shiftGear(double speed) {
    gear = (int) Math.rint(bin(speed) / (double) BINS_PER_GEAR);
    double centre = centreHz * Math.exp(gear * BINS_PER_GEAR * BIN_STEP);
    perTurn = NOMINAL_RATE_HZ / centre;
    double reach = Math.exp((GEAR_REACH + 0.5) * BIN_STEP);
    slowest = centre / reach;
    fastest = centre * reach;
  }

  /** Adds a frame; at a speed that is well known only once it ends what is left out after it. */
  private void add() {
    double speed = 0.0;
    for (double value : speeds) {
      speed += value;
    }
    speed /= speeds.length;
    int index = index(speed);
    Sum sum = bins.get(index);
    if (sum == null) {
      if (bins.size() == MOST_BINS) {
        return;
      }
      sum = new Sum();
      bins.put(index, sum);
    }
    transform.powers(values, start, window, powers);
    sum.turns = LENGTH / perTurn;
    if (addLevels(sum, index) < ENOUGH_OF_STEP || sum.frames < ENOUGH_FRAMES) {
      sum.add(powers[0], speed, 0.5, overlaps);
    } else {
      waiting = sum;
      waitingSpeed = speed;
    }
  }

  /** Adds the levels of the orders at the speed that the window hears; frames at about it. */
  private int addLevels(Sum sum, int index) {
    double mean = 0.0;
    double moment = 0.0;
    for (int i = 0; i < speeds.length; i++) {
      double log = Math.log(speeds[i]);
      mean += heard[i] * log;
      moment += heard[i] * log * log;
    }
    SpeedLevels.Sum fine = sum.fine[fineStep(mean, index)];
    fine.add(powers[0], sum.turns, mean, Math.max(0.0, moment - mean * mean));
    heardLog = mean;
    return fine.frames();
  }

  /**
   * The levels of the orders at finer steps of the speed, in order of speed.
   *
   * @return one for each step that occurs
   */
  List<SpeedLevels> levels() {
    List<SpeedLevels> result = new ArrayList<>();
    for (Sum sum : bins.values()) {
      for (SpeedLevels.Sum fine : sum.fine) {
        if (fine.frames() > 0) {
          result.add(fine.mean(Window.HANN.noiseBandwidthLines()));
        }
      }
    }
    result.sort(Comparator.comparingDouble(SpeedLevels::shaftHz));
    return result;
  }

  /**
   * The spectra so far, in order of speed.
   *
   * @param fewestFrames ranges with fewer frames are left out, at least 1
   * @return ranges of speed
   */
  public List<SpeedBin> bins(int fewestFrames) {
    endRest();
    List<SpeedBin> result = new ArrayList<>();
    for (Sum sum : bins.values()) {
      if (sum.frames < fewestFrames) {
        continue;
      }
      double shaftHz = sum.speed / sum.weight;
      double spacing = shaftHz / sum.turns;
      int count = (int) Math.min(sum.lines.length, highestHz() / spacing);
      double[] mean = sum.mean(count);
      double worth = sum.weight * sum.weight / sum.spread;
      Spectrum spectrum =
          new Spectrum(mean, spacing, Window.HANN.noiseBandwidthLines(), sum.frames, worth, unit);
      result.add(new SpeedBin(shaftHz, spectrum, ToneFinder.find(spectrum)));
    }
    return result;
  }
}
