package org.whinograph.level;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.function.Function;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;
import org.whinograph.verification.Metering;
import org.whinograph.weighting.WeightingFilter;

class LevelMeterTest {
  private static final int RATE_HZ = 48_000;

  private static final List<Function<LevelResult, Reading>> READINGS =
      List.of(
          LevelResult::laeq,
          LevelResult::lceq,
          LevelResult::lzeq,
          LevelResult::lafMax,
          LevelResult::lafMin,
          LevelResult::lasMax,
          LevelResult::lasMin,
          LevelResult::lcPeak,
          LevelResult::lzPeak,
          LevelResult::la10,
          LevelResult::la50,
          LevelResult::la90,
          LevelResult::lae);

  @Test
  void fullScaleSineAtOneKilohertzReadsZeroWithEveryWeighting() {
    LevelResult levels = Metering.levels(Metering.sine(1000, 1.0, 10.0, RATE_HZ), RATE_HZ);
    assertEquals(0.0, levels.laeq().value(), 1e-3);
    // The joint before a tone's first sample weighs 2 ms of its level in C.
    assertEquals(0.0, levels.lceq().value(), 2e-3);
    assertEquals(0.0, levels.lzeq().value(), 1e-9);
    assertEquals(10.0, levels.lae().value(), 1e-3);
    // 48 samples a period: the crest lies at most half a sample from one, (π/48)²/2 low.
    assertEquals(3.0103, levels.lcPeak().value(), 0.019);
    assertEquals(3.0103, levels.lzPeak().value(), 1e-4);
  }

  /** One pascal is 93.98 dB re 20 µPa (ISO 1683). */
  @Test
  void onePascalReads94() {
    LevelMeter meter = new LevelMeter(RATE_HZ, LevelUnit.SOUND_PRESSURE);
    double[] x = Metering.sine(1000, Math.sqrt(2.0), 2.0, RATE_HZ);
    meter.accept(SampleBlock.of(x, x.length, RATE_HZ, 0));
    assertEquals(93.979, meter.result().laeq().value(), 2e-3);
  }

  @ParameterizedTest
  @ValueSource(ints = {1, 7, 480, 65_536})
  void blockLengthNeverChangesABit(int blockLength) {
    double[] x = Metering.noise(11, 0.1, 6.7, RATE_HZ);
    List<Span> gaps = List.of(new Span(5000, 1), new Span(30_000, 9000), new Span(311_111, 700));
    LevelResult expected = withGaps(x, gaps, 4096).result();
    LevelResult actual = withGaps(x, gaps, blockLength).result();
    for (Function<LevelResult, Reading> reading : READINGS) {
      assertEquals(reading.apply(expected), reading.apply(actual));
    }
    assertArrayEquals(expected.history().laeq1s(), actual.history().laeq1s());
    assertArrayEquals(expected.history().lafMax1s(), actual.history().lafMax1s());
    assertArrayEquals(expected.history().laf(), actual.history().laf());
    assertEquals(withGaps(x, gaps, 4096).warnings(), withGaps(x, gaps, blockLength).warnings());
  }

  @Test
  void scalingMovesEveryLevelByItsDecibels() {
    double[] x = Metering.noise(3, 0.01, 7.0, RATE_HZ);
    LevelResult plain = Metering.levels(x, RATE_HZ);
    for (double factor : new double[] {1e-6, 0.125, 7.3}) {
      LevelResult scaled =
          Metering.levels(Arrays.stream(x).map(v -> factor * v).toArray(), RATE_HZ);
      for (Function<LevelResult, Reading> reading : READINGS) {
        assertEquals(
            reading.apply(plain).value() + Decibels.ofAmplitudeRatio(factor),
            reading.apply(scaled).value(),
            1e-9);
      }
    }
  }

  @Test
  void oneRecordingAfterTheOtherAddsTheirEnergies() {
    double[] first = Metering.noise(1, 0.1, 6.0, RATE_HZ);
    double[] second = Metering.noise(2, 0.03, 4.0, RATE_HZ);
    double[] both = Arrays.copyOf(first, first.length + second.length);
    System.arraycopy(second, 0, both, first.length, second.length);
    LevelResult one = Metering.levels(first, RATE_HZ);
    LevelResult two = Metering.levels(second, RATE_HZ);
    LevelResult sum = Metering.levels(both, RATE_HZ);
    assertEquals(Decibels.sum(one.lae().value(), two.lae().value()), sum.lae().value(), 1e-3);
    assertEquals(
        Decibels.mean(repeat(one.laeq().value(), 6, two.laeq().value(), 4)),
        sum.laeq().value(),
        1e-3);
    assertEquals(
        Decibels.mean(repeat(one.lzeq().value(), 6, two.lzeq().value(), 4)),
        sum.lzeq().value(),
        1e-3);
  }

