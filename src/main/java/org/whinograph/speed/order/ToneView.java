package org.whinograph.speed.order;

import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.stream.IntStream;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.speed.SpeedResult;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.tone.Tone;

/**
 * The tones as the judges of their causes see them: how many times the speed each is and how
 * closely that is known, how each moves beside the speed, which could be hum. Immutable.
 */
final class ToneView {
  private static final double TWO_SIDED_95 = 1.96;

  /** What the tolerance of an order allows the method itself [orders]. */
  static final double OWN_TOLERANCE = 0.002;

  /** The same in parts of the order. */
  private static final double OWN_PART = 3e-5;

  /**
   * How closely two lines of one shaft agree on its speed, beside what is uncertain of them [1].
   */
  private static final double LINES_AGREE = 2e-4;

  private final List<Tone> tones;
  private final Spectrum spectrum;
  private final SpeedResult speed;
  private final LineTracks tracks;
  private final SpeedSweep sweep;
  private final MainsFamily mains;
  private final boolean claimed;
  private final SpeedTrack reference;
  private final ShaftMotion motion;
  private final ShaftMotion rival;
  private final double referenceHz;
  private final double referenceDeviation;
  private final LineMotion[] lines;
  private final double[] ratio;
  private final double[] tolerance;

  /**
   * Measures the tones.
   *
   * @param tones the tones
   * @param spectrum the spectrum that they come from, or null if there is none
   * @param speed the shaft's speed
   * @param tracks the peaks of the frames of that spectrum
   * @param sweep what was found of the speeds gone through, or null
   */
  ToneView(
      List<Tone> tones, Spectrum spectrum, SpeedResult speed, LineTracks tracks, SpeedSweep sweep) {
    this.tones = tones;
    this.sweep = sweep;
    this.spectrum = spectrum;
    this.speed = speed;
    this.tracks = tracks;
    this.mains = new MainsFamily(tones);
    this.claimed = speed.medianRpm().known();
    this.reference = claimed ? speed.track() : speed.comb();
    boolean any = speed.heard() && reference.knownFraction() > 0.0;
    this.motion = any ? new ShaftMotion(tracks, reference) : null;
    this.rival = any && speed.rival() != null ? new ShaftMotion(tracks, speed.rival()) : null;
    this.referenceHz = any ? medianHz(reference) : Double.NaN;
    this.referenceDeviation = any ? deviation() : Double.NaN;
    int n = tones.size();
    this.lines = new LineMotion[n];
    this.ratio = new double[n];
    this.tolerance = new double[n];
    for (int i = 0; i < n; i++) {
      if (motion != null) {
        lines[i] = new LineMotion(tracks, motion, tones.get(i).frequencyHz());
        measureRatio(i);
      } else {
        ratio[i] = Double.NaN;
      }
    }
  }

  private static double medianHz(SpeedTrack track) {
    double[] known = Arrays.stream(track.rpm()).filter(v -> !Double.isNaN(v)).sorted().toArray();
    return known[known.length / 2] / 60.0;
  }

  /** Relative standard deviation of the median speed. */
  private double deviation() {
    if (claimed) {
      return (speed.highRpm().value() - speed.lowRpm().value())
          / (2.0 * TWO_SIDED_95 * speed.medianRpm().value());
    }
    double sum = 0.0;
    int n = 0;
    for (int i = 0; i < reference.frames(); i++) {
      if (!Double.isNaN(reference.rpm()[i])) {
        double width = reference.highRpm()[i] - reference.lowRpm()[i];
        sum += Math.pow(width / (2.0 * TWO_SIDED_95 * reference.rpm()[i]), 2);
        n++;
      }
    }
    return Math.sqrt(sum / n / Math.max(1.0, n / 16.0));
  }

  private void measureRatio(int i) {
    Tone tone = tones.get(i);
    double r = lines[i].ratio();
    double own = lines[i].ratioDeviation();
    if (Double.isNaN(r)) {
      // Seen in too few frames alone: the average must do, where the speed hardly moves.
      r = tone.frequencyHz() / referenceHz;
      own = r * (motion.range() / 4.0 + tone.frequencyUncertaintyHz() / tone.frequencyHz());
    }
    ratio[i] = r;
    double sigma = Math.hypot(own, r * referenceDeviation);
    tolerance[i] = 3.0 * sigma + OWN_TOLERANCE + OWN_PART * r;
  }

  /** Number of tones. */
  int size() {
    return tones.size();
  }

