package org.whinograph.band;

import org.apache.commons.math3.complex.Complex;

/**
 * The digital filter of one band at one sample rate: order 3 (six poles), with the skirts of the
 * analogue Butterworth band-pass that IEC 61260-1 grew up with.
 *
 * <p>The bilinear transform can't serve: near half the rate it squeezes the upper skirt and starves
 * the lower one, so that order 3 misses the class 1 mask at 16 and 20 kHz for 48 kHz. Here the
 * zeros are fixed, (1 − z⁻¹)³ (1 + z⁻¹), the three at z = 1 giving the analogue slope of 18 dB an
 * octave at the low end, and the six poles are fitted, by damped Gauss–Newton steps, so that the
 * attenuation follows
 *
 * <pre>A(f) = 10 lg(1 + X⁶) dB,  X = (f/f0 − f0/f) / w</pre>
 *
 * (the order-3 Butterworth band-pass; f0 its centre, w its relative 3 dB bandwidth) from far down
 * the lower skirt to 0.475 of the rate. The zeros being the same for every band of one rate, they
 * are computed once for all of them and each section costs two multiplications.
 *
 * <p>Bandwidth matching: f0 and w are then adjusted until the filter passes as much white noise
 * <em>and</em> as much pink noise as the ideal band between the edges. For pink noise this is the
 * normalized effective bandwidth of IEC 61260-1:2014, 5.12 (integral of the relative power over
 * df/f against (ln G)/b); the white one weighs with df against f2 − f1. Left out, an order-3
 * Butterworth filter with its 3 dB points on the band edges reads noise high by 10
 * lg[(π/6)/sin(π/6)] = 0.20 dB. Gain at the exact midband frequency is 1.
 *
 * <p>Immutable.
 */
final class BandPassDesign {
  /**
   * Highest upper band edge that a filter is designed for, as part of the rate. Up to here the
   * fitted filter keeps the class 1 mask, and the decimators are flat.
   */
  static final double HIGHEST_EDGE = 2.0 * HalfBandDecimator.PASS;

  private static final int MATCHING_ROUNDS = 30;
  private static final double MATCHED_DB = 2e-4;

  private final Band band;
  private final double rateHz;
  private final double[] a;
  private final double shift;
  private final double widening;
  private final double midbandPower;

  private BandPassDesign(Band band, double rateHz, double[] a, double shift, double widening) {
    this.band = band;
    this.rateHz = rateHz;
    this.a = a.clone();
    this.shift = shift;
    this.widening = widening;
    this.midbandPower = PolePairs.power(a, Math.cos(2.0 * Math.PI * band.midbandHz() / rateHz));
  }

  /**
   * Designs a filter.
   *
   * @param band the band
   * @param rateHz sample rate that the filter runs at [Hz]; the band's upper edge at most {@link
   *     #HIGHEST_EDGE} of it
   * @param decimated whether a {@link HalfBandDecimator} stands before it, whose images then count
   *     towards the bandwidth
   * @param similar a design of a band of the same kind to start from if its midband is nearly the
   *     same part of the rate, or null
   * @return the filter
   */
  static BandPassDesign of(Band band, double rateHz, boolean decimated, BandPassDesign similar) {
    if (!(band.upperHz() <= HIGHEST_EDGE * rateHz)) {
      throw new IllegalArgumentException(
          "rateHz: at least "
              + band.upperHz() / HIGHEST_EDGE
              + " for an upper edge of "
              + band.upperHz()
              + ", got "
              + rateHz);
    }
    BandwidthIntegral integral = new BandwidthIntegral(band, rateHz, decimated);
    boolean near =
        similar != null
            && Math.abs(Math.log(similar.relativeMidband() * rateHz / band.midbandHz())) < 0.05;
    double shift = near ? similar.shift : 0.0;
    double widening = near ? similar.widening : 0.955;
    double[] poles = near ? similar.a.clone() : null;
    for (int round = 0; round < MATCHING_ROUNDS; round++) {
      double centre = band.midbandHz() * Math.exp(shift);
      double width = widening * 2.0 * Math.sinh(0.5 * band.logWidth());
      if (poles == null) {
        poles = matchedPoles(centre, width, rateHz);
      }
      new SkirtFit(band, rateHz, centre, width).improve(poles);
      double[] errors = integral.errors(poles);
      if (Math.abs(errors[0]) < MATCHED_DB && Math.abs(errors[1]) < MATCHED_DB) {
        return new BandPassDesign(band, rateHz, poles, shift, widening);
      }
      // Widening moves both levels alike; shifting by s nepers moves white against pink by 4.34 s.
      widening *= Math.exp(-errors[0] / PolePairs.DECIBEL);
      shift -= (errors[1] - errors[0]) / PolePairs.DECIBEL;
    }
    throw new IllegalStateException(
        "no bandwidth match for the band at " + band.label() + " at " + rateHz + " Hz");
  }

  /** The band. */
  Band band() {
    return band;
  }

  /**
   * Denominators 1 + a1 z⁻¹ + a2 z⁻² of the sections.
   *
   * @return a1 and a2 of section 1, 2, 3 [length 6]
   */
  double[] denominators() {
    return a.clone();
  }

  /** Power gain at midband with the numerator unscaled: output energies are divided by it. */
  double midbandPower() {
    return midbandPower;
  }

  /**
   * Frequency response, 1 in magnitude at midband.
   *
   * @param frequencyHz frequency [Hz]
   * @return H
   */
  Complex response(double frequencyHz) {
    double omega = 2.0 * Math.PI * frequencyHz / rateHz;
    Complex delay = new Complex(Math.cos(omega), -Math.sin(omega));
    Complex difference = Complex.ONE.subtract(delay);
    Complex h = difference.multiply(difference).multiply(difference).multiply(delay.add(1.0));
    for (int i = 0; i < a.length; i += 2) {
      h = h.divide(delay.multiply(a[i + 1]).add(a[i]).multiply(delay).add(1.0));
    }
    return h.divide(Math.sqrt(midbandPower));
  }

  /** Midband frequency as part of the rate. */
  double relativeMidband() {
    return band.midbandHz() / rateHz;
  }

  /** Group delay at midband [s]. */
  double delaySeconds() {
    double step = 1e-4 * band.midbandHz();
    Complex ratio = response(band.midbandHz() - step).divide(response(band.midbandHz() + step));
    return ratio.getArgument() / (2.0 * Math.PI * 2.0 * step);
  }

  /** Poles e^(sT) of the analogue filter's poles s: where the fit starts. */
  static double[] matchedPoles(double centreHz, double width, double rateHz) {
    double radians = 2.0 * Math.PI * centreHz / rateHz;
    double[] a = new double[PolePairs.NUMBERS];
    Complex upper = new Complex(-0.5, Math.sqrt(0.75)).multiply(width);
    Complex root = upper.multiply(upper).subtract(4.0).sqrt();
    Complex[] poles = {
      upper.add(root).multiply(0.5 * radians),
      upper.subtract(root).multiply(0.5 * radians),
      new Complex(-0.5 * width, Math.sqrt(1.0 - 0.25 * width * width)).multiply(radians)
    };
    for (int i = 0; i < poles.length; i++) {
      Complex z = poles[i].exp();
      a[2 * i] = -2.0 * z.getReal();
      a[2 * i + 1] = z.getReal() * z.getReal() + z.getImaginary() * z.getImaginary();
    }
    return a;
  }
}
