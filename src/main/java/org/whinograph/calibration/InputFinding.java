package org.whinograph.calibration;

import java.util.Objects;
import org.whinograph.quantity.Reading;

/**
 * One thing that a check of an input found.
 *
 * @param kind what it is
 * @param evidence the figures it rests on, one sentence
 * @param effect by how much levels are off or what they can't fall below [dB; the evidence says
 *     relative to what], or unknown
 */
public record InputFinding(Kind kind, String evidence, Reading effect) {
  /** Checks the components. {@inheritDoc} */
  public InputFinding {
    Objects.requireNonNull(kind, "kind");
    Objects.requireNonNull(evidence, "evidence");
    Objects.requireNonNull(effect, "effect");
  }

  /** What can be found, with what to do about it. */
  public enum Kind {
    /** The gain moves with the sound. */
    AUTOMATIC_GAIN("automatic-gain", true, Advice.PROCESSING),
    /** Quiet or steady sound is turned down. */
    NOISE_SUPPRESSION("noise-suppression", true, Advice.PROCESSING),
    /** Nothing passes above a frequency. */
    BAND_LIMIT("band-limit", true, Advice.BAND),
    /** Stretches of samples that are all the same. */
    DIGITAL_SILENCE("digital-silence", true, Advice.PROCESSING),
    /** Mirror images of the tone from a poor change of rate. */
    RESAMPLING_IMAGES("resampling-images", true, Advice.RATE),
    /** The input overloads below full scale. */
    CLIPPING("clipping-below-full-scale", true, Advice.LEVEL),
    /** Fewer bits carry sound than the format has. */
    COARSE_SAMPLES("coarse-samples", false, Advice.FORMAT),
    /** A constant part. */
    OFFSET("offset", false, Advice.CABLE),
    /** Lines at the mains frequency and its multiples. */
    HUM("hum", false, Advice.CABLE),
    /** Two channels carry the same. */
    DUPLICATE_CHANNELS("duplicate-channels", false, Advice.CHANNELS),
    /** Two channels carry the same with opposite signs. */
    MIRRORED_CHANNELS("mirrored-channels", false, Advice.CHANNELS);

    private final String code;
    private final boolean alters;
    private final Advice advice;

    Kind(String code, boolean alters, Advice advice) {
      this.code = code;
      this.alters = alters;
      this.advice = advice;
    }

    /**
     * A name that scripts match.
     *
     * @return lower case with hyphens
     */
    public String code() {
      return code;
    }

    /**
     * Whether levels measured through such an input can't be trusted.
     *
     * @return false if it only limits what can be measured
     */
    public boolean alters() {
      return alters;
    }

    /**
     * What to do about it.
     *
     * @return one text for each system
     */
    public Advice advice() {
      return advice;
    }
  }

  /** What to do, in general words, for each operating system. */
  public enum Advice {
    /** Sound is processed on its way. */
    PROCESSING(
        "In the sound settings, open the input's properties and switch off enhancements, automatic"
            + " level, echo and noise reduction; close calling programs.",
        "Set the microphone mode to standard, without voice isolation; switch off ambient noise"
            + " reduction where the input offers it; close calling programs.",
        "Switch off automatic gain in the sound card's mixer, and remove echo or noise"
            + " cancellation from the sound server's sources; choose the device itself."),
    /** The band is cut. */
    BAND(
        "Set the input's default format to its highest rate, use no wireless headset profile, and"
            + " switch off enhancements.",
        "Set the input to its highest rate in the audio device set-up, and use no wireless headset.",
        "Choose the device's own rate in the sound server and a profile for music, not for calls."),
    /** The rate is changed on the way. */
    RATE(
        "Set the input's default format to the rate that you record at.",
        "Set the input's rate in the audio device set-up to the rate that you record at.",
        "Set the sound server to the rate that you record at, or its resampler to its best quality."),
    /** The level is too high somewhere before the converter. */
    LEVEL(
        "Lower the input level or the microphone boost until loud sounds reach full scale first.",
        "Lower the input volume until loud sounds reach full scale first.",
        "Lower the capture gain and the boost in the mixer until loud sounds reach full scale"
            + " first."),
    /** The format holds more than the input gives. */
    FORMAT(
        "Choose 24 bits in the input's default format, or raise the gain of the microphone's"
            + " amplifier.",
        "Choose 24 bits in the audio device set-up, or raise the gain of the microphone's"
            + " amplifier.",
        "Open the device at 24 bits, without the sound server if that converts, or raise the gain of"
            + " the microphone's amplifier."),
    /** Something electrical. */
    CABLE(
        "Use another port, a short cable and a computer on battery.",
        "Use another port, a short cable and a computer on battery.",
        "Use another port, a short cable and a computer on battery."),
    /** Channels aren't what they seem. */
    CHANNELS(
        "Measure with one channel; the other adds nothing.",
        "Measure with one channel; the other adds nothing.",
        "Measure with one channel; the other adds nothing.");

    private final String windows;
    private final String macos;
    private final String linux;

    Advice(String windows, String macos, String linux) {
      this.windows = windows;
      this.macos = macos;
      this.linux = linux;
    }

    /**
     * What to do on Windows.
     *
     * @return a sentence
     */
    public String windows() {
      return windows;
    }

    /**
     * What to do on macOS.
     *
     * @return a sentence
     */
    public String macos() {
      return macos;
    }

    /**
     * What to do on Linux.
     *
     * @return a sentence
     */
    public String linux() {
      return linux;
    }
  }
}
