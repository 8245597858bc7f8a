package org.whinograph.speed;

/** Smooths a path by local straight lines. */
final class LocalLines {
  private LocalLines() {}

  /**
   * Local straight lines in Hz through logarithmic values, weighed by precision and a bell of the
   * given width: a ramp even in Hz stays as it is.
   */
  static double[] smoothed(double[] values, double[] precision, double width) {
    int n = values.length;
    int half = (int) Math.ceil(2.5 * width);
    double[] result = new double[n];
    double[] hz = new double[n];
    for (int i = 0; i < n; i++) {
      hz[i] = Math.exp(values[i]);
    }
    double[] bell = new double[half + 1];
    for (int k = 0; k <= half; k++) {
      bell[k] = Math.exp(-0.5 * k * k / (width * width));
    }
    for (int i = 0; i < n; i++) {
      double s0 = 0.0;
      double s1 = 0.0;
      double s2 = 0.0;
      double y0 = 0.0;
      double y1 = 0.0;
      double least = Double.POSITIVE_INFINITY;
      double greatest = 0.0;
      for (int k = Math.max(0, i - half); k <= Math.min(n - 1, i + half); k++) {
        double x = k - i;
        double w = precision[k] * bell[Math.abs(k - i)];
        s0 += w;
        s1 += w * x;
        s2 += w * x * x;
        y0 += w * hz[k];
        y1 += w * x * hz[k];
        least = Math.min(least, hz[k]);
        greatest = Math.max(greatest, hz[k]);
      }
      double determinant = s0 * s2 - s1 * s1;
      double local = determinant > 1e-9 * s0 * s2 ? (s2 * y0 - s1 * y1) / determinant : y0 / s0;
      // Weights that differ by orders of magnitude make a line swing beyond all values.
      result[i] = Math.log(Math.max(least, Math.min(greatest, local)));
    }
    return result;
  }
}
