package org.whinograph.band;

/**
 * What a filter passes of pink and of white noise against the ideal band between the edges: the
 * integrals over the whole response, including what a decimator before it folds in.
 *
 * <p>The trapezoidal rule over ln f; the integrand is smooth and vanishes at both ends.
 */
final class BandwidthIntegral {
  private static final int POINTS = 800;

  private final Band band;
  private final double[] cosines = new double[POINTS];
  private final double[] weights = new double[POINTS];
  private final double[] frequencies = new double[POINTS];
  private final double midbandCosine;

  BandwidthIntegral(Band band, double rateHz, boolean decimated) {
    this.band = band;
    this.midbandCosine = Math.cos(2.0 * Math.PI * band.midbandHz() / rateHz);
    double low = Math.log(band.midbandHz() / 20.0);
    double high = Math.log(decimated ? rateHz : 0.5 * rateHz);
    double step = (high - low) / (POINTS - 1);
    for (int i = 0; i < POINTS; i++) {
      double frequency = Math.exp(low + i * step);
      double part = 0.5 * frequency / rateHz;
      frequencies[i] = frequency;
      cosines[i] = Math.cos(2.0 * Math.PI * frequency / rateHz);
      weights[i] = step;
      if (decimated && part > 0.2) {
        double before = HalfBandDecimator.response(part).abs();
        weights[i] *= before * before;
      }
    }
  }

  /** Level errors of pink and of white noise [dB]. */
  double[] errors(double[] a) {
    double reference = PolePairs.power(a, midbandCosine);
    double pink = 0.0;
    double white = 0.0;
    for (int i = 0; i < POINTS; i++) {
      double c = cosines[i];
      double gain = weights[i] * PolePairs.power(a, c);
      pink += gain;
      white += gain * frequencies[i];
    }
    return new double[] {
      PolePairs.DECIBEL * Math.log(pink / (reference * band.logWidth())),
      PolePairs.DECIBEL * Math.log(white / (reference * band.widthHz()))
    };
  }
}
