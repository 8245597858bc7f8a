package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Random;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.band.Band;
import org.whinograph.band.BandAnalyser;
import org.whinograph.band.BandLevel;
import org.whinograph.band.BandResult;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RealTransform;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;

/** Band filters, decimators and averaging as one chain, against IEC 61260-1:2014. */
class BandFilterTest {
  private static final int BLOCK = 4096;

  /** Levels of all bands, one-third octaves first, relative to the tone's [dB]; NaN if unknown. */
  private record Response(double frequencyHz, double[] relative) {}

  private static List<Band> allBands() {
    List<Band> bands = new ArrayList<>(Band.thirdOctaves());
    bands.addAll(Band.octaves());
    return bands;
  }

  private static double[] levels(BandResult result) {
    List<BandLevel> all = new ArrayList<>(result.thirdOctaves());
    all.addAll(result.octaves());
    return all.stream()
        .mapToDouble(band -> band.level().known() ? band.level().value() : Double.NaN)
        .toArray();
  }

  /**
   * A full-scale sine through the analyser. Its first 0.3 s swell and are marked as a gap, so that
   * what is averaged is steady; a level below the rounding of the arithmetic counts as −240 dB.
   */
  private static Response sine(double rate, double frequency) {
    int swell = (int) (0.3 * rate);
    int length = (int) ((frequency < 200 ? 4.0 : 2.2) * rate);
    BandAnalyser analyser = new BandAnalyser(rate, LevelUnit.FULL_SCALE);
    double[] block = new double[BLOCK];
    double turn = 2.0 * Math.PI * frequency / rate;
    double turnCos = Math.cos(turn);
    double turnSin = Math.sin(turn);
    for (int position = 0; position < length; position += BLOCK) {
      double c = Math.cos(turn * position);
      double s = Math.sin(turn * position);
      for (int i = 0; i < BLOCK; i++) {
        int n = position + i;
        double gain = n < swell ? 0.5 - 0.5 * Math.cos(Math.PI * n / swell) : 1.0;
        block[i] = gain * s;
        double next = c * turnCos - s * turnSin;
        s = s * turnCos + c * turnSin;
        c = next;
      }
      List<Span> gaps =
          position < swell
              ? List.of(new Span(position, Math.min(swell - position, BLOCK)))
              : List.of();
      analyser.accept(new SampleBlock(block, BLOCK, rate, position, List.of(), gaps));
    }
    double[] relative = levels(analyser.result());
    for (int i = 0; i < relative.length; i++) {
      if (Double.isNaN(relative[i]) && carried(allBands().get(i), rate)) {
        relative[i] = -240.0;
      }
    }
    return new Response(frequency, relative);
  }

  private static boolean carried(Band band, double rate) {
    return band.upperHz() <= 0.4688 * rate;
  }

