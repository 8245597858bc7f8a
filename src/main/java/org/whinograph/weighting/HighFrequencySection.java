package org.whinograph.weighting;

/**
 * The section that stands for the double pole at 12 194 Hz of A and C at a given sample rate.
 *
 * <p>Why fitted: that pole lies so close to half the sample rate that at 48 kHz mapping it by
 * e^(−2πf4/fs) reads 2.8 dB high at 16 kHz, and the bilinear transform 6 dB low. Here 3 zeros and 2
 * poles are fitted to the squared magnitude that is still wanted once the low poles have done their
 * part, so their own small error at high frequencies is taken up as well.
 *
 * <p>How: on the unit circle the squared magnitude of such a section is a ratio P(u)/Q(u) of
 * polynomials of degree 3 and 2 in u = sin²(πf/fs)/sin²(πf_top/fs). The ratio is fitted in the
 * minimax sense, in relative error, with the exact value held at 1 kHz: an exchange of reference
 * frequencies (Remez) over a fixed grid, in which the product of levelled error and denominator is
 * linearised about the denominator before. Each root u of P and Q is a pair z, 1/z with z + 1/z = 2
 * − 4u·sin²(πf_top/fs); those inside the unit circle are kept, so the section is stable and of
 * minimum phase. There is no random element: a rate gives the same bits always.
 *
 * @param zeros numerator 1 + b1 z⁻¹ + b2 z⁻² + b3 z⁻³ [b1, b2, b3]
 * @param poles denominator 1 + a1 z⁻¹ + a2 z⁻² [a1, a2]
 */
record HighFrequencySection(double[] zeros, double[] poles) {
  /** Frequency up to which the fit holds, unless 0.45 of the rate is lower [Hz]. */
  private static final double TOP_HZ = 20_000.0;

  /** Part of the sample rate up to which the fit holds. */
  private static final double TOP_OF_RATE = 0.45;

  /** Lowest frequency of the fit [Hz]; below it the target is flat. */
  private static final double BOTTOM_HZ = 10.0;

  private static final int GRID = 256;
  private static final int UNKNOWNS = 7;
  private static final int REFERENCES = UNKNOWNS - 1;
  private static final int MOST_EXCHANGES = 20;

  /** The exchange ends when the largest error exceeds the levelled one by no more than this. */
  private static final double LEVELLED = 1.001;

  /** What the section has to do at a frequency. */
  @FunctionalInterface
  interface Target {
    /**
     * Squared magnitude, 1 at 1 kHz.
     *
     * @param frequencyHz frequency [Hz]
     * @return squared magnitude [1]
     */
    double energyRatioAt(double frequencyHz);
  }

  /**
   * Highest frequency at which the weightings are held to their accuracy.
   *
   * @param sampleRateHz frames a second [Hz]
   * @return 20 kHz or 0.45 of the rate, whichever is lower [Hz]
   */
  static double topHz(double sampleRateHz) {
    return Math.min(TOP_HZ, TOP_OF_RATE * sampleRateHz);
  }

  /**
   * Fits the section.
   *
   * @param sampleRateHz frames a second [Hz]
   * @param target what is wanted
   * @return the section; its gain is left to the caller
   */
  static HighFrequencySection fit(double sampleRateHz, Target target) {
    double top = topHz(sampleRateHz);
    double scale = sine2(top, sampleRateHz);
    double[] u = new double[GRID];
    double[] wanted = new double[GRID];
    for (int i = 0; i < GRID; i++) {
      // Dense at both ends, where the extrema of a minimax error crowd.
      double f = Math.max(BOTTOM_HZ, top * sine2(i, 2.0 * (GRID - 1)));
      u[i] = sine2(f, sampleRateHz) / scale;
      wanted[i] = target.energyRatioAt(f);
    }
    double reference = sine2(FrequencyWeighting.REFERENCE_HZ, sampleRateHz) / scale;
    double[] best = exchange(u, wanted, reference);
    return new HighFrequencySection(
        insideUnitCircle(new double[] {best[0], best[1], best[2], best[3]}, scale),
        insideUnitCircle(new double[] {1.0, best[4], best[5]}, scale));
  }

