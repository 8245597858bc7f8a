package org.whinograph.speed.order;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.whinograph.quantity.Reading;
import org.whinograph.spectrum.Spectrum;
import org.whinograph.tone.CriticalBands;
import org.whinograph.tone.ToneBand;
import org.whinograph.tone.ToneRatios;

/** Judges each order in each range of speed, and the levels against the speed. */
final class SweepJudge {
  /** Frames of a range of speeds whose average is worth judging. */
  static final int FEWEST_FRAMES = 2;

  /** Least ratio of the highest to the lowest speed that makes a sweep. */
  private static final double LEAST_RANGE = 1.2;

  private static final int FEWEST_BINS = 4;

  /** Ranges of speed are 6 % wide. */
  private static final double HALF_BIN = 1.03;

  private static final double GAIN_DOUBT = 0.1;

  /** Main lobe of a line in the spectra that follow the speed [Hz]. */
  private static final double SPREAD_HZ = 2.5;

  private final List<SpeedBin> bins;
  private final List<SpeedLevels> levels;
  private final List<Map<Integer, Heard>> heard = new ArrayList<>();

  private final SteadyLines steady;

  /** An order in a range of speeds; its level may be that of a steady line which it passes. */
  private record Heard(double levelDb, double aboveLimitDb, String ratio, boolean steadyLine) {}

  private SweepJudge(List<SpeedBin> bins, List<SpeedLevels> levels, SteadyLines steady) {
    this.bins = bins;
    this.steady = steady;
    this.levels = levels;
  }

  /**
   * Judges a sweep.
   *
   * @param bins spectra by ranges of speed, in order of speed
   * @param levels levels of the orders at finer steps of the speed
   * @param steady lines that stay, whatever the speed
   * @return what it tells, or null if the speed doesn't go through a range
   */
  static SpeedSweep judge(List<SpeedBin> bins, List<SpeedLevels> levels, SteadyLines steady) {
    if (bins.size() < FEWEST_BINS
        || bins.get(bins.size() - 1).shaftHz() < LEAST_RANGE * bins.get(0).shaftHz()) {
      return null;
    }
    return new SweepJudge(bins, levels, steady).judged();
  }

  private SpeedSweep judged() {
    for (SpeedBin bin : bins) {
      heard.add(orders(bin));
    }
    Line level = levelLine();
    int strongest = strongest();
    Resonances resonances = new Resonances(runs(), levels, steady);
    List<ResonanceCrossing> found = resonances.find();
    Line tone = strongest == 0 ? Line.NONE : toneLine(strongest, resonances);
    return new SpeedSweep(
        60.0 * bins.get(0).shaftHz(),
        60.0 * bins.get(bins.size() - 1).shaftHz(),
        level.slope(),
        level.deviation(),
        tone.slope(),
        tone.deviation(),
        strongest,
        ranges(),
        found);
  }

  /** Levels of each order by ranges of speed. */
  private Map<Integer, Resonances.Run> runs() {
    Map<Integer, Resonances.Run> runs = new TreeMap<>();
    for (int b = 0; b < bins.size(); b++) {
      double x = decade(b);
      heard
          .get(b)
          .forEach(
              (order, tone) -> {
                if (!tone.steadyLine()) {
                  runs.computeIfAbsent(order, k -> new Resonances.Run(bins.size()))
                      .add(x, tone.levelDb());
                }
              });
    }
    return runs;
  }

  private Map<Integer, Heard> orders(SpeedBin bin) {
    Map<Integer, Heard> result = new TreeMap<>();
    Spectrum spectrum = bin.spectrum();
    List<ToneBand> bands = bin.bands();
    double spacing = spectrum.lineSpacingHz() / bin.shaftHz();
    for (int i = 0; i < bands.size(); i++) {
      double place = bands.get(i).frequencyHz() / bin.shaftHz();
      int k = (int) Math.rint(place);
      if (k < 1 || Math.abs(place - k) > Math.min(0.1, 2.0 * spacing)) {
        continue;
      }
      double f = bands.get(i).frequencyHz();
      double above = Double.NEGATIVE_INFINITY;
      String ratio = "";
      if (CriticalBands.hasVerdict(f) && spectrum.lineSpacingHz() <= 0.01 * f) {
        Reading toneToNoise = ToneRatios.toneToNoise(spectrum, bands, i).ratio();
        Reading prominence = ToneRatios.prominence(spectrum, bands, i);
        if (toneToNoise.known()) {
          above = toneToNoise.value() - CriticalBands.toneToNoiseLimitDb(f);
          ratio = "tone-to-noise ratio";
        }
        if (prominence.known() && prominence.value() - CriticalBands.prominenceLimitDb(f) > above) {
          above = prominence.value() - CriticalBands.prominenceLimitDb(f);
          ratio = "prominence ratio";
        }
      }
      double level = spectrum.unit().levelOf(bands.get(i).meanSquare());
      Heard other = result.get(k);
      if (other == null || other.levelDb() < level) {
        boolean line =
            steady.explain(f, (HALF_BIN - 1.0) * f + 2.0 * SPREAD_HZ, bands.get(i).meanSquare());
        result.put(k, new Heard(level, above, ratio, line));
      }
    }
    return result;
  }

  private double decade(int bin) {
    return Math.log10(bins.get(bin).shaftHz());
  }

