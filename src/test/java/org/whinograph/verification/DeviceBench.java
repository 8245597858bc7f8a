package org.whinograph.verification;

import org.whinograph.measurement.Measurement;
import org.whinograph.measurement.MeasurementPlan;
import org.whinograph.measurement.Measurer;
import org.whinograph.rehearsal.Device;
import org.whinograph.rehearsal.DeviceSource;
import org.whinograph.signal.RefusedException;
import org.whinograph.speed.order.FollowingTone;
import org.whinograph.speed.order.ToneOrigin;
import org.whinograph.tone.Tone;

/** Simulated devices on the bench: measured as any recording is. */
final class DeviceBench {
  private DeviceBench() {}

  /** Measures a device, uncalibrated, from its simulated sound. */
  static Measurement measured(Device device, long seed) throws RefusedException {
    try (DeviceSource source = new DeviceSource(device, seed)) {
      return new Measurer(MeasurementPlan.whole(null, null)).measure(source);
    }
  }

  /** Index of the tone nearest to a frequency, or −1 if none lies within a tolerance. */
  static int nearest(Measurement measurement, double frequencyHz, double toleranceHz) {
    int best = -1;
    double bestOff = toleranceHz;
    for (int i = 0; i < measurement.tones().tones().size(); i++) {
      double off = Math.abs(measurement.tones().tones().get(i).frequencyHz() - frequencyHz);
      if (off <= bestOff) {
        bestOff = off;
        best = i;
      }
    }
    return best;
  }

  static Tone tone(Measurement measurement, int index) {
    return measurement.tones().tones().get(index);
  }

  static ToneOrigin origin(Measurement measurement, int index) {
    return measurement.orders().origins().get(index);
  }

  static FollowingTone following(Measurement measurement, int index) {
    return measurement.orders().following().get(index);
  }
}