  /** A tone. */
  Tone tone(int i) {
    return tones.get(i);
  }

  /** How a tone moves beside the speed. */
  LineMotion line(int i) {
    return lines[i];
  }

  /** A tone's frequency over the speed [1]; NaN without a speed. */
  double ratio(int i) {
    return ratio[i];
  }

  /** How far that ratio may be off [1]. */
  double tolerance(int i) {
    return tolerance[i];
  }

  /** The whole number next to that ratio. */
  int multiple(int i) {
    return (int) Math.rint(ratio[i]);
  }

  /** Whether the shaft's speed itself is known and not only the spacing of its lines. */
  boolean claimed() {
    return claimed;
  }

  /** The spectrum that the tones come from, or null. */
  Spectrum spectrum() {
    return spectrum;
  }

  /** The shaft's speed. */
  SpeedResult speed() {
    return speed;
  }

  /** Peaks of the frames of that spectrum. */
  LineTracks tracks() {
    return tracks;
  }

  /** The speed, or the spacing of the comb, through those frames; null if there is none. */
  ShaftMotion motion() {
    return motion;
  }

  /** The spacing of a second comb through them; null if there is none. */
  ShaftMotion rival() {
    return rival;
  }

  /** What was found of the speeds gone through, or null. */
  SpeedSweep sweep() {
    return sweep;
  }

  /** Multiples of the supply's frequency among the tones. */
  MainsFamily mains() {
    return mains;
  }

  /** Median speed, or spacing of the comb [1/s]; NaN without any. */
  double referenceHz() {
    return referenceHz;
  }

  /** Relative standard deviation of that median [1]. */
  double referenceDeviation() {
    return referenceDeviation;
  }

  /** Whether a tone is a whole multiple of the speed within what is uncertain. */
  boolean whole(int i) {
    return ratio[i] > 0.5 && Math.abs(ratio[i] - Math.rint(ratio[i])) <= tolerance[i];
  }

  /** Part of unrelated lines that would be as near to a whole multiple [1]. */
  double chance(int i) {
    return Math.min(1.0, 2.0 * tolerance[i]);
  }

  /**
   * Whether a tone fits a whole order but agrees on the speed with none of the others that do.
   * Lines of one shaft agree far better than a track is known, tones of a chord don't.
   */
  boolean disagrees(int i) {
    boolean others = false;
    for (int j = 0; j < tones.size(); j++) {
      if (j == i || !whole(j) || Math.rint(ratio[j]) == Math.rint(ratio[i])) {
        continue;
      }
      others = true;
      double one = tones.get(i).frequencyHz() / Math.rint(ratio[i]);
      double other = tones.get(j).frequencyHz() / Math.rint(ratio[j]);
      double uncertainty =
          Math.hypot(
              tones.get(i).frequencyUncertaintyHz() / tones.get(i).frequencyHz(),
              tones.get(j).frequencyUncertaintyHz() / tones.get(j).frequencyHz());
      double allowed = 4.0 * uncertainty + LINES_AGREE + 0.5 * motion.range();
      if (Math.abs(one / other - 1.0) <= allowed) {
        return false;
      }
    }
    return others;
  }

  /**
   * Whether its slope says that it stays. A small motion of the speed counts only if some line is
   * seen to follow it: it could be the estimate that moves and not the shaft.
   */
  boolean slopeStays(int i) {
    if (!lines[i].slopeStays()) {
      return false;
    }
    if (motion.range() > 0.01) {
      return true;
    }
    for (LineMotion line : lines) {
      if (line.slopeFollows() && line.slopeDeviation() < 0.15) {
        return true;
      }
    }
    return false;
  }

  /** The tones of known level, the loudest first. */
  int[] loudestFirst() {
    return IntStream.range(0, tones.size())
        .filter(i -> tones.get(i).level().known())
        .boxed()
        .sorted(Comparator.comparingDouble(i -> -tones.get(i).level().value()))
        .mapToInt(Integer::intValue)
        .toArray();
  }

  /** What a ratio is a multiple of, in words. */
  String times() {
    return claimed ? " times the shaft's speed" : " times the spacing of the fan's lines";
  }

  /** A multiple, with as many digits as its tolerance is worth. */
  String figure(int i, double value) {
    String pattern = tolerance[i] < 0.01 ? "%.4f" : tolerance[i] < 0.1 ? "%.3f" : "%.2f";
    return Wording.format(pattern, value);
  }
}
