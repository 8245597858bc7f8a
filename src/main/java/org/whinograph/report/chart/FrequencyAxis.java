package org.whinograph.report.chart;

/**
 * The one frequency axis that the panels of a sheet share: logarithmic, from the lower edge of the
 * 20 Hz band to the upper edge of the 20 kHz band.
 */
record FrequencyAxis(double left, double right) {
  /** Nominal octave midbands, which axes name [Hz]. */
  static final double[] TICKS = {
    31.5, 63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 16_000.0
  };

  private static final double LOW_HZ = 1000.0 * Math.pow(10.0, -1.75);
  private static final double HIGH_HZ = 1000.0 * Math.pow(10.0, 1.35);

  /** Place of a frequency [px]. */
  double x(double hz) {
    return left + (right - left) * Math.log(hz / LOW_HZ) / Math.log(HIGH_HZ / LOW_HZ);
  }

  /** Frequency at a place [Hz]. */
  double hz(double x) {
    return LOW_HZ * Math.pow(HIGH_HZ / LOW_HZ, (x - left) / (right - left));
  }

  boolean holds(double hz) {
    return hz >= LOW_HZ && hz <= HIGH_HZ;
  }

  /** Exact midband of a nominal octave, where its tick stands [Hz]. */
  static double midband(double nominal) {
    return 1000.0 * Math.pow(10.0, Math.rint(10.0 * Math.log10(nominal / 1000.0)) / 10.0);
  }
}
