package org.whinograph.speed;

/**
 * Spacing of a comb along a run of frames, straight between their centres.
 *
 * @param times centres of the frames, evenly spaced [samples]
 * @param hz spacing at those centres [Hz, known within the run]
 * @param from first frame
 * @param to end, exclusive, two frames further at least
 */
record SpacingRun(double[] times, double[] hz, int from, int to) {
  /** Centre of the first frame [samples]. */
  double begin() {
    return times[from];
  }

  /** Centre of the last frame [samples]. */
  double end() {
    return times[to - 1];
  }

  /** Spacing at a moment [Hz]. */
  double at(double time) {
    double place = (time - times[from]) / frameStep();
    int left = Math.min(to - 2 - from, (int) place);
    double a = hz[from + left];
    return a + (place - left) * (hz[from + left + 1] - a);
  }

  /** Greatest spacing of the run [Hz]. */
  double highest() {
    double highest = 0.0;
    for (int i = from; i < to; i++) {
      highest = Math.max(highest, hz[i]);
    }
    return highest;
  }

  /**
   * Least spacing while a comb goes through so many cycles from a moment on, or to the end.
   *
   * @param rate rate of the samples [Hz]
   */
  double lowest(double time, double cycles, double rate) {
    double lowest = at(time);
    double passed = 0.0;
    int i = from + (int) Math.ceil((time - times[from]) / frameStep());
    boolean last = false;
    while (i < to && !last) {
      lowest = Math.min(lowest, hz[i]);
      // The cycles end between two frames: the latter counts too.
      last = passed > cycles;
      passed += hz[i] * frameStep() / rate;
      i++;
    }
    return lowest;
  }

  private double frameStep() {
    return times[from + 1] - times[from];
  }
}
