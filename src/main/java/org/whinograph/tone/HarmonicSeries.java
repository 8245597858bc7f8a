package org.whinograph.tone;

import java.util.ArrayList;
import java.util.List;

/**
 * Groups tones whose frequencies are whole multiples of one fundamental.
 *
 * <p>With many tones some fit some fundamental by chance. A tone fits number n if n·f0 lies within
 * the tolerance of its frequency, and would by chance with probability 2·tolerance/f0; a series is
 * believed only if the chance that as many tones fit, times the number of fundamentals tried, stays
 * below {@value #CHANCE}. Of several believable series the least probable by chance wins, so that
 * halves of the true fundamental, which fit as many tones but more easily, lose.
 */
public final class HarmonicSeries {
  /** Largest probability that a series is chance. */
  public static final double CHANCE = 0.01;

  /** Highest number in a series that is looked for. */
  public static final int HIGHEST_NUMBER = 120;

  /** Highest number that the tone may have from which the fundamental is tried. */
  private static final int HIGHEST_FIRST_NUMBER = 8;

  /** Unsteadiness of speed that the uncertainties of two tones may not both have seen [1]. */
  private static final double JITTER = 1e-5;

  private static final double COVERAGE = 3.0;

  private HarmonicSeries() {}

  private record Fit(double fundamentalHz, List<Integer> members, double logChance) {}

  /**
   * Groups tones. Each belongs to one series at most.
   *
   * @param frequenciesHz frequencies, ascending [Hz]
   * @param uncertaintiesHz standard uncertainties [Hz, same length]
   * @return place of each tone in its series, or null for a tone in none [same length]
   * @throws IllegalArgumentException if the lengths differ
   */
  public static Tone.Harmonic[] group(double[] frequenciesHz, double[] uncertaintiesHz) {
    if (frequenciesHz.length != uncertaintiesHz.length) {
      throw new IllegalArgumentException(
          "uncertaintiesHz: as long as frequenciesHz = "
              + frequenciesHz.length
              + ", got "
              + uncertaintiesHz.length);
    }
    Tone.Harmonic[] places = new Tone.Harmonic[frequenciesHz.length];
    while (true) {
      Fit best = best(frequenciesHz, uncertaintiesHz, places);
      if (best == null) {
        return places;
      }
      for (int i : best.members) {
        int number = (int) Math.rint(frequenciesHz[i] / best.fundamentalHz);
        places[i] = new Tone.Harmonic(best.fundamentalHz, number);
      }
    }
  }

  private static Fit best(double[] f, double[] u, Tone.Harmonic[] places) {
    int free = 0;
    for (Tone.Harmonic place : places) {
      free += place == null ? 1 : 0;
    }
    Fit best = null;
    for (int i = 0; i < f.length; i++) {
      if (places[i] != null) {
        continue;
      }
      for (int number = 1; number <= HIGHEST_FIRST_NUMBER; number++) {
        // A tone is more likely a low number of its series: weights 1/(n(n + 1)), which sum to 1.
        double logTried = Math.log((double) free * number * (number + 1));
        Fit fit = fit(f, u, places, f[i] / number, u[i] / number, i);
        if (fit != null
            && fit.logChance + logTried < Math.log(CHANCE)
            && (best == null || fit.logChance + logTried < best.logChance)) {
          best = new Fit(fit.fundamentalHz, fit.members, fit.logChance + logTried);
        }
      }
    }
    return best;
  }

  private static Fit fit(
      double[] f, double[] u, Tone.Harmonic[] places, double start, double startU, int anchor) {
    List<Integer> members = new ArrayList<>();
    double fundamental = start;
    double fundamentalU = startU;
    double weights = 0.0;
    double products = 0.0;
    double probabilities = 0.0;
    int within = 0;
    for (int i = 0; i < f.length; i++) {
      if (places[i] != null || f[i] < 0.5 * start) {
        continue;
      }
      double number = Math.rint(f[i] / fundamental);
      if (number < 1 || number > HIGHEST_NUMBER) {
        continue;
      }
      double tolerance =
          COVERAGE * Math.hypot(Math.hypot(u[i], number * fundamentalU), JITTER * f[i]);
      double probability = Math.min(1.0, 2.0 * tolerance / start);
      if (i != anchor) {
        probabilities += probability;
        within++;
      }
      if (i == anchor || Math.abs(f[i] - number * fundamental) <= tolerance) {
        members.add(i);
        double own = Math.hypot(u[i], JITTER * f[i]);
        weights += number * number / (own * own);
        products += number * f[i] / (own * own);
        if (members.size() > 1 || i == anchor) {
          fundamental = products / weights;
          fundamentalU = Math.max(1.0 / Math.sqrt(weights), 1e-12);
        }
      }
    }
    int others = members.size() - 1;
    if (others < 1 || within == 0) {
      return null;
    }
    double chance = Math.min(1.0, probabilities / within);
    return new Fit(products / weights, members, logTail(within, others, chance));
  }

  /** Natural logarithm of an upper bound of P(at least m of n hit): C(n, m) p^m. */
  private static double logTail(int n, int m, double p) {
    double log = m * Math.log(p);
    for (int i = 0; i < m; i++) {
      log += Math.log((double) (n - i) / (m - i));
    }
    return log;
  }
}
