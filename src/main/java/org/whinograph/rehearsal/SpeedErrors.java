package org.whinograph.rehearsal;

import java.util.Arrays;
import org.whinograph.quantity.Reading;
import org.whinograph.speed.SpeedResult;

/**
 * The speed that was found beside the true one, frame by frame. The truth of a frame is the mean
 * speed over it, by the revolutions in it; frames in which the shaft turns slower than {@link
 * SpeedResult#LOWEST_RPM} aren't asked for.
 *
 * <p>Where the lines were followed but not which order of the shaft they are, no speed is stated;
 * then the followed lines are judged, as the multiple of the true speed that they are nearest to in
 * the middle.
 *
 * @param stated whether a speed was stated; else the lines that were followed are judged
 * @param multiple which multiple of the shaft's speed was judged: 1 for a stated speed, 0 if
 *     nothing was followed
 * @param frames frames asked for
 * @param knownPercent share of them in which it is known [%]
 * @param wrongPercent share of the known ones that are off by more than {@value #WRONG_PERCENT} %:
 *     on a wrong order, and no mere error [%]
 * @param rmsPercent rms error of the other known ones [%]
 * @param insidePercent share of those whose stated 95 % interval holds the truth [%]
 * @param trueMedianRpm median of the true speed over the known frames, or over all frames asked for
 *     if none is known [1/min]
 * @param medianRpm median speed as stated [1/min]
 * @param medianIntervalRpm half width of its stated 95 % interval [1/min], 0 if unknown
 * @param trueBlades number of blades of the fan
 * @param blades number of blades as stated, or null
 */
public record SpeedErrors(
    boolean stated,
    int multiple,
    int frames,
    Reading knownPercent,
    Reading wrongPercent,
    Reading rmsPercent,
    Reading insidePercent,
    double trueMedianRpm,
    Reading medianRpm,
    double medianIntervalRpm,
    int trueBlades,
    Integer blades) {
  /** A speed further off than this is on a wrong order [%]. */
  public static final double WRONG_PERCENT = 5.0;

  private static final double TRUTH_INTERVAL_S = 0.01;
  private static final double PERCENT = 100.0;

  /**
   * Holds a speed against the first fan of a device.
   *
   * @param device the device, with a fan
   * @param seed its seed
   * @param speed what was found
   * @return the errors
   */
  public static SpeedErrors of(Device device, long seed, SpeedResult speed) {
    if (device.fans().isEmpty()) {
      throw new IllegalArgumentException("device: a fan at least, got none");
    }
    boolean stated = speed.medianRpm().known();
    org.whinograph.speed.SpeedTrack track = stated ? speed.track() : speed.comb();
    double[] truth = truth(device, seed, track);
    double[] ratios = new double[track.frames()];
    double[] right = new double[track.frames()];
    double[] rightKnown = new double[track.frames()];
    int asked = 0;
    int known = 0;
    for (int i = 0; i < track.frames(); i++) {
      if (truth[i] >= SpeedResult.LOWEST_RPM) {
        right[asked++] = truth[i];
        if (!Double.isNaN(track.rpm()[i])) {
          ratios[known] = track.rpm()[i] / truth[i];
          rightKnown[known++] = truth[i];
        }
      }
    }
    int multiple = stated ? 1 : (int) Math.rint(median(ratios, known));
    int wrong = 0;
    int inside = 0;
    double sumSquares = 0.0;
    for (int i = 0; i < track.frames(); i++) {
      if (!(truth[i] >= SpeedResult.LOWEST_RPM) || Double.isNaN(track.rpm()[i])) {
        continue;
      }
      double rpm = multiple * truth[i];
      double errorPercent = PERCENT * (track.rpm()[i] / rpm - 1.0);
      if (!(Math.abs(errorPercent) <= WRONG_PERCENT)) {
        wrong++;
        continue;
      }
      sumSquares += errorPercent * errorPercent;
      inside += track.lowRpm()[i] <= rpm && rpm <= track.highRpm()[i] ? 1 : 0;
    }
    int judged = known - wrong;
    String none = "nothing was followed that could be judged";
    return new SpeedErrors(
        stated,
        multiple,
        asked,
        share(known, asked, "the recording holds no frame to judge"),
        share(wrong, known, none),
        judged == 0 ? Reading.unknown(none) : Reading.of(Math.sqrt(sumSquares / judged)),
        share(inside, judged, none),
        known > 0 ? median(rightKnown, known) : median(right, asked),
        speed.medianRpm(),
        stated ? (speed.highRpm().value() - speed.lowRpm().value()) / 2 : 0.0,
        device.fans().get(0).blades(),
        speed.blades());
  }

  /** True mean speed over each frame of a track [1/min]; NaN where frames have no length. */
  private static double[] truth(Device device, long seed, org.whinograph.speed.SpeedTrack track) {
    SpeedTrack truth = SpeedTrack.of(device, seed, 0, TRUTH_INTERVAL_S);
    double[] rpm = new double[track.frames()];
    double frameS = track.frames() < 2 ? 0.0 : track.timeS()[1] - track.timeS()[0];
    for (int i = 0; i < rpm.length; i++) {
      double middle = track.timeS()[i];
      rpm[i] =
          frameS > 0.0
              ? truth.meanRpm(Math.max(0.0, middle - frameS / 2), middle + frameS / 2)
              : Double.NaN;
    }
    return rpm;
  }

  /**
   * The median as a quantity of the rehearsal.
   *
   * @return truth beside measured, in 1/min
   */
  public Comparison median() {
    return new Comparison(
        "shaft speed, median", "rpm", trueMedianRpm, trueMedianRpm, medianRpm, medianIntervalRpm);
  }

  private static Reading share(int part, int all, String reason) {
    return all == 0 ? Reading.unknown(reason) : Reading.of(PERCENT * part / all);
  }

  private static double median(double[] values, int count) {
    if (count == 0) {
      return 0.0;
    }
    double[] sorted = Arrays.copyOf(values, count);
    Arrays.sort(sorted);
    return sorted[count / 2];
  }
}