  /**
   * The class 1 mask of every band by steady sines at each breakpoint of each band's mask and on a
   * grid of 1/12 octave (at other rates than 48 kHz: of the bands from 8 kHz, and 1/6 octave),
   * through the same objects that measure recordings.
   */
  @ParameterizedTest
  @ValueSource(doubles = {44_100, 48_000, 96_000})
  void everyBandKeepsTheClass1Mask(double rate) {
    List<Band> bands = allBands();
    boolean whole = rate == 48_000;
    TreeSet<Double> frequencies = new TreeSet<>();
    for (Band band : bands) {
      if (whole || band.midbandHz() > 7000) {
        for (double f : new BandMask(band).breakpointsHz()) {
          // Equal breakpoints of different bands differ by rounding.
          frequencies.add(Math.rint(f * 1e4) / 1e4);
        }
      }
    }
    int grid = whole ? 12 : 6;
    for (int i = 0; i < grid * 10; i++) {
      frequencies.add(20.0 * Math.pow(2.0, (double) i / grid));
    }
    frequencies.removeIf(f -> f < 2.0 || f > 0.4995 * rate);

    List<Response> responses = new ArrayList<>();
    for (double f : frequencies) {
      responses.add(sine(rate, f));
    }
    VerificationReport report =
        new VerificationReport(
            "band-mask-" + (int) rate,
            "Class 1 mask of the band filters at " + (int) rate + " Hz, by sines",
            "IEC 61260-1:2014, 5.10 and table 1, class 1 (limits as in reference/iec61260-1)",
            "band",
            "bandwidth",
            "least margin [dB]",
            "at f/fm",
            "attenuation there [dB]",
            "attenuation at midband [dB]",
            "least attenuation beyond 5.4 (octaves 15.8) times midband [dB]");
    double worst = Double.POSITIVE_INFINITY;
    String worstBand = "";
    for (int b = 0; b < bands.size(); b++) {
      Band band = bands.get(b);
      if (!carried(band, rate)) {
        continue;
      }
      BandMask mask = new BandMask(band);
      double margin = Double.POSITIVE_INFINITY;
      double place = 0.0;
      double there = 0.0;
      double far = Double.POSITIVE_INFINITY;
      for (Response response : responses) {
        double attenuation = -response.relative()[b];
        double m = mask.margin(response.frequencyHz(), attenuation);
        if (m < margin) {
          margin = m;
          place = response.frequencyHz() / band.midbandHz();
          there = attenuation;
        }
        double distance = Math.abs(Math.log(response.frequencyHz() / band.midbandHz()));
        if (distance > Math.log(band.designator() == 1 ? 15.8 : 5.39)) {
          far = Math.min(far, attenuation);
        }
      }
      double midband = -sine(rate, band.midbandHz()).relative()[b];
      report.row(
          band.label(),
          band.designator() == 1 ? "octave" : "one-third octave",
          margin,
          place,
          there,
          midband,
          far);
      if (margin < worst) {
        worst = margin;
        worstBand = band.label() + " of 1/" + band.designator();
      }
      // The average rarely holds a whole number of periods: up to 0.02 dB at 20 Hz.
      assertEquals(
          0.0, midband, band.midbandHz() < 100 ? 0.03 : 0.005, "midband level of " + band.label());
    }
    report.save();
    assertTrue(worst >= 0.0, "margin of " + worst + " dB at " + worstBand);

    if (whole) {
      outputsAddUp(bands, responses);
    }
  }

  /**
   * Sum of the outputs of adjacent bands for a sine anywhere between the lowest and the highest
   * midband: within +0.8 and −1.8 dB of the input (IEC 61260-1:2014, 5.16, class 1; from memory).
   */
  private static void outputsAddUp(List<Band> bands, List<Response> responses) {
    VerificationReport report =
        new VerificationReport(
            "band-sum",
            "Sum of band outputs for a sine, 48 kHz",
            "IEC 61260-1:2014, summation of output signals, class 1: +0.8 to -1.8 dB (from memory)",
            "bandwidth",
            "lowest [dB]",
            "highest [dB]");
    for (int designator : new int[] {3, 1}) {
      double low = Double.POSITIVE_INFINITY;
      double high = Double.NEGATIVE_INFINITY;
      double from = designator == 3 ? 19.95 : 31.62;
      double to = designator == 3 ? 19953 : 15849;
      for (Response response : responses) {
        if (response.frequencyHz() < from || response.frequencyHz() > to) {
          continue;
        }
        double energy = 0.0;
        for (int b = 0; b < bands.size(); b++) {
          if (bands.get(b).designator() == designator) {
            energy += Decibels.toEnergyRatio(response.relative()[b]);
          }
        }
        low = Math.min(low, Decibels.ofEnergyRatio(energy));
        high = Math.max(high, Decibels.ofEnergyRatio(energy));
      }
      report.row(designator == 3 ? "one-third octave" : "octave", low, high);
      assertTrue(low >= -1.8 && high <= 0.8, designator + ": " + low + " to " + high);
    }
    report.save();
  }

  /**
   * Negative control: the bilinear transform of an order-3 Butterworth band-pass, its 3 dB points
   * on the band edges, breaks the mask at 16 and 20 kHz for 48 kHz, in the lower skirt, and keeps
   * it at 1 kHz.
   */
  @Test
  void theMaskTellsABilinearFilterOfOrder3() {
    assertTrue(bilinearMargin(Band.thirdOctaves().get(17)) > 0.0);
    for (Band band : List.of(Band.thirdOctaves().get(29), Band.thirdOctaves().get(30))) {
      assertTrue(bilinearMargin(band) < -1.0, band.label() + " " + bilinearMargin(band));
    }
  }

  private static double bilinearMargin(Band band) {
    double rate = 48_000;
    double lower = Math.tan(Math.PI * band.lowerHz() / rate);
    double upper = Math.tan(Math.PI * band.upperHz() / rate);
    BandMask mask = new BandMask(band);
    double middle = Math.tan(Math.PI * band.midbandHz() / rate);
    double reference = bilinearAttenuation(middle, lower, upper);
    double margin = Double.POSITIVE_INFINITY;
    for (double f : mask.breakpointsHz()) {
      if (f < 0.499 * rate) {
        double attenuation =
            bilinearAttenuation(Math.tan(Math.PI * f / rate), lower, upper) - reference;
        margin = Math.min(margin, mask.margin(f, attenuation));
      }
    }
    return margin;
  }

