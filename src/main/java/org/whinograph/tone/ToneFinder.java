package org.whinograph.tone;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import org.whinograph.spectrum.Spectrum;

/**
 * Finds discrete tones in a spectrum averaged by energy: peaks that the noise floor about them does
 * not explain ({@link SignificanceTest}), at a false-alarm rate of {@value #FALSE_ALARM_RATE} for
 * the whole spectrum of Gaussian noise. No fixed step in decibels is involved.
 *
 * <p>Besides single lines, groups of 4 and of 16 are tested, where they fit into a tone band: a
 * tone that drifts or jitters is wider than a line. Peaks without a clear valley between them, and
 * side lobes of the window, belong to the stronger tone. Tones already found are left out of the
 * floor and the search is repeated, until nothing changes.
 *
 * <p>The window must be a Hann window. Not safe for use by several threads.
 */
public final class ToneFinder {
  /** Probability of at least one false tone in the spectrum of plain noise. */
  public static final double FALSE_ALARM_RATE = 1e-3;

  /** Frequency below which tones aren't looked for [Hz]. */
  public static final double LOWEST_HZ = 20.0;

  private static final int FIRST_LINE = 12;
  private static final int[] GROUPS = {1, 4, 16};
  private static final int MOST_PASSES = 5;
  private static final int NARROWEST_BAND_LINES = 5;
  private static final int NOISE_LINES = 24;

  /** Depth of a valley between two tones, in standard deviations of the ratio of two lines. */
  private static final double VALLEY_DEVIATIONS = 4.0;

  /** Height above the floor at which a tone band ends, in standard deviations of a line. */
  private static final double GROWTH_DEVIATIONS = 2.5;

  /** Part of the floor that a tone's side lobes may still reach outside its band. */
  private static final double SKIRT_PART = 0.02;

  /** Side lobes of a tone that isn't quite steady reach somewhat higher than the window's. */
  private static final double SKIRT_ALLOWANCE = 1.5;

  /**
   * Energy of the weakest line that is looked at, as part of the strongest: 110 dB, more than a
   * measurement microphone with its converter spans in one line.
   */
  private static final double DYNAMIC_RANGE = 1e-11;

  /** Variance of the energy of a Hann window's lines about the tone: 1/3 [lines²]. */
  private static final double WINDOW_VARIANCE = 1.0 / 3.0;

  private final double[] lines;
  private final double lineSpacingHz;
  private final double noiseBandwidthLines;
  private final double nominalAverages;
  private final SignificanceTest[] tests = new SignificanceTest[GROUPS.length];
  private final int firstLine;
  private final int lastLine;

  private boolean[] masked;
  private double averages;

  private record Peak(int line, double height, double floor, double averages, double threshold) {}

  private record Extent(Peak peak, int grownFirst, int grownLast, int first, int last) {}

  private ToneFinder(Spectrum spectrum) {
    this.lines = aboveNothing(spectrum.meanSquare());
    this.lineSpacingHz = spectrum.lineSpacingHz();
    this.noiseBandwidthLines = spectrum.noiseBandwidthLines();
    this.nominalAverages = Math.max(1.0, spectrum.independentFrames());
    this.firstLine = Math.max(FIRST_LINE, (int) Math.ceil(LOWEST_HZ / lineSpacingHz));
    this.lastLine = lines.length - 2 - FIRST_LINE;
    for (int g = 0; g < GROUPS.length; g++) {
      double tested = Math.max(1.0, (double) lines.length / GROUPS[g]);
      tests[g] = new SignificanceTest(FALSE_ALARM_RATE / GROUPS.length / tested);
    }
    this.masked = new boolean[lines.length];
  }

  /**
   * The lines with a trace of noise added to all. Computed tones without noise have nothing between
   * them but rounding and the far side lobes of the window, which no floor describes.
   */
  private static double[] aboveNothing(double[] meanSquare) {
    double trace = DYNAMIC_RANGE * Arrays.stream(meanSquare).max().orElse(0.0);
    double[] lines = new double[meanSquare.length];
    for (int k = 0; k < lines.length; k++) {
      lines[k] = meanSquare[k] + trace;
    }
    return lines;
  }

