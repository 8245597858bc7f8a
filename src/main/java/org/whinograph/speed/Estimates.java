package org.whinograph.speed;

/** Estimates of every frame of a run. */
final class Estimates {
  final double[] value;
  final double[] variance;

  /** What is to be added to the variance because noise may have led to another place. */
  final double[] misled;

  final double[] strength;

  /** Power of each harmonic (rows) where all together are strongest, 1 under noise [1]. */
  final double[][] powers;

  Estimates(int frames, int harmonics) {
    value = new double[frames];
    variance = new double[frames];
    misled = new double[frames];
    strength = new double[frames];
    powers = new double[harmonics][frames];
  }

  double[] precision() {
    double[] result = new double[variance.length];
    for (int i = 0; i < result.length; i++) {
      result[i] = 1.0 / variance[i];
    }
    return result;
  }

  double[] deviation() {
    double[] result = new double[variance.length];
    for (int i = 0; i < result.length; i++) {
      result[i] = Math.sqrt(variance[i]);
    }
    return result;
  }

  double meanStrength() {
    double sum = 0.0;
    for (double value : strength) {
      sum += value;
    }
    return sum / strength.length;
  }

  Estimates copy() {
    Estimates result = new Estimates(value.length, powers.length);
    for (int i = 0; i < value.length; i++) {
      result.take(this, i);
    }
    return result;
  }

  void take(Estimates other, int frame) {
    value[frame] = other.value[frame];
    variance[frame] = other.variance[frame];
    misled[frame] = other.misled[frame];
    strength[frame] = other.strength[frame];
    for (int m = 0; m < powers.length; m++) {
      powers[m][frame] = other.powers[m][frame];
    }
  }
}
