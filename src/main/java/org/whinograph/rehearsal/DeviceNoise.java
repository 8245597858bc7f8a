package org.whinograph.rehearsal;

/**
 * The noises of a device as filters, with everything on their way to the samples in them: the
 * resonances of the case for a fan's noise, the microphone's response for all but its own noise.
 */
final class DeviceNoise {
  private final Device device;

  DeviceNoise(Device device) {
    this.device = device;
  }

  /** Room and microphone together, or null if both are silent. */
  NoiseFilter stationary() {
    NoiseShape room = device.background();
    NoiseShape own = device.selfNoise();
    if (room == null && own == null) {
      return null;
    }
    return new NoiseFilter(
        f ->
            (room == null ? 0 : room.density(f) * device.response().powerGain(f))
                + (own == null ? 0 : own.density(f)),
        device.sampleRateHz());
  }

  /** A fan's noise at its reference speed, or null if it has none. */
  NoiseFilter fan(int fan) {
    NoiseShape shape = device.fans().get(fan).noise();
    if (shape == null) {
      return null;
    }
    return new NoiseFilter(
        f -> {
          double density = shape.density(f) * device.response().powerGain(f);
          for (Resonance resonance : device.resonances()) {
            density *= resonance.powerGain(f);
          }
          return density;
        },
        device.sampleRateHz());
  }

  /** Noise of a burst at its height. */
  NoiseFilter burst(int burst) {
    NoiseShape shape = device.bursts().get(burst).noise();
    return new NoiseFilter(
        f -> shape.density(f) * device.response().powerGain(f), device.sampleRateHz());
  }
}
