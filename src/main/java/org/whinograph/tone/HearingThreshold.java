package org.whinograph.tone;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalDouble;

/**
 * Threshold of hearing of young people of normal hearing for pure tones in a free field (ISO
 * 389-7:2005, table 1), which stands in for the lower threshold table of ECMA-418-1.
 *
 * <p>Between the one-third-octave rows the threshold is interpolated over lg f; outside 20 Hz to 16
 * kHz it is unknown. Safe for use by several threads.
 */
public final class HearingThreshold {
  private static final String RESOURCE = "iso389-7-free-field.csv";
  private static final double[][] TABLE = read();

  private HearingThreshold() {}

  /**
   * Threshold at a frequency.
   *
   * @param frequencyHz frequency [Hz]
   * @return threshold [dB re 20 µPa], or empty outside 20 Hz to 16 kHz
   */
  public static OptionalDouble level(double frequencyHz) {
    for (int i = 1; i < TABLE.length; i++) {
      double low = TABLE[i - 1][0];
      double high = TABLE[i][0];
      if (frequencyHz >= low && frequencyHz <= high) {
        double part = Math.log(frequencyHz / low) / Math.log(high / low);
        return OptionalDouble.of(TABLE[i - 1][1] + part * (TABLE[i][1] - TABLE[i - 1][1]));
      }
    }
    return OptionalDouble.empty();
  }

  private static double[][] read() {
    List<double[]> rows = new ArrayList<>();
    try (InputStream in = HearingThreshold.class.getResourceAsStream(RESOURCE);
        BufferedReader reader =
            new BufferedReader(new InputStreamReader(in, StandardCharsets.UTF_8))) {
      for (String line = reader.readLine(); line != null; line = reader.readLine()) {
        if (!line.isEmpty() && Character.isDigit(line.charAt(0))) {
          int comma = line.indexOf(',');
          rows.add(
              new double[] {
                Double.parseDouble(line.substring(0, comma)),
                Double.parseDouble(line.substring(comma + 1))
              });
        }
      }
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
    return rows.toArray(double[][]::new);
  }
}
