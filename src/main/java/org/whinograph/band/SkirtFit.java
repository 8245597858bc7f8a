package org.whinograph.band;

import java.util.Arrays;

/**
 * Fits the poles of a band-pass so that its attenuation in decibels follows the analogue one, by
 * Levenberg–Marquardt steps with exact derivatives.
 */
final class SkirtFit {
  private static final int UNKNOWNS = PolePairs.NUMBERS;
  private static final int STEPS = 60;
  private static final double FIT_END = 0.475;
  private static final double FIT_DEPTH_DB = 85.0;
  private static final int PASS_POINTS = 61;
  private static final int LOWER_POINTS = 25;
  private static final int UPPER_POINTS = 16;

  private final double[] cosines = new double[PASS_POINTS + LOWER_POINTS + UPPER_POINTS];
  private final double[] wanted = new double[cosines.length];
  private final double[] weights = new double[cosines.length];
  private final double midbandCosine;
  private int points;

  SkirtFit(Band band, double rateHz, double centreHz, double width) {
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
    return PolePairs.DECIBEL * Math.log1p(Math.pow(x, 6));
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
        double trialCost = PolePairs.stable(trial) ? cost(trial) : Double.POSITIVE_INFINITY;
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

  private double cost(double[] a) {
    double reference = PolePairs.attenuation(a, midbandCosine);
    double sum = 0.0;
    for (int i = 0; i < points; i++) {
      double residual = weights[i] * (PolePairs.attenuation(a, cosines[i]) - reference - wanted[i]);
      sum += residual * residual;
    }
    return sum;
  }

  private void linearise(double[] a, double[][] normal, double[] gradient) {
    double reference = PolePairs.attenuation(a, midbandCosine);
    double[] atMidband = new double[UNKNOWNS];
    slopes(a, midbandCosine, atMidband);
    double[] row = new double[UNKNOWNS];
    for (int i = 0; i < UNKNOWNS; i++) {
      gradient[i] = 0.0;
      Arrays.fill(normal[i], 0.0);
    }
    for (int i = 0; i < points; i++) {
      double residual = weights[i] * (PolePairs.attenuation(a, cosines[i]) - reference - wanted[i]);
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
      double scale = PolePairs.DECIBEL / PolePairs.sectionPower(a[i], a[i + 1], c, c2);
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
