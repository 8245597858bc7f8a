package org.whinograph.cli;

import java.util.OptionalDouble;
import org.whinograph.capture.Monitor;
import org.whinograph.signal.RefusedException;
import picocli.CommandLine;
import picocli.CommandLine.Option;

/** How sound is played to the ear. */
final class ListenOptions {
  /** Said wherever sound is about to come out of a loudspeaker or headphones. */
  static final String CAUTION =
      "caution: loud sound harms hearing; turn the volume down before you put headphones on.";

  @Option(
      names = "--gain",
      paramLabel = "DB",
      defaultValue = "-20",
      description =
          "Gain of what is played, at most 40 dB (default: ${DEFAULT-VALUE}). Start low: a loud tone"
              + " in headphones harms hearing.")
  private double gain;

  @Option(
      names = "--tone",
      paramLabel = "HZ",
      description = "Play only the one-third octave around this frequency.")
  private Double tone;

  /** Opens the output. */
  Monitor open(CommandLine commandLine, double sampleRateHz) throws RefusedException {
    try {
      return new Monitor(
          sampleRateHz, gain, tone == null ? OptionalDouble.empty() : OptionalDouble.of(tone));
    } catch (IllegalArgumentException e) {
      throw new CommandLine.ParameterException(
          commandLine, e.getMessage().replace("gainDb", "--gain").replace("toneHz", "--tone"), e);
    }
  }
}