  /**
   * Finds the tones of a spectrum.
   *
   * @param spectrum spectrum averaged by energy over Hann-windowed frames
   * @return tones in order of frequency; the frequency is that of the energies, good to a few
   *     hundredths of a line for strong steady tones
   */
  public static List<ToneBand> find(Spectrum spectrum) {
    List<ToneBand> bands = new ArrayList<>();
    for (Candidate candidate : candidates(spectrum)) {
      bands.add(candidate.band(spectrum.lineSpacingHz(), candidate.frequencyHz()));
    }
    return bands;
  }

  /** The tones with all that is known of their lines, in order of frequency. */
  static List<Candidate> candidates(Spectrum spectrum) {
    ToneFinder finder = new ToneFinder(spectrum);
    if (finder.firstLine > finder.lastLine) {
      return List.of();
    }
    return finder.search();
  }

  private List<Candidate> search() {
    List<Extent> extents = List.of();
    for (int pass = 0; pass < MOST_PASSES; pass++) {
      averages = LocalFloor.effectiveAverages(lines, masked, nominalAverages);
      List<Extent> found = extents(separate(peaks()));
      boolean[] mask = new boolean[lines.length];
      for (Extent extent : found) {
        Arrays.fill(mask, extent.grownFirst, extent.grownLast + 1, true);
      }
      boolean settled = Arrays.equals(mask, masked);
      masked = mask;
      extents = found;
      if (settled) {
        break;
      }
    }
    List<Candidate> candidates = new ArrayList<>();
    for (Extent extent : extents) {
      Candidate candidate = measure(extent);
      if (candidate != null) {
        candidates.add(candidate);
      }
    }
    return candidates;
  }

  /** Local maxima that pass the test, at every width of groups. */
  private List<Peak> peaks() {
    List<Peak> peaks = new ArrayList<>();
    boolean[] taken = new boolean[lines.length];
    for (int g = 0; g < GROUPS.length; g++) {
      int group = GROUPS[g];
      double[] cells = group == 1 ? lines : grouped(group);
      boolean[] maskedCells = group == 1 ? masked : groupedMask(group);
      // A mean over Hann lines is worth fewer averages than lines, since neighbours share noise.
      double gain = group == 1 ? 1.0 : group / SignificanceTest.LINES_PER_INDEPENDENT_LINE;
      LocalFloor floor = new LocalFloor(cells, maskedCells, averages * gain);
      double least = tests[g].threshold(averages * gain, Integer.MAX_VALUE);
      int last = Math.min(lastLine / group, cells.length - 2 - FIRST_LINE);
      for (int c = Math.max(FIRST_LINE, firstLine / group); c <= last; c++) {
        double height = cells[c];
        if (!(height > cells[c - 1] && height >= cells[c + 1])) {
          continue;
        }
        double frequency = (c + 0.5) * group * lineSpacingHz;
        if (group > 1 && widestBandHz(frequency) < 3.0 * group * lineSpacingHz) {
          continue;
        }
        if (!floor.surelyAbove(c, height / least)) {
          Peak peak = peak(g, c, height, gain, floor);
          if (peak != null && !taken[peak.line]) {
            Arrays.fill(taken, c * group, (c + 1) * group, true);
            peaks.add(peak);
          }
        }
      }
    }
    peaks.sort(Comparator.comparingDouble(Peak::height).reversed());
    return peaks;
  }

  /** The peak in a cell of a width of groups, null if it doesn't pass the test. */
  private Peak peak(int g, int cell, double height, double gain, LocalFloor floor) {
    if (!floor.at(cell) || !(floor.floor() > 0)) {
      return null;
    }
    double threshold = tests[g].threshold(floor.averages(), floor.neighbours());
    if (height < threshold * floor.floor()) {
      return null;
    }
    int group = GROUPS[g];
    int line = highestIn(cell * group, (cell + 1) * group - 1);
    double lineAverages = Math.max(1.0, floor.averages() / gain);
    return new Peak(line, lines[line], floor.floor(), lineAverages, threshold);
  }

  private double[] grouped(int group) {
    double[] cells = new double[lines.length / group];
    for (int c = 0; c < cells.length; c++) {
      double sum = 0.0;
      for (int k = c * group; k < (c + 1) * group; k++) {
        sum += lines[k];
      }
      cells[c] = sum / group;
    }
    return cells;
  }

  private boolean[] groupedMask(int group) {
    boolean[] cells = new boolean[lines.length / group];
    for (int k = 0; k < cells.length * group; k++) {
      cells[k / group] |= masked[k];
    }
    return cells;
  }

