package org.whinograph.speed;

/** Estimates of every frame of a run. */
final class Estimates {
  final double[] value;
  final double[] variance;
  final double[] strength;

  Estimates(int frames) {
    value = new double[frames];
    variance = new double[frames];
    strength = new double[frames];
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
    Estimates result = new Estimates(value.length);
    for (int i = 0; i < value.length; i++) {
      result.take(this, i);
    }
    return result;
  }

  void take(Estimates other, int frame) {
    value[frame] = other.value[frame];
    variance[frame] = other.variance[frame];
    strength[frame] = other.strength[frame];
  }
}
