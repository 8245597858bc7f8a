package org.whinograph.capture;

import java.util.List;
import org.whinograph.signal.SampleFormat;

/**
 * An input as it was found to be by opening it.
 *
 * @param name its name
 * @param formats what it opens and delivers, best first: 24 bits before 32 and 16, rate by rate
 * @param resampling what is known of the system changing the rate, as a sentence
 * @param problem what the tester should know or do, as a sentence, or null
 */
public record Input(String name, List<SampleFormat> formats, String resampling, String problem) {
  /** Freezes the list. {@inheritDoc} */
  public Input {
    formats = List.copyOf(formats);
  }

  /**
   * Rates that it delivers.
   *
   * @return rates [Hz, ascending]
   */
  public List<Double> rates() {
    return formats.stream().map(SampleFormat::sampleRateHz).distinct().sorted().toList();
  }

  /**
   * Widths that it delivers.
   *
   * @return bits, best first
   */
  public List<Integer> bitDepths() {
    return formats.stream().map(SampleFormat::bitDepth).distinct().toList();
  }

  /**
   * Numbers of channels that it delivers.
   *
   * @return channels, ascending
   */
  public List<Integer> channels() {
    return formats.stream().map(SampleFormat::channels).distinct().sorted().toList();
  }
}