  /**
   * Squared magnitude of the section.
   *
   * @param frequencyHz frequency [Hz]
   * @param sampleRateHz frames a second [Hz]
   * @return squared magnitude [1]
   */
  double energyRatioAt(double frequencyHz, double sampleRateHz) {
    double w = 2.0 * Math.PI * frequencyHz / sampleRateHz;
    return squaredMagnitude(w, zeros) / squaredMagnitude(w, poles);
  }

  private static double squaredMagnitude(double w, double[] coefficients) {
    double real = 1.0;
    double imaginary = 0.0;
    for (int k = 0; k < coefficients.length; k++) {
      real += coefficients[k] * Math.cos((k + 1) * w);
      imaginary -= coefficients[k] * Math.sin((k + 1) * w);
    }
    return real * real + imaginary * imaginary;
  }

  /** sin²(π·part/whole). */
  private static double sine2(double part, double whole) {
    double s = Math.sin(Math.PI * part / whole);
    return s * s;
  }

  /** Coefficients c0 … c3 of P and q1, q2 of Q (q0 = 1) with the least largest relative error. */
  private static double[] exchange(double[] u, double[] wanted, double reference) {
    int[] at = new int[REFERENCES];
    for (int k = 0; k < REFERENCES; k++) {
      double node = sine2(k + 0.5, 2.0 * REFERENCES);
      int i = 0;
      while (i < GRID - 1 && u[i] < node) {
        i++;
      }
      at[k] = i;
    }
    double[] denominator = new double[GRID];
    java.util.Arrays.fill(denominator, 1.0);
    double[] error = new double[GRID];
    double[] best = null;
    double least = Double.POSITIVE_INFINITY;
    for (int n = 0; n < MOST_EXCHANGES; n++) {
      double[] solution = level(u, wanted, reference, at, denominator);
      double largest = 0.0;
      for (int i = 0; i < GRID; i++) {
        double x = u[i];
        double p = ((solution[3] * x + solution[2]) * x + solution[1]) * x + solution[0];
        denominator[i] = (solution[5] * x + solution[4]) * x + 1.0;
        error[i] = p / (denominator[i] * wanted[i]) - 1.0;
        largest = Math.max(largest, Math.abs(error[i]));
      }
      if (largest < least) {
        least = largest;
        best = solution;
      }
      if (largest <= LEVELLED * Math.abs(solution[6]) || !extrema(error, at)) {
        break;
      }
    }
    return best;
  }

  /** Solves for an error that alternates with equal size at the reference frequencies. */
  private static double[] level(
      double[] u, double[] wanted, double reference, int[] at, double[] denominator) {
    double[][] rows = new double[UNKNOWNS][UNKNOWNS + 1];
    for (int k = 0; k < REFERENCES; k++) {
      int i = at[k];
      row(rows[k], u[i], wanted[i]);
      rows[k][6] = (k % 2 == 0 ? -1.0 : 1.0) * wanted[i] * denominator[i];
    }
    row(rows[REFERENCES], reference, 1.0);
    return solve(rows);
  }

  private static void row(double[] row, double u, double wanted) {
    row[0] = 1.0;
    row[1] = u;
    row[2] = u * u;
    row[3] = u * u * u;
    row[4] = -wanted * u;
    row[5] = -wanted * u * u;
    row[7] = wanted;
  }

  /** Gaussian elimination with row pivoting. */
  private static double[] solve(double[][] rows) {
    int n = rows.length;
    for (int k = 0; k < n; k++) {
      int pivot = k;
      for (int i = k + 1; i < n; i++) {
        if (Math.abs(rows[i][k]) > Math.abs(rows[pivot][k])) {
          pivot = i;
        }
      }
      double[] swap = rows[k];
      rows[k] = rows[pivot];
      rows[pivot] = swap;
      for (int i = k + 1; i < n; i++) {
        double factor = rows[i][k] / rows[k][k];
        for (int j = k; j <= n; j++) {
          rows[i][j] -= factor * rows[k][j];
        }
      }
    }
    double[] x = new double[n];
    for (int k = n - 1; k >= 0; k--) {
      double sum = rows[k][n];
      for (int j = k + 1; j < n; j++) {
        sum -= rows[k][j] * x[j];
      }
      x[k] = sum / rows[k][k];
    }
    return x;
  }