  private static double bilinearAttenuation(double place, double lower, double upper) {
    double x = (place * place - lower * upper) / (place * (upper - lower));
    return Decibels.ofEnergyRatio(1.0 + Math.pow(x, 6));
  }

  /** Exact midband and edge frequencies: IEC 61260-1:2014, 5.2 to 5.6 and table of annex E. */
  @Test
  void frequenciesAreThoseOfBase10() {
    int seen = 0;
    for (Map<String, String> row :
        ReferenceTable.read("iec61260-1/third-octave-bands.csv").rows()) {
      double nominal = ReferenceTable.number(row, "f_nominal_Hz");
      double exact = ReferenceTable.number(row, "f_exact_Hz");
      for (Band band : Band.thirdOctaves()) {
        if (band.nominalHz() == nominal) {
          seen++;
          assertEquals((int) ReferenceTable.number(row, "x"), band.index());
          assertEquals(exact, band.midbandHz(), 1e-4);
          assertEquals(ReferenceTable.number(row, "f_lower_Hz"), band.lowerHz(), 1e-4);
          assertEquals(ReferenceTable.number(row, "f_upper_Hz"), band.upperHz(), 1e-4);
        }
      }
      for (Band band : Band.octaves()) {
        if (band.nominalHz() == nominal) {
          seen++;
          assertEquals("yes", row.get("is_octave_midband"));
          assertEquals(exact, band.midbandHz(), 1e-4);
          assertEquals(Math.sqrt(Math.pow(10.0, 0.3)), band.upperHz() / band.midbandHz(), 1e-12);
          assertEquals(Math.sqrt(Math.pow(10.0, 0.3)), band.midbandHz() / band.lowerHz(), 1e-12);
        }
      }
    }
    assertEquals(31 + 10, seen);
  }

  /**
   * White and pink noise read as the ideal band between the edges would (effective bandwidth, IEC
   * 61260-1:2014, 5.12: class 1 allows 0.4 dB; here 0.02). The noise is periodic with lines of
   * equal strength, or of strength 1/√f, and random phase, so that its power in any band is known
   * without statistics; the average runs over four whole periods.
   */
  @ParameterizedTest
  @ValueSource(doubles = {44_100, 48_000, 96_000})
  void whiteAndPinkNoiseReadRight(double rate) {
    int period = rate > 50_000 ? 1 << 21 : 1 << 20;
    double spacing = rate / period;
    List<Band> bands = allBands();
    VerificationReport report =
        new VerificationReport(
            "band-noise-" + (int) rate,
            "White and pink noise in bands at " + (int) rate + " Hz",
            "IEC 61260-1:2014, 5.12, effective bandwidth: class 1 allows 0.4 dB",
            "band",
            "bandwidth",
            "white, error [dB]",
            "pink, error [dB]");
    double[] white = levels(periodicNoise(rate, period, false));
    double[] pink = levels(periodicNoise(rate, period, true));
    double worst = 0.0;
    for (int b = 0; b < bands.size(); b++) {
      Band band = bands.get(b);
      if (!carried(band, rate)) {
        continue;
      }
      // Power of lines of amplitude 1 (white) and √(1 kHz/f) (pink), rate 1/2 each.
      double whitePower = 0.5 * band.widthHz() / spacing;
      double pinkPower = 0.5 * 1000.0 * Math.log(band.upperHz() / band.lowerHz()) / spacing;
      double whiteError = white[b] - LevelUnit.FULL_SCALE.levelOf(whitePower);
      double pinkError = pink[b] - LevelUnit.FULL_SCALE.levelOf(pinkPower);
      report.row(
          band.label(),
          band.designator() == 1 ? "octave" : "one-third octave",
          whiteError,
          pinkError);
      worst = Math.max(worst, Math.max(Math.abs(whiteError), Math.abs(pinkError)));
    }
    report.save();
    assertTrue(worst <= 0.02, "error of " + worst + " dB");
  }

