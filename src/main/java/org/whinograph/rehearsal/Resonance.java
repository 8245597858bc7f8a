package org.whinograph.rehearsal;

/**
 * A resonance of the case: it raises whatever of the device's sound comes near its frequency, with
 * the magnitude of H(s) = (s² + s·g·ω₀/Q + ω₀²) / (s² + s·ω₀/Q + ω₀²): g at its frequency, 1 far
 * from it. A tone that crosses it takes on the magnitude at its frequency of the moment, without
 * the phase.
 *
 * @param frequencyHz frequency [Hz], above 0
 * @param quality quality Q [1], above 0; the width between half-gain points is about frequency / Q
 * @param gainDb gain at its frequency [dB]
 */
public record Resonance(double frequencyHz, double quality, double gainDb) {
  /** Checks the components. {@inheritDoc} */
  public Resonance {
    if (!(frequencyHz > 0) || !(quality > 0) || !Double.isFinite(gainDb)) {
      throw new IllegalArgumentException(
          "frequencyHz, quality, gainDb: above 0 Hz, above 0, finite, got "
              + frequencyHz
              + " Hz, "
              + quality
              + ", "
              + gainDb
              + " dB");
    }
  }

  /** Gain of power at a frequency [1]. */
  double powerGain(double atHz) {
    double gain = org.whinograph.quantity.Decibels.toEnergyRatio(gainDb);
    double reactive = frequencyHz * frequencyHz - atHz * atHz;
    double resistive = frequencyHz * atHz / quality;
    double r2 = reactive * reactive;
    double x2 = resistive * resistive;
    return (r2 + gain * x2) / (r2 + x2);
  }
}