  /**
   * Moves the references to the extrema of the error, one for each run of one sign; false if there
   * are too few, which means that rounding is all that is left of the error.
   */
  private static boolean extrema(double[] error, int[] at) {
    int[] found = new int[GRID];
    int count = 0;
    int i = 0;
    while (i < GRID) {
      int peak = i;
      int j = i;
      while (j < GRID && error[j] > 0.0 == error[i] > 0.0) {
        if (Math.abs(error[j]) > Math.abs(error[peak])) {
          peak = j;
        }
        j++;
      }
      found[count++] = peak;
      i = j;
    }
    if (count < REFERENCES) {
      return false;
    }
    int first = 0;
    while (count - first > REFERENCES) {
      if (Math.abs(error[found[first]]) < Math.abs(error[found[count - 1]])) {
        first++;
      } else {
        count--;
      }
    }
    System.arraycopy(found, first, at, 0, REFERENCES);
    return true;
  }

  /**
   * The polynomial in z⁻¹ whose squared magnitude is proportional to a polynomial in u.
   *
   * @param c coefficients of u⁰, u¹ … [length 3 or 4]
   * @return coefficients of z⁻¹, z⁻² … of the monic polynomial [length one less]
   */
  private static double[] insideUnitCircle(double[] c, double scale) {
    double[] quadratic = c;
    double single = 0.0;
    if (c.length == 4) {
      double root = realRoot(c);
      single = -inside(1.0 - 2.0 * scale * root);
      double c2 = c[3];
      double c1 = c[2] + root * c2;
      quadratic = new double[] {c[1] + root * c1, c1, c2};
    }
    double half = -quadratic[1] / (2.0 * quadratic[2]);
    double discriminant = half * half - quadratic[0] / quadratic[2];
    double sum;
    double product;
    if (discriminant >= 0.0) {
      double root = Math.sqrt(discriminant);
      double z1 = inside(1.0 - 2.0 * scale * (half + root));
      double z2 = inside(1.0 - 2.0 * scale * (half - root));
      sum = z1 + z2;
      product = z1 * z2;
    } else {
      double real = 1.0 - 2.0 * scale * half;
      double imaginary = 2.0 * scale * Math.sqrt(-discriminant);
      // |z| + 1/|z| = |x + 1| + |x − 1| for z + 1/z = 2x (the ellipse with foci at ±1).
      double ellipse = Math.hypot(real + 1.0, imaginary) + Math.hypot(real - 1.0, imaginary);
      double modulus = inside(ellipse / 2.0);
      product = modulus * modulus;
      // Re(z + 1/z) = Re z · (1 + 1/|z|²) = 2 Re x.
      sum = 4.0 * real * product / (1.0 + product);
    }
    if (c.length == 3) {
      return new double[] {-sum, product};
    }
    return new double[] {-sum + single, product - sum * single, product * single};
  }

  /** The z inside the unit circle with z + 1/z = 2x, for real |x| above 1. */
  private static double inside(double x) {
    return 1.0 / (x + Math.copySign(Math.sqrt(x * x - 1.0), x));
  }

  /** A real root of a cubic, bisected between Cauchy's bounds, where its signs differ. */
  private static double realRoot(double[] c) {
    double bound =
        1.0 + Math.max(Math.abs(c[0]), Math.max(Math.abs(c[1]), Math.abs(c[2]))) / Math.abs(c[3]);
    double low = -bound;
    double high = bound;
    double middle = 0.0;
    while (middle > low && middle < high) {
      double value = ((c[3] * middle + c[2]) * middle + c[1]) * middle + c[0];
      if (value > 0.0 == c[3] > 0.0) {
        high = middle;
      } else {
        low = middle;
      }
      middle = low + (high - low) / 2.0;
    }
    return middle;
  }
}