  private static BandResult periodicNoise(double rate, int period, boolean pink) {
    double[] lines = new double[period];
    Random random = new Random(61260);
    double spacing = rate / period;
    for (int k = 1; k < period / 2; k++) {
      double amplitude = pink ? Math.sqrt(1000.0 / (k * spacing)) : 1.0;
      double phase = 2.0 * Math.PI * random.nextDouble();
      lines[2 * k] = 0.5 * period * amplitude * Math.cos(phase);
      lines[2 * k + 1] = 0.5 * period * amplitude * Math.sin(phase);
    }
    new RealTransform(period).inverse(lines);
    BandAnalyser analyser = new BandAnalyser(rate, LevelUnit.FULL_SCALE);
    for (int n = 0; n < 5; n++) {
      // All but the end of the first period is for settling.
      List<Span> gaps = n == 0 ? List.of(new Span(0, period - (long) rate)) : List.of();
      analyser.accept(new SampleBlock(lines, period, rate, (long) n * period, List.of(), gaps));
    }
    return analyser.result();
  }

  /**
   * Gaussian white noise scatters about the true level by 4.34/√(BT) dB (standard deviation): the
   * 31 deviations in units of it have mean 0 and standard deviation 1.
   */
  @Test
  void gaussianNoiseScattersAsStatisticsSays() {
    double rate = 48_000;
    int seconds = 60;
    Random random = new Random(48);
    BandAnalyser analyser = new BandAnalyser(rate, LevelUnit.SOUND_PRESSURE);
    double[] block = new double[(int) rate];
    for (int s = 0; s < seconds; s++) {
      for (int i = 0; i < block.length; i++) {
        block[i] = 0.01 * random.nextGaussian();
      }
      analyser.accept(SampleBlock.of(block, block.length, rate, (long) s * block.length));
    }
    BandResult result = analyser.result();
    double sum = 0.0;
    double squares = 0.0;
    for (int b = 0; b < result.thirdOctaves().size(); b++) {
      Band band = Band.thirdOctaves().get(b);
      double expected = LevelUnit.SOUND_PRESSURE.levelOf(1e-4 * band.widthHz() / (0.5 * rate));
      double sigma = 4.34 / Math.sqrt(band.widthHz() * (seconds - 4.0 / band.widthHz()));
      double error = result.thirdOctaves().get(b).level().value() - expected;
      assertEquals(0.0, error, 0.05 + 3.5 * sigma, band.label());
      sum += error / sigma;
      squares += error / sigma * (error / sigma);
    }
    int n = result.thirdOctaves().size();
    assertEquals(0.0, sum / n, 3.0 / Math.sqrt(n));
    assertEquals(1.0, Math.sqrt(squares / n), 3.0 / Math.sqrt(2.0 * n));
  }

  /**
   * Time-invariant operation (IEC 61260-1:2014, 5.14; class 1 ±0.4 dB, from memory): a sine swept
   * exponentially at constant amplitude leaves T lg(f2/f1)/lg(end/start) of its energy in every
   * band.
   */
  @Test
  void aSweptSineLeavesTheSameEnergyInEveryBand() {
    double rate = 48_000;
    double start = 8.0;
    double end = 23_900.0;
    int sweep = (int) (60 * rate);
    int before = (int) (2 * rate);
    int length = sweep + 2 * before;
    double growth = Math.log(end / start) / sweep;
    double[] samples = new double[length];
    for (int i = 0; i < sweep; i++) {
      samples[before + i] =
          Math.sin(2.0 * Math.PI * start / rate * Math.expm1(growth * i) / growth);
    }
    BandAnalyser analyser = new BandAnalyser(rate, LevelUnit.FULL_SCALE);
    analyser.accept(SampleBlock.of(samples, length, rate, 0));
    BandResult result = analyser.result();
    double[] levels = levels(result);
    VerificationReport report =
        new VerificationReport(
            "band-sweep",
            "Time-invariant operation: exponential sweep of 60 s, 48 kHz",
            "IEC 61260-1:2014, time-invariant operation, class 1: 0.4 dB (from memory)",
            "band",
            "bandwidth",
            "error [dB]");
    double worst = 0.0;
    List<Band> bands = allBands();
    for (int b = 0; b < bands.size(); b++) {
      Band band = bands.get(b);
      double inBand = Math.log(band.upperHz() / band.lowerHz()) / growth;
      // The average leaves out the settling of 4/B, which lies in the silence before.
      double averaged = length - 4.0 / band.widthHz() * rate;
      double error = levels[b] - Decibels.ofEnergyRatio(inBand / averaged);
      report.row(band.label(), band.designator() == 1 ? "octave" : "one-third octave", error);
      worst = Math.max(worst, Math.abs(error));
    }
    report.save();
    assertTrue(worst <= 0.1, "error of " + worst + " dB");
  }

