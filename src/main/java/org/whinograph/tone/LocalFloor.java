package org.whinograph.tone;

import java.util.Arrays;

/**
 * The noise floor about each line: the median of the neighbours on either side, the larger of the
 * two. Medians ignore tones among the neighbours; the larger side keeps slopes and cliffs of the
 * floor from looking like tones. Lines known to belong to tones are left out.
 *
 * <p>How much the neighbours scatter is measured too: where that is more than averaging explains
 * (an uneven or unsteady floor), the floor is worth fewer averages.
 *
 * <p>Not safe for use by several threads.
 */
final class LocalFloor {
  /** Lines beside a line that its own main lobe fills. */
  static final int GUARD = 3;

  private static final int WIDEST = 32;
  private static final int NARROWEST = 12;
  private static final int FEWEST = 6;
  private static final int FIRST_LINE = 2;
  private static final int SAMPLED_EVERY = 16;

  /** (ln of upper quartile over median) · √K of a gamma distribution; 0.674 for a normal one. */
  private static final double QUARTILE_DISTANCE = 0.6745;

  /** Scatter of the measured quartile distance itself stays below this factor. */
  private static final double SCATTER_ALLOWANCE = 1.5;

  private final double[] lines;
  private final boolean[] masked;
  private final double averages;
  private final double medianOverMean;
  private final double[] sorted = new double[4 * WIDEST];

  private double floor;
  private double scatter;
  private double localAverages;
  private int neighbours;

  /**
   * Prepares the floor of a spectrum.
   *
   * @param lines mean square of each line
   * @param masked lines that belong to tones
   * @param averages K, independent spectra averaged
   */
  LocalFloor(double[] lines, boolean[] masked, double averages) {
    this.lines = lines;
    this.masked = masked;
    this.averages = averages;
    this.medianOverMean = SignificanceTest.medianOverMean(averages);
  }

  /**
   * Looks at the neighbours of a line; the other methods answer for it until the next call.
   *
   * @param line line k
   * @return whether there are enough neighbours
   */
  boolean at(int line) {
    int width = Math.max(NARROWEST, Math.min(WIDEST, line / 2));
    double largest = -1.0;
    scatter = 0.0;
    int sides = 0;
    neighbours = Integer.MAX_VALUE;
    for (int side = -1; side <= 1; side += 2) {
      int count = collect(line, side, width);
      if (count < FEWEST) {
        count = collect(line, side, 4 * width);
      }
      if (count < FEWEST) {
        continue;
      }
      Arrays.sort(sorted, 0, count);
      double median = 0.5 * (sorted[(count - 1) / 2] + sorted[count / 2]);
      double quartile = sorted[Math.min(count - 1, (3 * count) / 4)];
      largest = Math.max(largest, median);
      neighbours = Math.min(neighbours, count);
      scatter += median > 0 ? Math.log(quartile / median) : 0.0;
      sides++;
    }
    if (sides == 0) {
      return false;
    }
    floor = largest / medianOverMean;
    scatter /= sides;
    double expected = QUARTILE_DISTANCE / Math.sqrt(averages);
    localAverages = averages;
    if (scatter > SCATTER_ALLOWANCE * expected) {
      localAverages = Math.max(1.0, QUARTILE_DISTANCE * QUARTILE_DISTANCE / (scatter * scatter));
    }
    return true;
  }

  /**
   * A quick look that spares most lines the sorting.
   *
   * @param line line k
   * @param level a mean square
   * @return true only if {@link #floor} at the line would be above the level
   */
  boolean surelyAbove(int line, double level) {
    int width = Math.max(NARROWEST, Math.min(WIDEST, line / 2));
    double least = level * medianOverMean;
    for (int side = -1; side <= 1; side += 2) {
      int count = 0;
      int higher = 0;
      int end = Math.min(width, side < 0 ? line - FIRST_LINE : lines.length - 2 - line);
      for (int i = GUARD + 1; i <= end; i++) {
        int k = line + side * i;
        if (!masked[k]) {
          count++;
          if (lines[k] > least) {
            higher++;
          }
        }
      }
      if (count >= FEWEST && 2 * higher > count + 1) {
        return true;
      }
    }
    return false;
  }

  private int collect(int line, int side, int width) {
    int count = 0;
    for (int i = GUARD + 1; i <= width; i++) {
      int k = line + side * i;
      if (k < FIRST_LINE || k >= lines.length - 1) {
        break;
      }
      if (!masked[k]) {
        sorted[count++] = lines[k];
      }
    }
    return count;
  }

  /**
   * What an average is worth by the scatter of all lines about their neighbours: less than it
   * should be where the noise was unsteady.
   *
   * @param lines mean square of each line
   * @param masked lines that belong to tones
   * @param averages K by the number of frames
   * @return K, at least 1 and at most {@code averages}
   */
  static double effectiveAverages(double[] lines, boolean[] masked, double averages) {
    LocalFloor floor = new LocalFloor(lines, masked, averages);
    double[] scatters = new double[lines.length / SAMPLED_EVERY];
    int count = 0;
    for (int k = 4 * WIDEST; k < lines.length - 2 * WIDEST; k += SAMPLED_EVERY) {
      if (floor.at(k) && floor.floor > 0) {
        scatters[count++] = floor.scatter;
      }
    }
    if (count == 0) {
      return averages;
    }
    Arrays.sort(scatters, 0, count);
    double typical = scatters[count / 2];
    double worth = QUARTILE_DISTANCE * QUARTILE_DISTANCE / (typical * typical);
    // Neighbours share noise and so scatter a little less than independent lines.
    return Math.max(1.0, Math.min(averages, worth));
  }

  /**
   * The floor at the line.
   *
   * @return mean square that a line of noise alone would have
   */
  double floor() {
    return floor;
  }

  /**
   * What the floor is worth.
   *
   * @return K, at most that of the spectrum
   */
  double averages() {
    return localAverages;
  }

  /**
   * Neighbours on the poorer side.
   *
   * @return number of lines
   */
  int neighbours() {
    return neighbours;
  }
}
