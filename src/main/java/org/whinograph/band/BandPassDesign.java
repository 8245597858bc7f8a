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
 * the lower skirt to 0.48 of the rate. The zeros being the same for every band of one rate, they
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

  private static final double DECIBEL = 10.0 / Math.log(10.0);
  private static final double FIT_END = 0.48;
  private static final double FIT_DEPTH_DB = 85.0;
  private static final int MATCHING_ROUNDS = 30;
  private static final double MATCHED_DB = 2e-4;
  private static final int STEPS = 60;

  private final Band band;
  private final double rateHz;
  private final double[] a;
  private final double midbandPower;

  private BandPassDesign(Band band, double rateHz, double[] a) {
    this.band = band;
    this.rateHz = rateHz;
    this.a = a.clone();
    this.midbandPower = power(a, 2.0 * Math.PI * band.midbandHz() / rateHz);
  }

  /**
   * Designs a filter.
   *
   * @param band the band
   * @param rateHz sample rate that the filter runs at [Hz]; the band's upper edge at most {@link
   *     #HIGHEST_EDGE} of it
   * @param decimated whether a {@link HalfBandDecimator} stands before it, whose images then count
   *     towards the bandwidth
   * @return the filter
   */
  static BandPassDesign of(Band band, double rateHz, boolean decimated) {
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
    double shift = 0.0;
    double widening = 0.955;
    double[] poles = null;
    for (int round = 0; round < MATCHING_ROUNDS; round++) {
      double centre = band.midbandHz() * Math.exp(shift);
      double width = widening * 2.0 * Math.sinh(0.5 * band.logWidth());
      if (poles == null) {
        poles = matchedPoles(centre, width, rateHz);
      }
      new Fit(band, rateHz, centre, width).improve(poles);
      double[] errors = integral.errors(poles);
      if (Math.abs(errors[0]) < MATCHED_DB && Math.abs(errors[1]) < MATCHED_DB) {
        return new BandPassDesign(band, rateHz, poles);
      }
      // Widening moves both levels alike; shifting by s nepers moves white against pink by 4.34 s.
      widening *= Math.exp(-errors[0] / DECIBEL);
      shift -= (errors[1] - errors[0]) / DECIBEL;
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

  /** Group delay at midband [s]. */
  double delaySeconds() {
    double step = 1e-4 * band.midbandHz();
    Complex ratio = response(band.midbandHz() - step).divide(response(band.midbandHz() + step));
    return ratio.getArgument() / (2.0 * Math.PI * 2.0 * step);
  }

  /** |H|² with the numerator unscaled. */
  private static double power(double[] a, double omega) {
    double c = Math.cos(omega);
    double zeros = 8.0 * Math.pow(1.0 - c, 3) * 2.0 * (1.0 + c);
    return zeros / poleProduct(a, c);
  }

  private static double poleProduct(double[] a, double c) {
    double c2 = 2.0 * c * c - 1.0;
    double product = 1.0;
    for (int i = 0; i < a.length; i += 2) {
      product *= sectionPower(a[i], a[i + 1], c, c2);
    }
    return product;
  }

  private static double sectionPower(double a1, double a2, double c, double c2) {
    return 1.0 + a1 * a1 + a2 * a2 + 2.0 * a1 * (1.0 + a2) * c + 2.0 * a2 * c2;
  }

  /** Poles e^(sT) of the analogue filter's poles s: where the fit starts. */
  private static double[] matchedPoles(double centreHz, double width, double rateHz) {
    double radians = 2.0 * Math.PI * centreHz / rateHz;
    double[] a = new double[6];
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

  /** What the filter passes of pink and of white noise against the ideal band. */
  private static final class BandwidthIntegral {
    private static final int POINTS = 1500;

    private final Band band;
    private final double[] cosines = new double[POINTS];
    private final double[] weights = new double[POINTS];
    private final double[] frequencies = new double[POINTS];
    private final double midband;

    BandwidthIntegral(Band band, double rateHz, boolean decimated) {
      this.band = band;
      this.midband = 2.0 * Math.PI * band.midbandHz() / rateHz;
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
      double reference = power(a, midband);
      double pink = 0.0;
      double white = 0.0;
      for (int i = 0; i < POINTS; i++) {
        double c = cosines[i];
        double d = 1.0 - c;
        double gain = weights[i] * 16.0 * d * d * d * (1.0 + c) / poleProduct(a, c);
        pink += gain;
        white += gain * frequencies[i];
      }
      return new double[] {
        DECIBEL * Math.log(pink / (reference * band.logWidth())),
        DECIBEL * Math.log(white / (reference * band.widthHz()))
      };
    }
  }

  /** Least-squares fit of the attenuation [dB] to the analogue one. */
  private static final class Fit {
    private static final int UNKNOWNS = 6;
    private static final int PASS_POINTS = 61;
    private static final int LOWER_POINTS = 25;
    private static final int UPPER_POINTS = 16;

    private final double[] cosines = new double[PASS_POINTS + LOWER_POINTS + UPPER_POINTS];
    private final double[] wanted = new double[cosines.length];
    private final double[] weights = new double[cosines.length];
    private final double midbandCosine;
    private int points;

    Fit(Band band, double rateHz, double centreHz, double width) {
      midbandCosine = Math.cos(2.0 * Math.PI * band.midbandHz() / rateHz);
      double reference = butterworth(band.midbandHz() / centreHz, width);
      double bandWidth = band.logWidth();
      for (int i = 0; i < PASS_POINTS; i++) {
        double place = 0.75 * (2.0 * i / (PASS_POINTS - 1) - 1.0);
        add(band.midbandHz() * Math.exp(place * bandWidth), rateHz, centreHz, width, reference);
      }
      for (int i = 0; i < LOWER_POINTS; i++) {
        double place = 0.8 * Math.pow(12.0 / 0.8, (double) i / (LOWER_POINTS - 1));
        add(centreHz * Math.exp(-place * bandWidth), rateHz, centreHz, width, reference);
      }
      for (int i = 0; i < UPPER_POINTS; i++) {
        double place = 0.8 * Math.pow(4.0 / 0.8, (double) i / (UPPER_POINTS - 1));
        add(centreHz * Math.exp(place * bandWidth), rateHz, centreHz, width, reference);
      }
    }

    private static double butterworth(double ratio, double width) {
      double x = (ratio - 1.0 / ratio) / width;
      return DECIBEL * Math.log1p(Math.pow(x, 6));
    }

    private void add(
        double frequencyHz, double rateHz, double centreHz, double width, double reference) {
      double attenuation = butterworth(frequencyHz / centreHz, width);
      if (frequencyHz >= FIT_END * rateHz || attenuation >= FIT_DEPTH_DB) {
        return;
      }
      cosines[points] = Math.cos(2.0 * Math.PI * frequencyHz / rateHz);
      wanted[points] = attenuation - reference;
      // A decibel in the passband counts most; far down, the mask has many to spare.
      weights[points] = 1.0 / (1.0 + 0.3 * attenuation);
      points++;
    }

    /** Moves the poles to the least squares nearby. */
    void improve(double[] a) {
      double damping = 1e-3;
      double cost = cost(a);
      double[][] normal = new double[UNKNOWNS][UNKNOWNS];
      double[] gradient = new double[UNKNOWNS];
      for (int step = 0; step < STEPS; step++) {
        linearise(a, normal, gradient);
        boolean better = false;
        while (!better && damping < 1e9) {
          double[] move = solve(normal, gradient, damping);
          double[] trial = new double[UNKNOWNS];
          double size = 0.0;
          for (int i = 0; i < UNKNOWNS; i++) {
            trial[i] = a[i] - move[i];
            size = Math.max(size, Math.abs(move[i]));
          }
          double trialCost = stable(trial) ? cost(trial) : Double.POSITIVE_INFINITY;
          if (trialCost <= cost) {
            System.arraycopy(trial, 0, a, 0, UNKNOWNS);
            boolean settled = size < 1e-9 || cost - trialCost < 1e-10 * cost;
            cost = trialCost;
            damping = Math.max(1e-12, damping * 0.1);
            better = true;
            if (settled) {
              return;
            }
          } else {
            damping *= 10.0;
          }
        }
        if (!better) {
          return;
        }
      }
    }

    private static boolean stable(double[] a) {
      for (int i = 0; i < UNKNOWNS; i += 2) {
        if (!(Math.abs(a[i + 1]) < 1.0 && Math.abs(a[i]) < 1.0 + a[i + 1])) {
          return false;
        }
      }
      return true;
    }

    private double attenuation(double[] a, double c) {
      double d = 1.0 - c;
      return DECIBEL * Math.log(poleProduct(a, c) / (d * d * d * (1.0 + c)));
    }

    private double cost(double[] a) {
      double reference = attenuation(a, midbandCosine);
      double sum = 0.0;
      for (int i = 0; i < points; i++) {
        double residual = weights[i] * (attenuation(a, cosines[i]) - reference - wanted[i]);
        sum += residual * residual;
      }
      return sum;
    }

    private void linearise(double[] a, double[][] normal, double[] gradient) {
      double reference = attenuation(a, midbandCosine);
      double[] atMidband = new double[UNKNOWNS];
      slopes(a, midbandCosine, atMidband);
      double[] row = new double[UNKNOWNS];
      for (int i = 0; i < UNKNOWNS; i++) {
        gradient[i] = 0.0;
        java.util.Arrays.fill(normal[i], 0.0);
      }
      for (int i = 0; i < points; i++) {
        double residual = weights[i] * (attenuation(a, cosines[i]) - reference - wanted[i]);
        slopes(a, cosines[i], row);
        for (int j = 0; j < UNKNOWNS; j++) {
          row[j] = weights[i] * (row[j] - atMidband[j]);
        }
        for (int j = 0; j < UNKNOWNS; j++) {
          gradient[j] += row[j] * residual;
          for (int k = 0; k < UNKNOWNS; k++) {
            normal[j][k] += row[j] * row[k];
          }
        }
      }
    }

    /** Derivatives of the attenuation [dB] by a1 and a2 of each section. */
    private static void slopes(double[] a, double c, double[] out) {
      double c2 = 2.0 * c * c - 1.0;
      for (int i = 0; i < UNKNOWNS; i += 2) {
        double scale = DECIBEL / sectionPower(a[i], a[i + 1], c, c2);
        out[i] = scale * (2.0 * a[i] + 2.0 * (1.0 + a[i + 1]) * c);
        out[i + 1] = scale * (2.0 * a[i + 1] + 2.0 * a[i] * c + 2.0 * c2);
      }
    }

    /** Solves (N + damping · diag N) x = g by Cholesky decomposition. */
    private static double[] solve(double[][] normal, double[] gradient, double damping) {
      double[][] l = new double[UNKNOWNS][UNKNOWNS];
      double[] x = new double[UNKNOWNS];
      for (int i = 0; i < UNKNOWNS; i++) {
        for (int j = 0; j <= i; j++) {
          double sum = i == j ? normal[i][i] * (1.0 + damping) : normal[i][j];
          for (int k = 0; k < j; k++) {
            sum -= l[i][k] * l[j][k];
          }
          l[i][j] = i == j ? Math.sqrt(Math.max(sum, 1e-300)) : sum / l[j][j];
        }
        double sum = gradient[i];
        for (int k = 0; k < i; k++) {
          sum -= l[i][k] * x[k];
        }
        x[i] = sum / l[i][i];
      }
      for (int i = UNKNOWNS - 1; i >= 0; i--) {
        double sum = x[i];
        for (int k = i + 1; k < UNKNOWNS; k++) {
          sum -= l[k][i] * x[k];
        }
        x[i] = sum / l[i][i];
      }
      return x;
    }
  }
}
