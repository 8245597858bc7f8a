package org.whinograph.weighting;

/**
 * Runs the A and C weighting of a {@link WeightingDesign} over samples, in double precision.
 *
 * <p>The order of the sections is that of noise: the fitted section first, whose poles lie well
 * inside the unit circle, then each pole near z = 1 behind the difference of its input, so that a
 * constant input gives exactly 0 once the fitted section has come to rest, and rounding at z = 1 is
 * never integrated. Results never depend on how the samples are cut into runs. Keeps state; for use
 * by one thread at a time.
 */
public final class WeightingFilter {
  /**
   * State this small is set to 0 by {@link #quench}: 800 dB below full scale, far above the range
   * in which arithmetic slows down.
   */
  private static final double NOTHING = 1e-40;

  private final double b0;
  private final double b1;
  private final double b2;
  private final double b3;
  private final double a1;
  private final double a2;
  private final double p1;
  private final double p2;
  private final double p3;
  private final double aGain;

  private double s1;
  private double s2;
  private double s3;
  private double section;
  private double firstC;
  private double c;
  private double firstA;
  private double a;

  /**
   * A filter at rest.
   *
   * @param sampleRateHz frames a second [Hz], within the limits of {@link WeightingDesign#forRate}
   * @throws IllegalArgumentException if the rate is outside the limits
   */
  public WeightingFilter(double sampleRateHz) {
    WeightingDesign design = WeightingDesign.forRate(sampleRateHz);
    double[] zeros = design.section().zeros();
    double[] poles = design.section().poles();
    this.b0 = design.cGain();
    this.b1 = b0 * zeros[0];
    this.b2 = b0 * zeros[1];
    this.b3 = b0 * zeros[2];
    this.a1 = poles[0];
    this.a2 = poles[1];
    this.p1 = design.pole(FrequencyWeighting.F1_HZ);
    this.p2 = design.pole(FrequencyWeighting.F2_HZ);
    this.p3 = design.pole(FrequencyWeighting.F3_HZ);
    this.aGain = design.aGain();
  }

  /**
   * Puts the filter in the state that a constant input for ever would have left.
   *
   * @param constant the input [unit of the samples]; 0 is a filter at rest
   */
  public void settle(double constant) {
    double y = constant * (b0 + b1 + b2 + b3) / (1.0 + a1 + a2);
    s3 = b3 * constant;
    s2 = b2 * constant - a2 * y + s3;
    s1 = b1 * constant - a1 * y + s2;
    section = y;
    firstC = 0.0;
    c = 0.0;
    firstA = 0.0;
    a = 0.0;
  }

  /**
   * Weights a run of samples.
   *
   * @param samples input
   * @param from index of the first sample
   * @param length number of samples
   * @param weightedC C-weighted samples out [unit of the samples, from index 0, at least {@code
   *     length}]
   * @param weightedA A-weighted samples out, likewise
   */
  public void process(
      double[] samples, int from, int length, double[] weightedC, double[] weightedA) {
    double s1 = this.s1;
    double s2 = this.s2;
    double s3 = this.s3;
    double section = this.section;
    double firstC = this.firstC;
    double c = this.c;
    double firstA = this.firstA;
    double a = this.a;
    for (int i = 0; i < length; i++) {
      double x = samples[from + i];
      double y = b0 * x + s1;
      s1 = b1 * x - a1 * y + s2;
      s2 = b2 * x - a2 * y + s3;
      s3 = b3 * x;

      double oldFirstC = firstC;
      firstC = p1 * firstC + (y - section);
      section = y;
      double oldC = c;
      c = p1 * c + (firstC - oldFirstC);
      weightedC[i] = c;

      double oldFirstA = firstA;
      firstA = p2 * firstA + (c - oldC);
      a = p3 * a + aGain * (firstA - oldFirstA);
      weightedA[i] = a;
    }
    this.s1 = s1;
    this.s2 = s2;
    this.s3 = s3;
    this.section = section;
    this.firstC = firstC;
    this.c = c;
    this.firstA = firstA;
    this.a = a;
  }

  /**
   * Sets what has decayed to nothing to 0, so that digital silence doesn't end in subnormal
   * numbers, on which processors are slow. Called every tenth of a second or so, at positions that
   * don't depend on how the samples come in.
   */
  public void quench() {
    s1 = quenched(s1);
    s2 = quenched(s2);
    s3 = quenched(s3);
    section = quenched(section);
    firstC = quenched(firstC);
    c = quenched(c);
    firstA = quenched(firstA);
    a = quenched(a);
  }

  private static double quenched(double state) {
    return Math.abs(state) < NOTHING ? 0.0 : state;
  }
}
