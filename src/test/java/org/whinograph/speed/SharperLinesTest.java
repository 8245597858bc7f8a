package org.whinograph.speed;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.speed.SharperLines.Verdict;

/** Orders of one shaft keep their ratio, however it turns: their definition. */
class SharperLinesTest {
  private static final int FRAMES = 96;
  private static final double COMB_HZ = 50.0;
  private static final double COMB_NOISE = 4e-4;
  private static final double LINE_NOISE = 5e-5;

  private final Random random = new Random(57);

  /** A shaft that wanders, about 1 [1]. */
  private double[] shaft(double motion) {
    double[] result = new double[FRAMES];
    double off = 0.0;
    for (int i = 0; i < FRAMES; i++) {
      off = 0.9 * off + 0.436 * motion * random.nextGaussian();
      result[i] = 1.0 + off;
    }
    return result;
  }

  private double[] heard(double hz, double[] shaft, double noise) {
    return Arrays.stream(shaft).map(s -> hz * s * (1.0 + noise * random.nextGaussian())).toArray();
  }

  private static double[] even(double value) {
    double[] result = new double[FRAMES];
    Arrays.fill(result, value);
    return result;
  }

  private static Verdict judge(double[] comb, double[] line, double lineNoise, boolean wanders) {
    return SharperLines.judge(comb, even(COMB_NOISE), line, even(lineNoise), wanders);
  }

  @Test
  void aLineThatMovesAsTheCombIsTheShafts() {
    double[] shaft = shaft(1e-3);
    double[] comb = heard(COMB_HZ, shaft, COMB_NOISE);
    assertEquals(
        Verdict.SHARPER, judge(comb, heard(31.0 * COMB_HZ, shaft, LINE_NOISE), LINE_NOISE, true));
    double[] elsewhere = heard(31.27 * COMB_HZ, shaft, LINE_NOISE);
    assertEquals(
        Verdict.SHARPER, judge(comb, elsewhere, LINE_NOISE, true), "no order of the comb itself");
  }

  /** A path that was refined may be slower than the slowest that is searched. */
  @Test
  void linesFarAboveTheSlowestCombAreFound() {
    double lineHz = 1.95;
    double slowest = 0.99 * CombSearch.LOWEST_HZ;
    WhitenedFrames frames = new WhitenedFrames(lineHz, 5);
    for (int t = 0; t < FRAMES; t++) {
      frames.add(200.0 * slowest);
    }
    double highestHz = 2048 * lineHz;
    List<Double> ratios =
        new SharperLines(frames.peaks(), lineHz, highestHz).ratios(even(slowest), List.of());
    assertEquals(200.0, ratios.get(0), 0.1);
  }

  @Test
  void aLineThatMovesByItselfIsNot() {
    double[] comb = heard(COMB_HZ, shaft(1e-3), COMB_NOISE);
    double[] other = heard(31.27 * COMB_HZ, shaft(1e-3), LINE_NOISE);
    assertEquals(Verdict.NOT_THE_SHAFTS, judge(comb, other, LINE_NOISE, true));
  }

  @Test
  void whatStandsStillMustStandExactlyOnAMultiple() {
    double[] comb = heard(COMB_HZ, even(1.0), 0.1 * COMB_NOISE);
    double[] multiple = heard(31.0 * COMB_HZ, even(1.0), LINE_NOISE);
    assertEquals(Verdict.SHARPER, judge(comb, multiple, LINE_NOISE, false));
    double[] near = heard(31.03 * COMB_HZ, even(1.0), LINE_NOISE);
    assertEquals(Verdict.NOT_THE_SHAFTS, judge(comb, near, LINE_NOISE, false));
  }

  @Test
  void aLineThatTellsNoMoreIsOfNoUse() {
    double[] shaft = shaft(1e-3);
    double[] comb = heard(COMB_HZ, shaft, COMB_NOISE);
    double[] line = heard(31.0 * COMB_HZ, shaft, COMB_NOISE);
    assertEquals(Verdict.NEEDLESS, judge(comb, line, COMB_NOISE, true));
  }

  /** A melody's line leaps from rest to rest, a rotor's glides. */
  @Test
  void aGlideHasNoLeaps() {
    double[] glide = new double[FRAMES];
    double[] melody = new double[FRAMES];
    for (int i = 0; i < FRAMES; i++) {
      glide[i] = 1500.0 * Math.pow(1.015, i);
      melody[i] = 1500.0 * Math.pow(2.0, (i / 12 % 3) / 12.0);
    }
    assertEquals(0, SharperLines.leaps(glide));
    assertEquals(7, SharperLines.leaps(melody));
  }

  @Test
  void linesThatGoAlongAreFoundByTheirRatio() {
    double spacingHz = 2.0;
    PeakList peaks = new PeakList();
    double[] comb = new double[FRAMES];
    for (int t = 0; t < FRAMES; t++) {
      comb[t] = COMB_HZ * (1.0 + 0.002 * t);
      float[] power = new float[1024];
      Arrays.fill(power, 1f);
      for (double hz : new double[] {31.0 * comb[t], 15.5 * comb[t], comb[t], 700.0, 900.0}) {
        power[(int) Math.rint(hz / spacingHz)] = 40f;
      }
      peaks.addFrame(power, power.length, spacingHz, 20.0, 2000.0);
    }
    SharperLines lines = new SharperLines(peaks, spacingHz, 2000.0);
    List<Double> found = lines.ratios(comb, List.of(700.0));
    assertEquals(2, found.size(), "what stands is none: " + found);
    assertEquals(15.5, found.get(0), 0.02, "with its multiple it tells more than that alone");
    assertEquals(31.0, found.get(1), 0.04);
  }
}
