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
 * added up at steps of 0.5 % of the speed, where the shape of a resonance shows. Of a speed that
 * lasts long only a part is read, evenly over all of its time, and each frame stands for more: see
 * {@link ReadingPlan}.
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

  /** Frames that are read in a row where not all are: uneven, so as to meet no rhythm. */
  private static final int[] IN_A_ROW = {7, 9, 8};

  /** Ranges of speed that share one number of turns a frame: a factor of 1.5 in speed. */
  private static final int BINS_PER_GEAR = 7;

  /** Ranges from a gear's middle that it is kept for: one more than its own. */
  private static final int GEAR_REACH = BINS_PER_GEAR / 2 + 1;

  /** Values between two looks at the speed. */
  private static final int STRIDE = 32;

  /** The same while nothing is read. */
  private static final int RESTING_STRIDE = 1024;

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
  private final ReadingPlan plan;
  private final float[] history;
  private final TreeMap<Integer, Sum> bins = new TreeMap<>();
  private final List<Span> gaps = new ArrayList<>();

  private long received;
  private long historyStart;
  private int historyLength;
  private double time;
  private int filled;
  private boolean overlaps;
  private boolean rests = true;
  private int left;
  private int rows;
  private double heardLog;
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
     * @param worth how many frames it stands for
     * @param overlaps whether half of it is the last half of the one before
     */
    void add(float[] powers, double frameSpeed, double worth, boolean overlaps) {
      float share = (float) worth;
      for (int k = 1; k < lines.length; k++) {
        lines[k] += share * powers[k];
      }
      speed += worth * frameSpeed;
      frames++;
      weight += worth;
      // Half overlapping Hann frames correlate by 1/6 (Welch 1967).
      spread += worth * worth * (overlaps ? 1.0 + 2.0 / 36.0 : 1.0);
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
    this.lowPass = new LowPass(factor, PASS_HZ / rate, STOP_HZ / rate, ATTENUATION_DB);
    this.unit = unit;
    this.trackHz = Arrays.stream(track.rpm()).map(rpm -> rpm / 60.0).toArray();
    this.trackStart = track.timeS()[0] * rate;
    this.trackStep = (track.timeS()[1] - track.timeS()[0]) * rate;
    double[] known = Arrays.stream(trackHz).filter(v -> !Double.isNaN(v)).sorted().toArray();
    this.centreHz = known[known.length / 2];
    double[] logs = Arrays.stream(trackHz).map(hz -> Math.log(hz / centreHz)).toArray();
    double framesEach = trackStep / rate * NOMINAL_RATE_HZ / (LENGTH / 2);
    this.plan = new ReadingPlan(logs, framesEach, BIN_STEP / FINE_STEPS, FINE_STEPS);
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
    int at = 0;
    while (at < block.length()) {
      at = lowPass.take(block.samples(), at, block.length());
      keep(lowPass.ready());
    }
    produce();
    discard();
  }

  /** Keeps samples that have gone through the low-pass, zeros where none of them will be read. */
  private void keep(int count) {
    if (historyLength + count > history.length) {
      produce();
      discard();
    }
    rest(received + count);
    if (time - AngleKernel.TAPS < received + count) {
      System.arraycopy(lowPass.make(), 0, history, historyLength, count);
    } else {
      lowPass.skip();
      Arrays.fill(history, historyLength, historyLength + count, 0f);
    }
    historyLength += count;
    received += count;
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
    rest(received);
    while (time < received && advance(speedAt(time))) {
      if (filled == LENGTH) {
        add();
        goOn();
      }
      rest(received);
    }
  }

  /** Goes on to where the next value is to be read, but not beyond a moment [samples]. */
  private void rest(long end) {
    while (time < end) {
      double speed = speedAt(time);
      if (Double.isNaN(speed)) {
        filled = 0;
        rests = true;
        // On to the border of the next frame of the track.
        double place = Math.max(-0.5, Math.floor((time - trackStart) / trackStep + 0.5) + 0.5);
        time = Math.max(time + 1.0, trackStart + place * trackStep);
      } else if (rests && !plan.isDue(Math.log(speed / centreHz))) {
        shiftGear(speed);
        plan.note(Math.log(speed / centreHz), RESTING_STRIDE / (0.5 * LENGTH), false);
        time += RESTING_STRIDE * rate / (perTurn * speed);
      } else {
        if (rests) {
          rests = false;
          left = IN_A_ROW[rows++ % IN_A_ROW.length];
        }
        return;
      }
    }
  }

  /** Keeps half of a frame for the next, or begins to rest. */
  private void goOn() {
    left--;
    if (left > 0 || plan.isDue(heardLog)) {
      System.arraycopy(values, LENGTH / 2, values, 0, LENGTH / 2);
      System.arraycopy(speeds, LENGTH / 2 / STRIDE, speeds, 0, LENGTH / 2 / STRIDE);
      filled = LENGTH / 2;
      overlaps = true;
    } else {
      filled = 0;
      rests = true;
    }
  }

  /** Reads the next stride, or steps over a gap; whether the samples for it are there. */
  private boolean advance(double speed) {
    if (filled == 0 || speed < slowest || speed > fastest) {
      filled = 0;
      overlaps = false;
      shiftGear(speed);
    }
    double step = rate / (perTurn * speed);
    double middle = speedAt(time + 0.5 * STRIDE * step);
    if (!Double.isNaN(middle)) {
      step = rate / (perTurn * middle);
    }
    double end = time + STRIDE * step + AngleKernel.TAPS;
    if (end >= received) {
      return false;
    }
    if (touchesGap(time - AngleKernel.TAPS, end)) {
      filled = 0;
      return true;
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
    addLevels(sum, index);
    sum.add(powers[0], speed, 1.0 / plan.share(heardLog), overlaps);
    plan.note(heardLog, overlaps ? 1.0 : 2.0, true);
  }

  /** Adds the levels of the orders at the speed that the window hears. */
  private void addLevels(Sum sum, int index) {
    double mean = 0.0;
    double moment = 0.0;
    for (int i = 0; i < speeds.length; i++) {
      double log = Math.log(speeds[i]);
      mean += heard[i] * log;
      moment += heard[i] * log * log;
    }
    SpeedLevels.Sum fine = sum.fine[fineStep(mean, index)];
    fine.add(powers[0], sum.turns, mean, Math.max(0.0, moment - mean * mean));
    heardLog = mean - Math.log(centreHz);
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
      result.add(new SpeedBin(shaftHz, sum.weight, spectrum, ToneFinder.find(spectrum)));
    }
    return result;
  }
}