  private static double[] repeat(double first, int times, double second, int timesSecond) {
    double[] all = new double[times + timesSecond];
    Arrays.fill(all, 0, times, first);
    Arrays.fill(all, times, all.length, second);
    return all;
  }

  @Test
  void percentilesOfAStaircase() {
    // 4 s at −20, 12 s at −30, 4 s at −40 dB: exceeded for 10 % is the top, for 90 % the bottom.
    double[] x = new double[20 * RATE_HZ];
    Metering.addBurst(x, 1000, Decibels.toAmplitudeRatio(-20), 0, 4, RATE_HZ);
    Metering.addBurst(x, 1000, Decibels.toAmplitudeRatio(-30), 4, 12, RATE_HZ);
    Metering.addBurst(x, 1000, Decibels.toAmplitudeRatio(-40), 16, 4, RATE_HZ);
    LevelResult levels = Metering.levels(x, RATE_HZ);
    assertEquals(-20.0, levels.la10().value(), 0.01);
    assertEquals(-30.0, levels.la50().value(), 0.01);
    assertEquals(-40.0, levels.la90().value(), 0.01);
    assertEquals(-40.0, levels.lafMin().value(), 0.01);
    assertEquals(-20.0, levels.history().laeq1s()[1], 1e-3);
    assertEquals(-30.0, levels.history().laeq1s()[8], 1e-3);
    assertEquals(-40.0, levels.history().laeq1s()[18], 1e-3);
  }

  @Test
  void offsetOfTheConverterIsNoSound() {
    double[] quiet = Metering.noise(4, 1e-5, 8.0, RATE_HZ);
    double[] shifted = Arrays.stream(quiet).map(v -> v + 0.25).toArray();
    LevelResult without = Metering.levels(quiet, RATE_HZ);
    LevelResult with = Metering.levels(shifted, RATE_HZ);
    for (Function<LevelResult, Reading> reading : READINGS) {
      assertEquals(reading.apply(without).value(), reading.apply(with).value(), 1e-6);
    }
  }

  /** Negative control: a filter from rest hears the offset as a step. */
  @Test
  void filterFromRestWouldHearTheOffset() {
    double[] x = new double[RATE_HZ / 10];
    Arrays.fill(x, 0.25);
    double[] c = new double[x.length];
    double[] a = new double[x.length];
    new WeightingFilter(RATE_HZ).process(x, 0, x.length, c, a);
    double peak = Arrays.stream(c).map(Math::abs).max().orElseThrow();
    // The step comes through C almost whole: −12 dB and no more than its high end less.
    assertEquals(-12.0, Decibels.ofAmplitudeRatio(peak), 1.5);
  }

  @Test
  void cutFromTheMiddleOfASoundReadsAsItsWhole() {
    double[] whole = Metering.noise(5, 0.01, 20.0, RATE_HZ);
    double[] rumble = Metering.sine(7.3, 0.9, 20.0, RATE_HZ);
    for (int i = 0; i < whole.length; i++) {
      whole[i] += rumble[i];
    }
    LevelResult all = Metering.levels(whole, RATE_HZ);
    for (int start = 1000; start < 4 * RATE_HZ; start += 10_007) {
      LevelResult cut =
          Metering.levels(Arrays.copyOfRange(whole, start, start + 12 * RATE_HZ), RATE_HZ);
      // Statistics of noise over 12 s of 20: σ = 4.34/√(B·T) dB, 0.02 dB at B = 10 kHz, 3 σ.
      assertEquals(all.laeq().value(), cut.laeq().value(), 0.06);
      // F has B·2τ = 2500 degrees of freedom: σ 0.09 dB; its extremes over 10 s stay within 5 σ.
      assertEquals(all.laeq().value(), cut.lafMax().value(), 0.45);
      assertEquals(all.laeq().value(), cut.lafMin().value(), 0.45);
      assertEquals(all.laeq().value(), cut.lasMax().value(), 0.2);
      assertEquals(all.laeq().value(), cut.lasMin().value(), 0.2);
      assertEquals(all.la90().value(), cut.la90().value(), 0.1);
    }
  }