  private int highestIn(int first, int last) {
    int highest = first;
    for (int k = first + 1; k <= last; k++) {
      if (lines[k] > lines[highest]) {
        highest = k;
      }
    }
    return highest;
  }

  private int lowestIn(int first, int last) {
    int lowest = first;
    for (int k = first + 1; k <= last; k++) {
      if (lines[k] < lines[lowest]) {
        lowest = k;
      }
    }
    return lowest;
  }

  private static double widestBandHz(double frequencyHz) {
    return CriticalBands.WIDEST_TONE_BAND * CriticalBands.widthHz(frequencyHz);
  }

  /** Leaves out peaks that are part of a stronger one, in order of frequency. */
  private List<Peak> separate(List<Peak> strongestFirst) {
    List<Peak> accepted = new ArrayList<>();
    for (Peak peak : strongestFirst) {
      boolean separate = true;
      for (Peak stronger : neighboursOf(peak, accepted)) {
        separate &= separate(peak, stronger);
      }
      if (separate) {
        accepted.add(peak);
      }
    }
    accepted.sort(Comparator.comparingInt(Peak::line));
    return accepted;
  }

  private static List<Peak> neighboursOf(Peak peak, List<Peak> accepted) {
    Peak below = null;
    Peak above = null;
    for (Peak other : accepted) {
      if (other.line <= peak.line && (below == null || other.line > below.line)) {
        below = other;
      }
      if (other.line >= peak.line && (above == null || other.line < above.line)) {
        above = other;
      }
    }
    List<Peak> neighbours = new ArrayList<>(2);
    if (below != null) {
      neighbours.add(below);
    }
    if (above != null) {
      neighbours.add(above);
    }
    return neighbours;
  }

  private boolean separate(Peak weaker, Peak stronger) {
    int distance = Math.abs(weaker.line - stronger.line);
    if (distance < LocalFloor.GUARD) {
      return false;
    }
    double skirt = SKIRT_ALLOWANCE * stronger.height * skirt(distance - 0.5);
    if (weaker.height < weaker.threshold * (weaker.floor + skirt)) {
      return false;
    }
    double valley =
        lines[lowestIn(Math.min(weaker.line, stronger.line), Math.max(weaker.line, stronger.line))];
    double depth = Math.exp(-VALLEY_DEVIATIONS * Math.sqrt(2.0 / weaker.averages));
    double nearFloor = weaker.floor * (1.0 + 2.0 / Math.sqrt(weaker.averages));
    return valley <= Math.max(depth * weaker.height, nearFloor);
  }

  /** Envelope of a Hann window's energy response outside its main lobe: [πd(d² − 1)]^−2. */
  private static double skirt(double distanceLines) {
    double amplitude = 1.0 / (Math.PI * distanceLines * (distanceLines * distanceLines - 1.0));
    return Math.min(1.0, amplitude * amplitude);
  }

  /** The lines of each tone: as far as they rise above the floor, at most 15 % of the band. */
  private List<Extent> extents(List<Peak> peaks) {
    List<Extent> extents = new ArrayList<>();
    for (int i = 0; i < peaks.size(); i++) {
      Peak peak = peaks.get(i);
      int low = i == 0 ? 1 : border(peaks.get(i - 1), peak) + 1;
      int high = i == peaks.size() - 1 ? lines.length - 2 : border(peak, peaks.get(i + 1));
      double end = peak.floor * (1.0 + GROWTH_DEVIATIONS / Math.sqrt(peak.averages));
      int grownFirst = grow(peak.line, -1, low, end);
      int grownLast = grow(peak.line, 1, high, end);
      // Where the side lobes (≈ (πd³)^−2) have sunk to a small part of the floor.
      double skirtLines =
          Math.pow(peak.height / (SKIRT_PART * peak.floor), 1.0 / 6.0) / Math.cbrt(Math.PI);
      int reach = (int) Math.ceil(Math.max(2.0, skirtLines));
      grownFirst = Math.max(low, Math.min(grownFirst, peak.line - reach));
      grownLast = Math.min(high, Math.max(grownLast, peak.line + reach));
      extents.add(limited(peak, grownFirst, grownLast));
    }
    return extents;
  }

  /** Last line of the lower of two tones: the valley line goes to the stronger one. */
  private int border(Peak lower, Peak upper) {
    int valley = lowestIn(lower.line, upper.line);
    return lower.height >= upper.height ? valley : valley - 1;
  }