  private Line levelLine() {
    double[] x = new double[bins.size()];
    double[] y = new double[bins.size()];
    for (int b = 0; b < bins.size(); b++) {
      Spectrum spectrum = bins.get(b).spectrum();
      x[b] = decade(b);
      y[b] =
          spectrum
              .unit()
              .levelOf(
                  ToneRatios.bandMeanSquare(
                      spectrum,
                      SpeedSweep.LEVEL_FROM_HZ,
                      Math.min(SpeedSweep.LEVEL_TO_HZ, ToneRatios.highestHz(spectrum))));
    }
    return Line.through(x, y, bins.size());
  }

  /** The order that is the loudest of its range of speed most often; 0 without any. */
  private int strongest() {
    TreeMap<Integer, Integer> wins = new TreeMap<>();
    for (Map<Integer, Heard> orders : heard) {
      orders.entrySet().stream()
          .filter(entry -> !entry.getValue().steadyLine())
          .max(Comparator.comparingDouble(entry -> entry.getValue().levelDb()))
          .ifPresent(entry -> wins.merge(entry.getKey(), 1, Integer::sum));
    }
    int best = 0;
    for (Map.Entry<Integer, Integer> entry : wins.entrySet()) {
      if (best == 0 || entry.getValue() > wins.get(best)) {
        best = entry.getKey();
      }
    }
    return best;
  }

  /**
   * Slope of an order's level, the gain of the resonances that it passes taken off. What is taken
   * off isn't known better than to a tenth (judgement).
   */
  private Line toneLine(int order, Resonances resonances) {
    double[] x = new double[bins.size()];
    double[] y = new double[bins.size()];
    double[] gain = new double[bins.size()];
    int n = 0;
    for (int b = 0; b < bins.size(); b++) {
      Heard tone = heard.get(b).get(order);
      if (tone != null && !tone.steadyLine()) {
        x[n] = decade(b);
        gain[n] = resonances.gainDb(order, order * bins.get(b).shaftHz());
        y[n] = tone.levelDb() - gain[n];
        n++;
      }
    }
    Line taken = Line.through(x, gain, n);
    Line line = Line.through(x, y, n);
    return line.slope().known() && taken.slope().known()
        ? line.widened(GAIN_DOUBT * taken.slope().value())
        : line;
  }

  private List<SpeedRange> ranges() {
    List<SpeedRange> result = new ArrayList<>();
    TreeMap<Integer, Integer> open = new TreeMap<>();
    TreeMap<Integer, Integer> last = new TreeMap<>();
    for (int b = 0; b <= bins.size(); b++) {
      Map<Integer, Heard> now = b < bins.size() ? heard.get(b) : new TreeMap<>();
      boolean gap =
          b > 0 && b < bins.size() && bins.get(b).shaftHz() > 1.13 * bins.get(b - 1).shaftHz();
      for (Integer order : new ArrayList<>(open.keySet())) {
        Heard tone = now.get(order);
        // What a steady line hides neither ends a range nor belongs to it.
        boolean hidden = tone != null && tone.steadyLine();
        if (gap || !(hidden || (tone != null && tone.aboveLimitDb() >= 0.0))) {
          result.add(range(order, open.remove(order), last.get(order)));
        }
      }
      for (Map.Entry<Integer, Heard> entry : now.entrySet()) {
        if (entry.getValue().aboveLimitDb() >= 0.0 && !entry.getValue().steadyLine()) {
          open.putIfAbsent(entry.getKey(), b);
          last.put(entry.getKey(), b);
        }
      }
    }
    result.sort(Comparator.comparingDouble(SpeedRange::aboveLimitDb).reversed());
    return result;
  }

  private SpeedRange range(int order, int from, int to) {
    int worst = from;
    for (int b = from; b <= to; b++) {
      Heard here = heard.get(b).get(order);
      if (!here.steadyLine() && here.aboveLimitDb() > heard.get(worst).get(order).aboveLimitDb()) {
        worst = b;
      }
    }
    Heard tone = heard.get(worst).get(order);
    // Nothing is said of speeds that the fan didn't run at.
    double below = from == 0 ? 1.0 : HALF_BIN;
    double above = to == bins.size() - 1 ? 1.0 : HALF_BIN;
    return new SpeedRange(
        order,
        60.0 * bins.get(from).shaftHz() / below,
        60.0 * bins.get(to).shaftHz() * above,
        60.0 * bins.get(worst).shaftHz(),
        order * bins.get(worst).shaftHz(),
        tone.aboveLimitDb(),
        tone.ratio());
  }

  /** A straight line by least squares. */
  private record Line(Reading slope, Reading deviation) {
    static final Line NONE = none("no order stands out at enough speeds");

    static Line none(String reason) {
      return new Line(Reading.unknown(reason), Reading.unknown(reason));
    }

    Line widened(double deviationOfMore) {
      return new Line(slope, Reading.of(Math.hypot(deviation.value(), deviationOfMore)));
    }

    static Line through(double[] x, double[] y, int n) {
      if (n < FEWEST_BINS) {
        return NONE;
      }
      double xm = Arrays.stream(x, 0, n).average().orElseThrow();
      double ym = Arrays.stream(y, 0, n).average().orElseThrow();
      double xx = 0.0;
      double xy = 0.0;
      for (int i = 0; i < n; i++) {
        xx += (x[i] - xm) * (x[i] - xm);
        xy += (x[i] - xm) * (y[i] - ym);
      }
      double slope = xy / xx;
      double rest = 0.0;
      for (int i = 0; i < n; i++) {
        rest += Math.pow(y[i] - ym - slope * (x[i] - xm), 2);
      }
      return new Line(
          Reading.ofFinite(slope, "the recording holds silence"),
          Reading.ofFinite(Math.sqrt(rest / (n - 2) / xx), "the recording holds silence"));
    }
  }
}