  @Test
  void historyStartsWhereTheAveragesHaveSettled() {
    LevelHistory history =
        Metering.levels(Metering.sine(1000, 1.0, 3.25, RATE_HZ), RATE_HZ).history();
    assertEquals(3, history.laeq1s().length);
    assertEquals(3, history.lafMax1s().length);
    assertEquals(32, history.laf().length);
    assertEquals(0.1, history.intervalS(), 0.0);
    // 0.1 s + 5 · 0.125 s = 0.725 s.
    for (int i = 0; i < history.laf().length; i++) {
      assertEquals(i < 7, Double.isNaN(history.laf()[i]), "element " + i);
    }
    assertEquals(0.0, history.laf()[31], 0.01);
  }

  @Test
  void stretchesTooShortHaveNoAverages() {
    LevelResult half = Metering.levels(Metering.sine(1000, 1.0, 0.5, RATE_HZ), RATE_HZ);
    assertEquals(0.0, half.laeq().value(), 0.01);
    for (Reading reading :
        List.of(half.lafMax(), half.lafMin(), half.la10(), half.la50(), half.la90())) {
      assertFalse(reading.known());
      assertTrue(reading.reason().contains("0.725 s"), reading.reason());
    }
    LevelResult four = Metering.levels(Metering.sine(1000, 1.0, 4.0, RATE_HZ), RATE_HZ);
    assertTrue(four.lafMax().known());
    assertFalse(four.lasMax().known());
    assertTrue(four.lasMin().reason().contains("5.100 s"), four.lasMin().reason());
    LevelResult click = Metering.levels(new double[] {0.5}, RATE_HZ);
    assertFalse(click.lcPeak().known());
  }

  @Test
  void silenceHasNoLevel() {
    for (double constant : new double[] {0.0, 0.3}) {
      double[] x = new double[6 * RATE_HZ];
      Arrays.fill(x, constant);
      LevelResult levels = Metering.levels(x, RATE_HZ);
      for (Function<LevelResult, Reading> reading : READINGS) {
        assertFalse(reading.apply(levels).known());
        assertTrue(reading.apply(levels).reason().contains("digital silence"));
      }
      for (double level : levels.history().laf()) {
        assertTrue(Double.isNaN(level));
      }
    }
  }

  @Test
  void soundThatFallsToSilenceHasNoMinimum() {
    double[] x = Arrays.copyOf(Metering.noise(6, 0.1, 2.0, RATE_HZ), 60 * RATE_HZ);
    LevelResult levels = Metering.levels(x, RATE_HZ);
    assertTrue(levels.laeq().known());
    assertTrue(levels.lafMax().known());
    assertFalse(levels.lafMin().known());
    assertFalse(levels.la90().known());
    assertTrue(levels.la90().reason().contains("fell to digital silence"));
  }

  @Test
  void nothingHasNoLevel() {
    LevelResult none = new LevelMeter(RATE_HZ, LevelUnit.FULL_SCALE).result();
    assertFalse(none.laeq().known());
    assertEquals(0, none.history().laf().length);
  }

