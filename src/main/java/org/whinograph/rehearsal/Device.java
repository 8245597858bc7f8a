package org.whinograph.rehearsal;

import java.util.ArrayList;
import java.util.List;
import java.util.Objects;

/**
 * Description of a simulated device in front of a microphone. Levels are those at the microphone;
 * the way from the device to it isn't modelled. Immutable; {@link DeviceSource} makes it sound and
 * a truth beside it says what there is to find.
 *
 * @param name name, such as a file's
 * @param description a sentence about it
 * @param sampleRateHz frames a second [Hz], above 0
 * @param frames length [frames], at least 1
 * @param fans its fans; none for a calibrator or a background
 * @param load electric load through time [1], for the lines that follow it
 * @param lines all its tones
 * @param resonances resonances of its case
 * @param background noise of the room, or null for none
 * @param selfNoise noise of the microphone, stated as the sound that would make it, or null for
 *     none
 * @param bursts noises from outside that last a while
 * @param response response of the microphone
 * @param levelAtFullScaleDb level that a full-scale sine stands for [dB re 20 µPa]
 * @param quantisation how samples become numbers
 */
public record Device(
    String name,
    String description,
    double sampleRateHz,
    long frames,
    List<Fan> fans,
    TimeProfile load,
    List<Line> lines,
    List<Resonance> resonances,
    NoiseShape background,
    NoiseShape selfNoise,
    List<NoiseBurst> bursts,
    ResponseCurve response,
    double levelAtFullScaleDb,
    Quantisation quantisation) {
  /** Checks the components. {@inheritDoc} */
  public Device {
    Objects.requireNonNull(name, "name");
    Objects.requireNonNull(description, "description");
    Objects.requireNonNull(load, "load");
    Objects.requireNonNull(response, "response");
    Objects.requireNonNull(quantisation, "quantisation");
    fans = List.copyOf(fans);
    lines = List.copyOf(lines);
    resonances = List.copyOf(resonances);
    bursts = List.copyOf(bursts);
    if (!(sampleRateHz > 0) || !Double.isFinite(sampleRateHz) || frames < 1) {
      throw new IllegalArgumentException(
          "sampleRateHz, frames: above 0 Hz and at least 1, got " + sampleRateHz + ", " + frames);
    }
    if (!Double.isFinite(levelAtFullScaleDb)) {
      throw new IllegalArgumentException(
          "levelAtFullScaleDb: finite, got " + levelAtFullScaleDb + " dB");
    }
    for (Line line : lines) {
      if (line.order() != 0 && line.fan() >= fans.size()) {
        throw new IllegalArgumentException(
            "lines: fan below " + fans.size() + ", got " + line.fan());
      }
    }
  }

  /**
   * Length.
   *
   * @return frames / rate [s]
   */
  public double durationS() {
    return frames / sampleRateHz;
  }

  /**
   * Starts a description: 48 kHz, 30 s, no sound, 120 dB at full scale, samples not quantised.
   *
   * @param name name
   * @return the builder
   */
  public static Builder builder(String name) {
    return new Builder(name);
  }

  /** Puts a description together. Not safe for use by several threads. */
  public static final class Builder {
    private final String name;
    private String description = "";
    private double sampleRateHz = 48_000;
    private double durationS = 30;
    private final List<Fan> fans = new ArrayList<>();
    private TimeProfile load = TimeProfile.constant(0);
    private final List<Line> lines = new ArrayList<>();
    private final List<Resonance> resonances = new ArrayList<>();
    private NoiseShape background;
    private NoiseShape selfNoise;
    private final List<NoiseBurst> bursts = new ArrayList<>();
    private ResponseCurve response = ResponseCurve.FLAT;
    private double levelAtFullScaleDb = 120;
    private Quantisation quantisation = Quantisation.NONE;

    private Builder(String name) {
      this.name = name;
    }

    /**
     * Sets the description.
     *
     * @param sentence a sentence
     * @return this
     */
    public Builder description(String sentence) {
      description = sentence;
      return this;
    }

    /**
     * Sets the rate.
     *
     * @param hz frames a second [Hz]
     * @return this
     */
    public Builder sampleRate(double hz) {
      sampleRateHz = hz;
      return this;
    }

    /**
     * Sets the length.
     *
     * @param seconds length [s]
     * @return this
     */
    public Builder duration(double seconds) {
      durationS = seconds;
      return this;
    }

    /**
     * Adds a fan without noise and without lines.
     *
     * @param blades number of blades
     * @param speed speed through time
     * @param referenceRpm speed at which levels hold [1/min]
     * @return this
     */
    public Builder fan(int blades, SpeedProfile speed, double referenceRpm) {
      return fan(new Fan(blades, speed, referenceRpm, null, 55));
    }

    /**
     * Adds a fan with noise and without lines.
     *
     * @param fan the fan
     * @return this
     */
    public Builder fan(Fan fan) {
      fans.add(fan);
      return this;
    }

    /**
     * Adds blade-pass lines of the fan added last: orders Z, 2Z, 3Z …
     *
     * @param levelsDb level of each at the reference speed [dB re 20 µPa]
     * @return this
     */
    public Builder bladePass(double... levelsDb) {
      int fan = fans.size() - 1;
      for (int i = 0; i < levelsDb.length; i++) {
        double order = (i + 1.0) * fans.get(fan).blades();
        lines.add(Line.order(LineCause.BLADE_PASS, fan, order, levelsDb[i]));
      }
      return this;
    }

    /**
     * Adds shaft orders of the fan added last: 1, 2, 3 … Multiples of the number of blades among
     * them are left out: they are blade-pass lines.
     *
     * @param levelsDb level of each at the reference speed [dB re 20 µPa]
     * @return this
     */
    public Builder shaft(double... levelsDb) {
      int fan = fans.size() - 1;
      for (int i = 0; i < levelsDb.length; i++) {
        if ((i + 1) % fans.get(fan).blades() != 0) {
          lines.add(Line.order(LineCause.SHAFT, fan, i + 1.0, levelsDb[i]));
        }
      }
      return this;
    }

    /**
     * Adds a motor order of the fan added last, the least common multiple of slots and poles.
     *
     * @param slots slots of the stator
     * @param poles poles of the magnet
     * @param levelDb level at the reference speed [dB re 20 µPa]
     * @return this
     */
    public Builder motor(int slots, int poles, double levelDb) {
      int order = slots;
      while (order % poles != 0) {
        order += slots;
      }
      lines.add(Line.order(LineCause.MOTOR, fans.size() - 1, order, levelDb));
      return this;
    }

    /**
     * Adds a line.
     *
     * @param line the line
     * @return this
     */
    public Builder line(Line line) {
      lines.add(line);
      return this;
    }

    /**
     * Adds hum of the supply: multiples 1, 2, 3 … of its frequency.
     *
     * @param supplyHz frequency of the supply, 50 or 60 [Hz]
     * @param levelsDb level of each multiple [dB re 20 µPa]
     * @return this
     */
    public Builder hum(double supplyHz, double... levelsDb) {
      for (int i = 0; i < levelsDb.length; i++) {
        lines.add(Line.fixed(LineCause.MAINS, supplyHz * (i + 1), levelsDb[i]));
      }
      return this;
    }

    /**
     * Adds a drive line with a pair of sidebands, a multiple of the shaft's frequency of the fan
     * added last away from it.
     *
     * @param frequencyHz switching frequency [Hz]
     * @param levelDb level [dB re 20 µPa]
     * @param sidebandOrder distance of the sidebands in multiples of the shaft's frequency
     * @param sidebandDb level of each sideband [dB re 20 µPa]
     * @return this
     */
    public Builder drive(
        double frequencyHz, double levelDb, double sidebandOrder, double sidebandDb) {
      int fan = fans.size() - 1;
      lines.add(Line.fixed(LineCause.DRIVE, frequencyHz, levelDb));
      lines.add(Line.sideband(LineCause.DRIVE, frequencyHz, fan, -sidebandOrder, sidebandDb));
      lines.add(Line.sideband(LineCause.DRIVE, frequencyHz, fan, sidebandOrder, sidebandDb));
      return this;
    }

    /**
     * Sets the load.
     *
     * @param profile load through time, usually 0 to 1
     * @return this
     */
    public Builder load(TimeProfile profile) {
      load = profile;
      return this;
    }

    /**
     * Adds a resonance.
     *
     * @param frequencyHz frequency [Hz]
     * @param quality quality Q
     * @param gainDb gain at its frequency [dB]
     * @return this
     */
    public Builder resonance(double frequencyHz, double quality, double gainDb) {
      resonances.add(new Resonance(frequencyHz, quality, gainDb));
      return this;
    }

    /**
     * Sets the noise of the room.
     *
     * @param shape its density
     * @return this
     */
    public Builder background(NoiseShape shape) {
      background = shape;
      return this;
    }

    /**
     * Sets the noise of the microphone.
     *
     * @param shape its density, as the sound that would make it
     * @return this
     */
    public Builder selfNoise(NoiseShape shape) {
      selfNoise = shape;
      return this;
    }

    /**
     * Adds a noise from outside that lasts a while.
     *
     * @param burst the noise
     * @return this
     */
    public Builder burst(NoiseBurst burst) {
      bursts.add(burst);
      return this;
    }

    /**
     * Sets the response of the microphone.
     *
     * @param microphone the response
     * @return this
     */
    public Builder response(ResponseCurve microphone) {
      response = microphone;
      return this;
    }

    /**
     * Sets the level of a full-scale sine.
     *
     * @param db level [dB re 20 µPa]
     * @return this
     */
    public Builder levelAtFullScale(double db) {
      levelAtFullScaleDb = db;
      return this;
    }

    /**
     * Sets how samples become numbers.
     *
     * @param how bits and dither
     * @return this
     */
    public Builder quantisation(Quantisation how) {
      quantisation = how;
      return this;
    }

    /**
     * The description.
     *
     * @return the device
     * @throws IllegalArgumentException if something is out of its limits; the message says what
     */
    public Device build() {
      return new Device(
          name,
          description,
          sampleRateHz,
          Math.round(durationS * sampleRateHz),
          fans,
          load,
          lines,
          resonances,
          background,
          selfNoise,
          bursts,
          response,
          levelAtFullScaleDb,
          quantisation);
    }
  }
}
