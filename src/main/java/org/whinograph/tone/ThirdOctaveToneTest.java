package org.whinograph.tone;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.band.BandLevel;
import org.whinograph.band.BandResult;
import org.whinograph.quantity.Reading;

/**
 * The one-third-octave test for tones of ISO 1996-2:2007, Annex D (2017, Annex K): a band holds a
 * prominent tone if its level exceeds those of both neighbours by 15 dB (25 to 125 Hz), 8 dB (160
 * to 400 Hz) or 5 dB (500 to 10 000 Hz).
 *
 * <p>It is a survey method: it misses tones at band edges and weak ones, and counts narrow bands of
 * noise. Pure; safe for use by several threads.
 */
public final class ThirdOctaveToneTest {
  private ThirdOctaveToneTest() {}

  /**
   * The test of one band.
   *
   * @param nominalHz nominal midband frequency [Hz]
   * @param excess level above the higher of the two neighbours [dB]
   * @param limitDb excess from which on the band holds a tone [dB]
   * @param tone whether it does; null if a level is unknown
   */
  public record Verdict(double nominalHz, Reading excess, double limitDb, Boolean tone) {}

  /**
   * Tests all bands from 25 Hz to 10 kHz that have two neighbours.
   *
   * @param bands band levels
   * @return a verdict for each band, in order
   */
  public static List<Verdict> evaluate(BandResult bands) {
    List<Verdict> verdicts = new ArrayList<>();
    List<BandLevel> levels = bands.thirdOctaves();
    for (int i = 1; i < levels.size() - 1; i++) {
      BandLevel band = levels.get(i);
      if (band.nominalHz() < 25.0 || band.nominalHz() > 10_000.0) {
        continue;
      }
      double limit = limitDb(band.nominalHz());
      Reading excess = excess(band.level(), levels.get(i - 1).level(), levels.get(i + 1).level());
      Boolean tone = excess.known() ? Boolean.valueOf(excess.value() >= limit) : null;
      verdicts.add(new Verdict(band.nominalHz(), excess, limit, tone));
    }
    return verdicts;
  }

  /**
   * Excess over both neighbours from which on a band holds a tone.
   *
   * @param nominalHz nominal midband frequency [Hz], 25 to 10 000
   * @return limit [dB]
   */
  public static double limitDb(double nominalHz) {
    if (nominalHz < 142.0) {
      return 15.0;
    }
    return nominalHz < 450.0 ? 8.0 : 5.0;
  }

  private static Reading excess(Reading band, Reading below, Reading above) {
    for (Reading level : List.of(band, below, above)) {
      if (!level.known()) {
        return level;
      }
    }
    return Reading.of(band.value() - Math.max(below.value(), above.value()));
  }
}
