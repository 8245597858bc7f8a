package org.whinograph.speed;

/**
 * A speed or frequency through time. Arrays are of equal length; frames are evenly spaced.
 *
 * @param timeS middle of each frame, counted from the start of the recording [s]
 * @param rpm mean speed of the shaft over the frame [1/min]; NaN where unknown
 * @param lowRpm lower end of the 95 % interval of that mean [1/min]; NaN where unknown
 * @param highRpm upper end of the 95 % interval of that mean [1/min]; NaN where unknown
 */
public record SpeedTrack(double[] timeS, double[] rpm, double[] lowRpm, double[] highRpm) {
  /** Checks the components. {@inheritDoc} */
  public SpeedTrack {
    if (rpm.length != timeS.length
        || lowRpm.length != timeS.length
        || highRpm.length != timeS.length) {
      throw new IllegalArgumentException(
          "timeS, rpm, lowRpm, highRpm: of equal length, got "
              + timeS.length
              + ", "
              + rpm.length
              + ", "
              + lowRpm.length
              + ", "
              + highRpm.length);
    }
  }

  /**
   * Number of frames.
   *
   * @return length of the arrays
   */
  public int frames() {
    return timeS.length;
  }

  /**
   * Share of the frames whose speed is known.
   *
   * @return 0 to 1; 0 without frames
   */
  public double knownFraction() {
    int known = 0;
    for (double value : rpm) {
      if (!Double.isNaN(value)) {
        known++;
      }
    }
    return rpm.length == 0 ? 0.0 : (double) known / rpm.length;
  }

  /**
   * The same track as another multiple of the shaft's speed.
   *
   * @param factor factor [1], above 0
   * @return every speed times the factor
   */
  public SpeedTrack times(double factor) {
    return new SpeedTrack(
        timeS, scaled(rpm, factor), scaled(lowRpm, factor), scaled(highRpm, factor));
  }

  /**
   * Speed at any time: linear between the middles of known frames, level over the outer half frame.
   *
   * @param seconds time [s]
   * @return speed [1/min], or NaN where the frames around it are unknown
   */
  public double rpmAt(double seconds) {
    if (timeS.length == 0) {
      return Double.NaN;
    }
    if (timeS.length == 1) {
      return rpm[0];
    }
    double step = timeS[1] - timeS[0];
    double place = (seconds - timeS[0]) / step;
    if (!(place >= -0.5 && place <= timeS.length - 0.5)) {
      return Double.NaN;
    }
    int left = Math.max(0, Math.min(timeS.length - 2, (int) Math.floor(place)));
    double share = Math.max(0.0, Math.min(1.0, place - left));
    double a = rpm[left];
    double b = rpm[left + 1];
    if (Double.isNaN(a) || Double.isNaN(b)) {
      return share < 0.5 ? a : b;
    }
    return a + share * (b - a);
  }

  private static double[] scaled(double[] values, double factor) {
    double[] result = new double[values.length];
    for (int i = 0; i < values.length; i++) {
      result[i] = values[i] * factor;
    }
    return result;
  }
}
