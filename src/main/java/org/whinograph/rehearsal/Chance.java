package org.whinograph.rehearsal;

/**
 * Random numbers by position: the number at an index depends on the seed and that index only.
 *
 * <p>A device of ten hours can therefore be made in any blocks, twice, or from the middle, and
 * every sample keeps its value. The bits come from the finaliser of SplitMix64 (Steele, Lea, Flood:
 * Fast splittable pseudorandom number generators, OOPSLA 2014), the normal distribution from
 * Wichura's rational approximations of its quantile function (Algorithm AS 241, PPND16, Applied
 * Statistics 37(3), 1988; relative accuracy 1e−16). Only arithmetic that Java defines to the bit is
 * used, so that recordings come out alike on every machine.
 *
 * <p>All methods are pure and safe for use by several threads.
 */
// The coefficients stand with all the digits of their publication.
@SuppressWarnings("FloatingPointLiteralPrecision")
public final class Chance {
  private static final long GOLDEN_GAMMA = 0x9e3779b97f4a7c15L;
  private static final double UNIT = 0x1.0p-53;

  private static final double[] CENTRE_TOP = {
    2.5090809287301226727e+3,
    3.3430575583588128105e+4,
    6.7265770927008700853e+4,
    4.5921953931549871457e+4,
    1.3731693765509461125e+4,
    1.9715909503065514427e+3,
    1.3314166789178437745e+2,
    3.3871328727963666080e+0
  };
  private static final double[] CENTRE_BOTTOM = {
    5.2264952788528545610e+3,
    2.8729085735721942674e+4,
    3.9307895800092710610e+4,
    2.1213794301586595867e+4,
    5.3941960214247511077e+3,
    6.8718700749205790830e+2,
    4.2313330701600911252e+1,
    1.0
  };
  private static final double[] TAIL_TOP = {
    7.74545014278341407640e-4,
    2.27238449892691845833e-2,
    2.41780725177450611770e-1,
    1.27045825245236838258e+0,
    3.64784832476320460504e+0,
    5.76949722146069140550e+0,
    4.63033784615654529590e+0,
    1.42343711074968357734e+0
  };
  private static final double[] TAIL_BOTTOM = {
    1.05075007164441684324e-9,
    5.47593808499534494600e-4,
    1.51986665636164571966e-2,
    1.48103976427480074590e-1,
    6.89767334985100004550e-1,
    1.67638483018380384940e+0,
    2.05319162663775882187e+0,
    1.0
  };
  private static final double[] FAR_TOP = {
    2.01033439929228813265e-7,
    2.71155556874348757815e-5,
    1.24266094738807843860e-3,
    2.65321895265761230930e-2,
    2.96560571828504891230e-1,
    1.78482653991729133580e+0,
    5.46378491116411436990e+0,
    6.65790464350110377720e+0
  };
  private static final double[] FAR_BOTTOM = {
    2.04426310338993978564e-15,
    1.42151175831644588870e-7,
    1.84631831751005468180e-5,
    7.86869131145613259100e-4,
    1.48753612908506148525e-2,
    1.36929880922735805310e-1,
    5.99832206555887937690e-1,
    1.0
  };

  private Chance() {}

  /**
   * A seed of its own for each independent stream of one seed.
   *
   * @param seed seed of the whole
   * @param stream number of the stream, any value
   * @return seed of the stream
   */
  public static long stream(long seed, long stream) {
    return mix(mix(seed + GOLDEN_GAMMA) + mix(stream * GOLDEN_GAMMA + 1));
  }

  /**
   * Evenly distributed number.
   *
   * @param seed seed of the stream
   * @param index position in the stream, negative too
   * @return a number above 0 and below 1, multiples of 2^−53 shifted by half a step
   */
  public static double uniform(long seed, long index) {
    return ((mix(seed + index * GOLDEN_GAMMA) >>> 11) + 0.5) * UNIT;
  }

  /**
   * Normally distributed number of mean 0 and variance 1.
   *
   * @param seed seed of the stream
   * @param index position in the stream, negative too
   * @return the number, within ±8.3
   */
  public static double normal(long seed, long index) {
    return normalQuantile(uniform(seed, index));
  }

  /** Quantile of the standard normal distribution at a probability above 0 and below 1. */
  static double normalQuantile(double probability) {
    double q = probability - 0.5;
    if (q <= 0.425 && q >= -0.425) {
      double r = 0.180625 - q * q;
      return q * polynomial(CENTRE_TOP, r) / polynomial(CENTRE_BOTTOM, r);
    }
    double r = StrictMath.sqrt(-StrictMath.log(q < 0 ? probability : 1.0 - probability));
    double size =
        r <= 5.0
            ? polynomial(TAIL_TOP, r - 1.6) / polynomial(TAIL_BOTTOM, r - 1.6)
            : polynomial(FAR_TOP, r - 5.0) / polynomial(FAR_BOTTOM, r - 5.0);
    return q < 0 ? -size : size;
  }

  private static double polynomial(double[] highestFirst, double x) {
    double value = highestFirst[0];
    for (int i = 1; i < highestFirst.length; i++) {
      value = value * x + highestFirst[i];
    }
    return value;
  }

  private static long mix(long z) {
    long y = (z ^ (z >>> 30)) * 0xbf58476d1ce4e5b9L;
    y = (y ^ (y >>> 27)) * 0x94d049bb133111ebL;
    return y ^ (y >>> 31);
  }
}
