package org.whinograph.rehearsal;

/**
 * True speed of one fan through time. Immutable as long as nobody writes to its arrays.
 *
 * @param intervalS spacing of the points [s]
 * @param rpm speed at i · intervalS [1/min, at least one point]
 * @param turns revolutions since the start at the same times [1, same length]
 */
public record SpeedTrack(double intervalS, double[] rpm, double[] turns) {
  /**
   * The speed of a fan of a device.
   *
   * @param device the device
   * @param seed seed of the device
   * @param fan index of the fan, from 0
   * @param intervalS wanted spacing [s]; the next multiple of the 64 samples that the device moves
   *     in is taken
   * @return the track from the start to the end or just past it
   */
  public static SpeedTrack of(Device device, long seed, int fan, double intervalS) {
    if (fan < 0 || fan >= device.fans().size()) {
      throw new IllegalArgumentException(
          "fan: 0 to below " + device.fans().size() + ", got " + fan);
    }
    double stepS = DeviceMotion.STEP / device.sampleRateHz();
    int stride = (int) Math.max(1, Math.ceil(intervalS / stepS - 1e-9));
    int points = (int) Math.ceil(device.durationS() / (stride * stepS) - 1e-9) + 1;
    double[] rpm = new double[points];
    double[] turns = new double[points];
    DeviceMotion motion = new DeviceMotion(device, seed);
    for (int i = 0; i < points; i++) {
      rpm[i] = motion.revolutionsPerS(fan) * 60;
      turns[i] = motion.turns(fan);
      for (int j = 0; j < stride && i + 1 < points; j++) {
        motion.advance();
      }
    }
    return new SpeedTrack(stride * stepS, rpm, turns);
  }

  /**
   * Speed at a time, a straight line between points.
   *
   * @param timeS time from the start [s]
   * @return speed [1/min]
   */
  public double rpmAt(double timeS) {
    return between(rpm, timeS);
  }

  /**
   * Mean speed over a stretch, by the revolutions in it.
   *
   * @param fromS start [s]
   * @param toS end [s], after the start
   * @return mean speed [1/min]
   */
  public double meanRpm(double fromS, double toS) {
    if (!(fromS < toS)) {
      throw new IllegalArgumentException(
          "fromS, toS: start before end, got " + fromS + " s, " + toS + " s");
    }
    return 60 * (between(turns, toS) - between(turns, fromS)) / (toS - fromS);
  }

  private double between(double[] values, double timeS) {
    double place = Math.max(0, Math.min(values.length - 1, timeS / intervalS));
    int before = (int) Math.min(values.length - 1, Math.floor(place));
    int after = Math.min(values.length - 1, before + 1);
    return values[before] + (values[after] - values[before]) * (place - before);
  }
}
