package org.whinograph.verification;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.whinograph.band.Band;

/**
 * Class 1 limits of relative attenuation: IEC 61260-1:2014, table 1 with the formulas of 5.10 for
 * fractional octaves (breakpoints) and for limits between breakpoints (linear in lg Ω). The figures
 * stand in {@code reference/iec61260-1/mask.csv}, which says where they come from.
 */
public final class BandMask {
  private final List<Double> logRatios = new ArrayList<>();
  private final List<Double> least = new ArrayList<>();
  private final List<Double> greatest = new ArrayList<>();
  private final Band band;

  /** The mask of a band. */
  public BandMask(Band band) {
    this.band = band;
    double octaveRatio = Math.pow(10.0, 0.3);
    double scale =
        (Math.pow(octaveRatio, 0.5 / band.designator()) - 1.0) / (Math.sqrt(octaveRatio) - 1.0);
    for (Map<String, String> row : ReferenceTable.read("iec61260-1/mask.csv").rows()) {
      double octave = ReferenceTable.number(row, "Omega_high_octave");
      logRatios.add(Math.log(1.0 + scale * (octave - 1.0)));
      least.add(ReferenceTable.number(row, "class1_min_dB"));
      greatest.add(ReferenceTable.number(row, "class1_max_dB"));
    }
  }

  /** Frequencies of the breakpoints, the band edges once each [Hz, rising]. */
  public List<Double> breakpointsHz() {
    List<Double> frequencies = new ArrayList<>();
    for (double logRatio : logRatios) {
      frequencies.add(band.midbandHz() * Math.exp(logRatio));
      frequencies.add(band.midbandHz() * Math.exp(-logRatio));
    }
    return frequencies.stream().distinct().sorted().toList();
  }

  /** Least attenuation allowed at a frequency [dB]; the edge itself counts as outside. */
  public double least(double frequencyHz) {
    double place = Math.abs(Math.log(frequencyHz / band.midbandHz()));
    int last = logRatios.size() - 1;
    if (place >= logRatios.get(last)) {
      return least.get(last);
    }
    int i = segment(place);
    double part = (place - logRatios.get(i)) / (logRatios.get(i + 1) - logRatios.get(i));
    return least.get(i) + part * (least.get(i + 1) - least.get(i));
  }

  /** Greatest attenuation allowed at a frequency [dB]; infinite beyond the edges. */
  public double greatest(double frequencyHz) {
    double place = Math.abs(Math.log(frequencyHz / band.midbandHz()));
    if (frequencyHz < band.lowerHz() * (1 - 1e-6) || frequencyHz > band.upperHz() * (1 + 1e-6)) {
      return Double.POSITIVE_INFINITY;
    }
    int i = segment(Math.min(place, 0.4999999 * Math.log(Math.pow(10.0, 0.3)) / band.designator()));
    double part = (place - logRatios.get(i)) / (logRatios.get(i + 1) - logRatios.get(i));
    return greatest.get(i) + part * (greatest.get(i + 1) - greatest.get(i));
  }

  /** Distance of an attenuation to the nearer limit [dB], negative outside. */
  public double margin(double frequencyHz, double attenuation) {
    return Math.min(attenuation - least(frequencyHz), greatest(frequencyHz) - attenuation);
  }

  private int segment(double place) {
    int i = 0;
    while (i + 2 < logRatios.size() && place >= logRatios.get(i + 1)) {
      i++;
    }
    return i;
  }
}
