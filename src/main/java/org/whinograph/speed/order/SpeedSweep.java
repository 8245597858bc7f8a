package org.whinograph.speed.order;

import java.util.List;
import org.whinograph.quantity.Reading;

/**
 * What a recording tells in which the speed goes through a range.
 *
 * @param lowRpm lowest speed that was judged [1/min]
 * @param highRpm highest speed that was judged [1/min]
 * @param levelSlope rise of the level from {@value #LEVEL_FROM_HZ} to {@value #LEVEL_TO_HZ} Hz,
 *     unweighted, with the speed [dB a decade of speed]; handbooks give 50 to 55 for small fans
 * @param levelSlopeDeviation standard error of that slope [dB a decade]
 * @param toneSlope the same of the level of the strongest order alone; the sixth-power law of rotor
 *     and strut tones gives 60 (Huang, JASA 114, 2003)
 * @param toneSlopeDeviation standard error of that slope [dB a decade]
 * @param toneOrder the order that {@code toneSlope} is of, 0 if unknown
 * @param avoid ranges of speed in which an order is prominent, the worst first
 * @param resonances frequencies at which orders grow loud on their way, the greatest first
 */
public record SpeedSweep(
    double lowRpm,
    double highRpm,
    Reading levelSlope,
    Reading levelSlopeDeviation,
    Reading toneSlope,
    Reading toneSlopeDeviation,
    int toneOrder,
    List<SpeedRange> avoid,
    List<ResonanceCrossing> resonances) {
  /** Lower end of the band whose level is held against the speed [Hz]. */
  public static final double LEVEL_FROM_HZ = 200.0;

  /** Upper end of that band [Hz]. */
  public static final double LEVEL_TO_HZ = 11_220.0;

  /** Freezes the lists. {@inheritDoc} */
  public SpeedSweep {
    avoid = List.copyOf(avoid);
    resonances = List.copyOf(resonances);
  }
}