  @Test
  void lostSamplesAreLeftOutOfEveryLevel() {
    double[] x = Metering.noise(7, 0.1, 20.0, RATE_HZ);
    LevelResult whole = Metering.levels(x, RATE_HZ);
    List<Span> gaps = List.of(new Span(8 * RATE_HZ, 2 * RATE_HZ + 123));
    for (int i = 8 * RATE_HZ; i < 10 * RATE_HZ + 123; i++) {
      x[i] = 0.0;
    }
    LevelMeter meter = withGaps(x, gaps, 4096);
    LevelResult levels = meter.result();
    assertEquals(whole.laeq().value(), levels.laeq().value(), 0.05);
    assertEquals(whole.lzeq().value(), levels.lzeq().value(), 0.05);
    assertEquals(whole.lafMin().value(), levels.lafMin().value(), 0.3);
    assertEquals(whole.lasMin().value(), levels.lasMin().value(), 0.1);
    assertEquals(whole.la90().value(), levels.la90().value(), 0.1);
    LevelHistory history = levels.history();
    assertEquals(20, history.laeq1s().length);
    assertTrue(Double.isNaN(history.laeq1s()[8]) && Double.isNaN(history.laeq1s()[9]));
    assertEquals(whole.laeq().value(), history.laeq1s()[10], 0.2);
    // Settled again 0.725 s after 10.0026 s.
    assertTrue(Double.isNaN(history.laf()[106]));
    assertFalse(Double.isNaN(history.laf()[107]));
    assertEquals(1, meter.warnings().size());
    assertEquals("lost-samples", meter.warnings().get(0).code());
    assertTrue(
        meter.warnings().get(0).message().contains("96123 samples (2.003 s) in 1 place:"),
        meter.warnings().get(0).message());
    // Negative control: taken for silence, the gap would cost 10 lg(18/20) and any minimum.
    LevelResult taken = Metering.levels(x, RATE_HZ);
    assertEquals(
        Decibels.ofEnergyRatio(17.9974 / 20), taken.laeq().value() - whole.laeq().value(), 0.05);
    assertTrue(taken.lafMin().value() < whole.lafMin().value() - 50.0);
  }

  @Test
  void askingTwiceOrOnTheWayChangesNothing() {
    double[] x = Metering.noise(8, 0.1, 7.0, RATE_HZ);
    LevelMeter meter = new LevelMeter(RATE_HZ, LevelUnit.FULL_SCALE);
    int half = 3 * RATE_HZ + 77;
    meter.accept(SampleBlock.of(Arrays.copyOf(x, half), half, RATE_HZ, 0));
    assertTrue(meter.result().laeq().known());
    meter.accept(
        SampleBlock.of(Arrays.copyOfRange(x, half, x.length), x.length - half, RATE_HZ, half));
    LevelResult expected = Metering.levels(x, RATE_HZ);
    for (Function<LevelResult, Reading> reading : READINGS) {
      assertEquals(reading.apply(expected), reading.apply(meter.result()));
    }
  }

  /** An hour of a steady tone reads as its seconds do. */
  @Test
  void anHourDoesNotWearTheSumsOut() {
    double[] second = Metering.sine(1000, 0.1, 1.0, RATE_HZ);
    LevelMeter meter = new LevelMeter(RATE_HZ, LevelUnit.FULL_SCALE);
    for (int i = 0; i < 3600; i++) {
      meter.accept(SampleBlock.of(second, second.length, RATE_HZ, (long) i * RATE_HZ));
    }
    LevelResult levels = meter.result();
    assertEquals(-20.0, levels.lzeq().value(), 1e-9);
    assertEquals(levels.history().laeq1s()[1800], levels.laeq().value(), 1e-6);
    assertEquals(-20.0 + Decibels.ofEnergyRatio(3600), levels.lae().value(), 1e-3);
  }

  @Test
  void refusesBlocksThatDoNotFollow() {
    LevelMeter meter = new LevelMeter(RATE_HZ, LevelUnit.FULL_SCALE);
    assertThrows(
        IllegalArgumentException.class,
        () -> meter.accept(SampleBlock.of(new double[8], 8, 44_100, 0)));
    assertThrows(
        IllegalArgumentException.class,
        () -> meter.accept(SampleBlock.of(new double[8], 8, RATE_HZ, 1)));
    assertThrows(IllegalArgumentException.class, () -> new LevelMeter(8000, LevelUnit.FULL_SCALE));
  }

  private static LevelMeter withGaps(double[] samples, List<Span> gaps, int blockLength) {
    LevelMeter meter = new LevelMeter(RATE_HZ, LevelUnit.FULL_SCALE);
    for (int at = 0; at < samples.length; at += blockLength) {
      int from = at;
      int end = Math.min(samples.length, at + blockLength);
      List<Span> here =
          gaps.stream()
              .filter(gap -> gap.position() < end && gap.end() > from)
              .map(
                  gap -> {
                    long start = Math.max(gap.position(), from);
                    return new Span(start, Math.min(gap.end(), end) - start);
                  })
              .toList();
      meter.accept(
          new SampleBlock(
              Arrays.copyOfRange(samples, at, end), end - at, RATE_HZ, at, List.of(), here));
    }
    return meter;
  }
}