  /** Tones that halving could fold into low bands are at least 85 dB down there. */
  @Test
  void decimationFoldsNothingBack() {
    double rate = 48_000;
    List<Double> tones = new ArrayList<>(List.of(15_900.0, 23_950.0, 23_600.0));
    for (double stageRate = 24_000; stageRate > 400; stageRate /= 2) {
      tones.add(stageRate - 40.0);
      tones.add(stageRate + 63.0);
      tones.add(0.75 * stageRate + 1.0);
    }
    VerificationReport report =
        new VerificationReport(
            "band-aliasing",
            "Tones folded by decimation, 48 kHz",
            "IEC 61260-1:2014, table 1: at least 70 dB far from the band",
            "tone [Hz]",
            "highest level of a band more than 2.5 octaves below [dB re tone]");
    double worst = Double.NEGATIVE_INFINITY;
    for (double tone : tones) {
      double[] relative = sine(rate, tone).relative();
      double highest = Double.NEGATIVE_INFINITY;
      List<Band> bands = allBands();
      for (int b = 0; b < bands.size(); b++) {
        double octaves = Math.log(tone / bands.get(b).midbandHz()) / Math.log(2.0);
        if (octaves > (bands.get(b).designator() == 1 ? 4.0 : 2.5)) {
          highest = Math.max(highest, relative[b]);
        }
      }
      report.row(tone, highest);
      worst = Math.max(worst, highest);
    }
    report.save();
    assertTrue(worst <= -70.0, "a tone folds to " + worst + " dB");
  }

  /** A-weighted band levels: the rounded values of IEC 61672-1:2013, table 3. */
  @Test
  void aWeightingIsThatOfTheExactMidband() {
    double rate = 48_000;
    Random random = new Random(3);
    double[] samples = random.doubles(4L * (int) rate, -0.5, 0.5).toArray();
    BandAnalyser analyser = new BandAnalyser(rate, LevelUnit.FULL_SCALE);
    analyser.accept(SampleBlock.of(samples, samples.length, rate, 0));
    int seen = 0;
    for (BandLevel band : analyser.result().thirdOctaves()) {
      for (Map<String, String> row : ReferenceTable.read("iec61672-1/weightings.csv").rows()) {
        if (ReferenceTable.number(row, "f_nominal_Hz") == band.nominalHz()) {
          seen++;
          assertEquals(
              ReferenceTable.number(row, "A_dB"),
              band.aWeighted().value() - band.level().value(),
              0.0501,
              band.nominalHz() + " Hz");
        }
      }
    }
    assertEquals(31, seen);
  }

  /** What a rate can't carry is unknown, with the reason and one warning; the rest is there. */
  @Test
  void bandsBeyondTheRateAreUnknown() {
    for (double rate : new double[] {32_000, 44_100}) {
      Random random = new Random(5);
      double[] samples = random.doubles(3L * (int) rate, -0.5, 0.5).toArray();
      BandAnalyser analyser = new BandAnalyser(rate, LevelUnit.FULL_SCALE);
      analyser.accept(SampleBlock.of(samples, samples.length, rate, 0));
      BandResult result = analyser.result();
      List<BandLevel> all = new ArrayList<>(result.thirdOctaves());
      all.addAll(result.octaves());
      for (int b = 0; b < all.size(); b++) {
        Band band = allBands().get(b);
        assertEquals(carried(band, rate), all.get(b).level().known(), band.label());
        assertEquals(carried(band, rate), all.get(b).aWeighted().known(), band.label());
        if (!carried(band, rate)) {
          assertTrue(
              all.get(b).level().reason().contains(String.format(Locale.ROOT, "%.0f Hz", rate)));
        }
      }
      assertFalse(result.octaves().get(9).level().known());
      assertEquals(
          List.of("band-beyond-rate"),
          analyser.warnings().stream().map(warning -> warning.code()).toList());
      assertTrue(analyser.warnings().get(0).message().contains("20 kHz one-third octave"));
      assertEquals(3, result.thirdOctaves1s().length);
      assertTrue(Float.isNaN(result.thirdOctaves1s()[1][30]));
    }
    assertEquals(Collections.nCopies(41, true), levelsKnownAt48());
  }

  private static List<Boolean> levelsKnownAt48() {
    List<Boolean> known = new ArrayList<>();
    for (double level : levels(periodicNoise(48_000, 1 << 17, false))) {
      known.add(!Double.isNaN(level));
    }
    return known;
  }
}