  private int grow(int from, int step, int limit, double end) {
    int at = from;
    // One low line is chance; two in a row are the end.
    while (at != limit
        && (lines[at + step] > end
            || (at + step != limit && lines[at + 2 * step] > end && at != from))) {
      at += step;
    }
    return at;
  }

  private Extent limited(Peak peak, int first, int last) {
    int most =
        Math.max(
            NARROWEST_BAND_LINES,
            (int) Math.floor(widestBandHz(peak.line * lineSpacingHz) / lineSpacingHz));
    if (last - first + 1 <= most) {
      return new Extent(peak, first, last, first, last);
    }
    double energy = 0.0;
    double moment = 0.0;
    for (int k = first; k <= last; k++) {
      double excess = Math.max(0.0, lines[k] - peak.floor);
      energy += excess;
      moment += excess * k;
    }
    int middle = (int) Math.round(moment / energy);
    int from = Math.max(first, Math.min(last - most + 1, middle - most / 2));
    return new Extent(peak, first, last, from, from + most - 1);
  }

  /** Energy, frequency and width above the noise beneath; null if nothing is left above it. */
  private Candidate measure(Extent extent) {
    double noise = noiseBeneath(extent);
    double energy = 0.0;
    double moment = 0.0;
    for (int k = extent.first; k <= extent.last; k++) {
      energy += lines[k] - noise;
      moment += (lines[k] - noise) * k;
    }
    if (!(energy > 0)) {
      return null;
    }
    double centre = moment / energy;
    double spread = spreadLines(extent, noise, energy, centre);
    double frequency = spread > 0 ? centre : interpolated(extent.peak.line, noise);
    if (!(frequency >= extent.first - 0.5 && frequency <= extent.last + 0.5)) {
      frequency = extent.peak.line;
    }
    int grown = extent.grownLast - extent.grownFirst;
    int kept = extent.last - extent.first;
    return new Candidate(
        extent.peak.line,
        extent.first,
        extent.last,
        frequency * lineSpacingHz,
        energy / noiseBandwidthLines,
        noise,
        spread * lineSpacingHz,
        grown > kept && spread > 0);
  }

  /** Mean of the nearest lines on both sides that belong to no tone. */
  private double noiseBeneath(Extent extent) {
    int reach = Math.max(8 * NOISE_LINES, 2 * (extent.last - extent.first));
    double sum = 0.0;
    int sides = 0;
    for (int step = -1; step <= 1; step += 2) {
      double side = 0.0;
      int count = 0;
      int k = step < 0 ? extent.first - 1 : extent.last + 1;
      for (int i = 0; i < reach && count < NOISE_LINES; i++, k += step) {
        if (k < 2 || k >= lines.length - 1) {
          break;
        }
        if (!masked[k]) {
          side += lines[k];
          count++;
        }
      }
      if (count > 0) {
        sum += side / count;
        sides++;
      }
    }
    return sides == 0 ? Math.min(extent.peak.floor, extent.peak.height) : sum / sides;
  }

  /** Standard deviation of frequency beyond the window's own and beyond chance [lines]. */
  private double spreadLines(Extent extent, double noise, double energy, double centre) {
    double second = 0.0;
    double fourth = 0.0;
    for (int k = extent.first; k <= extent.last; k++) {
      double d2 = (k - centre) * (k - centre);
      second += (lines[k] - noise) * d2;
      fourth += d2 * d2;
    }
    double chance =
        3.0
            * noise
            * Math.sqrt(fourth * SignificanceTest.LINES_PER_INDEPENDENT_LINE / averages)
            / energy;
    // The side lobes outside the band take a little of the window's own variance away.
    double excess = second / energy - WINDOW_VARIANCE - chance;
    return excess > 0.02 ? Math.sqrt(excess) : 0.0;
  }

  /**
   * Frequency from the two highest lines of a Hann window's main lobe: (2a − 1)/(a + 1) [lines].
   */
  private double interpolated(int peak, double noise) {
    int side = lines[peak + 1] >= lines[peak - 1] ? 1 : -1;
    double here = Math.max(0.0, lines[peak] - noise);
    double beside = Math.max(0.0, lines[peak + side] - noise);
    double ratio = here > 0 ? Math.sqrt(beside / here) : 0.5;
    double offset = Math.max(0.0, Math.min(0.5, (2.0 * ratio - 1.0) / (ratio + 1.0)));
    return peak + side * offset;
  }
}
