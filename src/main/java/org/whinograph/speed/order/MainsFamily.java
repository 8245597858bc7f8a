package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.List;
import org.whinograph.tone.Tone;

/**
 * Multiples of the supply's frequency among tones: 50 or 60 Hz within 0.4 %, the widest range that
 * grids keep in ordinary operation (±0.2 Hz of 50 Hz in Great Britain: Regulation (EU) 2017/1485,
 * Annex III, table 1; from memory).
 */
final class MainsFamily {
  private static final double[] SUPPLIES_HZ = {50.0, 60.0};
  static final double GRID_RANGE = 0.004;
  private static final int MOST_MULTIPLE = 40;

  /** Hum always shows in one of these; higher ones alone are something else. */
  private static final int LOW_MULTIPLES = 6;

  /** A lone line counts if an unrelated one would be as near in fewer than this part of cases. */
  private static final double LEAST_CHANCE = 0.05;

  private final double[] supplyHz;
  private final int[] multiple;
  private final double[] measuredHz;
  private final int[] members;

  /**
   * Looks for the families.
   *
   * @param tones the tones
   */
  MainsFamily(List<Tone> tones) {
    int n = tones.size();
    supplyHz = new double[n];
    multiple = new int[n];
    measuredHz = new double[n];
    members = new int[n];
    for (double supply : SUPPLIES_HZ) {
      find(tones, supply);
    }
  }

  private void find(List<Tone> tones, double supply) {
    List<Integer> near = new ArrayList<>();
    for (int i = 0; i < tones.size(); i++) {
      Tone tone = tones.get(i);
      int k = (int) Math.rint(tone.frequencyHz() / supply);
      double off = Math.abs(tone.frequencyHz() - k * supply);
      boolean steady = tone.frequencyUncertaintyHz() < 1e-4 * tone.frequencyHz() + 0.01;
      if (k >= 1
          && k <= MOST_MULTIPLE
          && steady
          && off <= GRID_RANGE * k * supply + 2.0 * tone.frequencyUncertaintyHz()) {
        near.add(i);
      }
    }
    List<Integer> best = List.of();
    for (int i : near) {
      List<Integer> alike = new ArrayList<>();
      for (int j : near) {
        double difference = gridHz(tones, i, supply) - gridHz(tones, j, supply);
        double allowed =
            3.0 * Math.hypot(gridDeviation(tones, i, supply), gridDeviation(tones, j, supply))
                + 1e-4 * supply;
        if (Math.abs(difference) <= allowed) {
          alike.add(j);
        }
      }
      if (alike.size() > best.size()) {
        best = alike;
      }
    }
    boolean low = false;
    for (int i : best) {
      low |= Math.rint(tones.get(i).frequencyHz() / supply) <= LOW_MULTIPLES;
    }
    if (!low) {
      return;
    }
    if (best.size() == 1) {
      Tone tone = tones.get(best.get(0));
      double reach = GRID_RANGE * tone.frequencyHz() + 2.0 * tone.frequencyUncertaintyHz();
      if (2.0 * reach / supply > LEAST_CHANCE) {
        return;
      }
    }
    double sum = 0.0;
    double weights = 0.0;
    for (int i : best) {
      double w = Math.pow(gridDeviation(tones, i, supply), -2);
      sum += w * gridHz(tones, i, supply);
      weights += w;
    }
    for (int i : best) {
      if (members[i] < best.size()) {
        supplyHz[i] = supply;
        multiple[i] = (int) Math.rint(tones.get(i).frequencyHz() / supply);
        measuredHz[i] = sum / weights;
        members[i] = best.size();
      }
    }
  }

  private static double gridHz(List<Tone> tones, int i, double supply) {
    double f = tones.get(i).frequencyHz();
    return f / Math.rint(f / supply);
  }

  private static double gridDeviation(List<Tone> tones, int i, double supply) {
    double k = Math.rint(tones.get(i).frequencyHz() / supply);
    return Math.max(1e-5, tones.get(i).frequencyUncertaintyHz()) / k;
  }

  /** Whether a tone belongs to a family. */
  boolean has(int tone) {
    return members[tone] > 0;
  }

  /** Nominal frequency of the supply of its family [Hz]. */
  double supplyHz(int tone) {
    return supplyHz[tone];
  }

  /** Which multiple of it the tone is. */
  int multiple(int tone) {
    return multiple[tone];
  }

  /** Frequency of the supply as the family gives it [Hz]. */
  double measuredHz(int tone) {
    return measuredHz[tone];
  }

  /** Tones in its family. */
  int members(int tone) {
    return members[tone];
  }
}
