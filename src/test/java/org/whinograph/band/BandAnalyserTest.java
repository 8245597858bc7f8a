package org.whinograph.band;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;
import org.whinograph.signal.Warning;

/** Averaging, bookkeeping and what is said when a level can't be known. */
class BandAnalyserTest {
  private static final double RATE = 48_000;

  private static double[] noise(long seed, int length) {
    return new Random(seed).doubles(length, -0.5, 0.5).toArray();
  }

  private static double[] tone(double frequencyHz, int length) {
    double[] samples = new double[length];
    for (int i = 0; i < length; i++) {
      samples[i] = Math.sin(2.0 * Math.PI * frequencyHz / RATE * i);
    }
    return samples;
  }

  private static BandAnalyser analyse(double[] samples, int block, List<Span> gaps) {
    BandAnalyser analyser = new BandAnalyser(RATE, LevelUnit.FULL_SCALE);
    for (int position = 0; position < samples.length; position += block) {
      int length = Math.min(block, samples.length - position);
      double[] part = Arrays.copyOfRange(samples, position, position + length);
      List<Span> inside = new ArrayList<>();
      for (Span gap : gaps) {
        long start = Math.max(gap.position(), position);
        long end = Math.min(gap.end(), position + length);
        if (end > start) {
          inside.add(new Span(start, end - start));
        }
      }
      analyser.accept(new SampleBlock(part, length, RATE, position, List.of(), inside));
    }
    return analyser;
  }

  private static double third(BandResult result, double nominalHz) {
    return result.thirdOctaves().stream()
        .filter(band -> band.nominalHz() == nominalHz)
        .findFirst()
        .orElseThrow()
        .level()
        .value();
  }

  private static int indexOf(double nominalHz) {
    for (int i = 0; i < 31; i++) {
      if (Band.thirdOctaves().get(i).nominalHz() == nominalHz) {
        return i;
      }
    }
    throw new IllegalArgumentException("nominalHz: " + nominalHz);
  }

  @Test
  void blocksNeverChangeABit() {
    double[] samples = noise(1, 200_003);
    List<Span> gaps = List.of(new Span(70_001, 1_234), new Span(72_000, 5));
    for (Span gap : gaps) {
      Arrays.fill(samples, (int) gap.position(), (int) gap.end(), 0.0);
    }
    BandResult whole = analyse(samples, samples.length, gaps).result();
    for (int block : new int[] {1, 7, 480, 4096, 65_536}) {
      BandResult cut = analyse(samples, block, gaps).result();
      assertEquals(whole.thirdOctaves(), cut.thirdOctaves(), "blocks of " + block);
      assertEquals(whole.octaves(), cut.octaves(), "blocks of " + block);
      assertArrayEquals(whole.thirdOctaves1s(), cut.thirdOctaves1s(), "blocks of " + block);
    }
  }

  @Test
  void readingTheResultInBetweenChangesNothing() {
    double[] samples = noise(2, 150_000);
    BandAnalyser once = analyse(samples, samples.length, List.of());
    BandAnalyser often = new BandAnalyser(RATE, LevelUnit.FULL_SCALE);
    for (int position = 0; position < samples.length; position += 1_875) {
      often.accept(
          SampleBlock.of(
              Arrays.copyOfRange(samples, position, position + 1_875), 1_875, RATE, position));
      assertEquals(31, often.result().thirdOctaves().size());
    }
    assertEquals(once.result().thirdOctaves(), often.result().thirdOctaves());
    assertArrayEquals(once.result().thirdOctaves1s(), often.result().thirdOctaves1s());
  }

  @Test
  void scalingMovesEveryLevelAlike() {
    double[] samples = noise(3, 200_000);
    double gain = 3.7e-4;
    BandResult plain = analyse(samples, 4096, List.of()).result();
    BandResult scaled =
        analyse(Arrays.stream(samples).map(v -> v * gain).toArray(), 4096, List.of()).result();
    for (int i = 0; i < 31; i++) {
      assertEquals(
          Decibels.ofAmplitudeRatio(gain),
          scaled.thirdOctaves().get(i).level().value()
              - plain.thirdOctaves().get(i).level().value(),
          1e-9);
    }
  }

  /** Energy is averaged: a loud and a quiet half give the energy mean of the two. */
  @Test
  void concatenationAddsEnergy() {
    int half = 20 * (int) RATE;
    double[] loud = noise(4, half);
    double[] quiet = Arrays.stream(noise(5, half)).map(v -> 0.05 * v).toArray();
    double[] both = Arrays.copyOf(loud, 2 * half);
    System.arraycopy(quiet, 0, both, half, half);
    BandResult a = analyse(loud, 4096, List.of()).result();
    BandResult b = analyse(quiet, 4096, List.of()).result();
    BandResult ab = analyse(both, 4096, List.of()).result();
    for (int i = 0; i < 31; i++) {
      Band band = Band.thirdOctaves().get(i);
      double first = half - 4.0 / band.widthHz() * RATE;
      double expected =
          Decibels.ofEnergyRatio(
              (first * Decibels.toEnergyRatio(a.thirdOctaves().get(i).level().value())
                      + half * Decibels.toEnergyRatio(b.thirdOctaves().get(i).level().value()))
                  / (first + half));
      // What a filter still holds of the loud half comes on top: at 20 Hz up to 0.1 dB.
      assertEquals(expected, ab.thirdOctaves().get(i).level().value(), 0.01 + 0.5 / band.widthHz());
    }
  }

  /**
   * A burst over seconds 3 to 6 lies in those seconds in every band, whatever the delays of filters
   * and halvings: at its start and end no more than the filter's ringing spills over.
   */
  @Test
  void secondsStandInTimeInEveryBand() {
    int length = 10 * (int) RATE;
    for (double nominal : new double[] {63, 125, 250, 1000, 4000, 10_000, 16_000}) {
      int index = indexOf(nominal);
      double[] samples = tone(Band.thirdOctaves().get(index).midbandHz(), length);
      Arrays.fill(samples, 0, 3 * (int) RATE, 0.0);
      Arrays.fill(samples, 7 * (int) RATE, length, 0.0);
      float[][] seconds = analyse(samples, 4096, List.of()).result().thirdOctaves1s();
      assertEquals(10, seconds.length);
      double width = Band.thirdOctaves().get(index).widthHz();
      // A second rarely holds a whole number of periods.
      double whole = 0.005 + 2.2 / nominal;
      double spill = Decibels.ofEnergyRatio(0.2 / width);
      double energy = 0.0;
      for (int s = 2; s < 9; s++) {
        double level = seconds[s][index];
        energy += Double.isNaN(level) ? 0.0 : Decibels.toEnergyRatio(level);
      }
      assertEquals(0.0, Decibels.ofEnergyRatio(energy / 4.0), 0.03, nominal + " Hz");
      assertEquals(0.0, seconds[4][index], whole, nominal + " Hz");
      assertEquals(0.0, seconds[5][index], whole, nominal + " Hz");
      assertEquals(0.0, seconds[3][index], 4.34 * 0.5 / width, nominal + " Hz");
      assertEquals(0.0, seconds[6][index], 4.34 * 0.5 / width, nominal + " Hz");
      assertTrue(!(seconds[2][index] > spill), nominal + " Hz: " + seconds[2][index]);
      assertTrue(!(seconds[7][index] > spill), nominal + " Hz: " + seconds[7][index]);
    }
  }

  @Test
  void gapsAreLeftOut() {
    double[] samples = tone(1000.0, 8 * (int) RATE);
    Span gap = new Span(100_000, 96_000);
    Arrays.fill(samples, 100_000, 196_000, 0.0);
    BandAnalyser marked = analyse(samples, 4096, List.of(gap));
    assertEquals(0.0, third(marked.result(), 1000), 2e-3);
    assertEquals(List.of("band-gaps"), codes(marked));
    float[][] seconds = marked.result().thirdOctaves1s();
    assertTrue(Float.isNaN(seconds[3][indexOf(1000)]));
    assertEquals(0.0, seconds[5][indexOf(1000)], 5e-3);
    // Without the mark the same samples lose a quarter of their energy: −1.25 dB.
    BandAnalyser unmarked = analyse(samples, 4096, List.of());
    assertEquals(Decibels.ofEnergyRatio(6.0 / 8.0), third(unmarked.result(), 1000), 0.01);
  }

  @Test
  void silenceIsUnknown() {
    BandAnalyser analyser = analyse(new double[4 * (int) RATE], 4096, List.of());
    for (BandLevel band : analyser.result().thirdOctaves()) {
      assertFalse(band.level().known());
      assertTrue(band.level().reason().contains("silence"));
    }
    assertEquals(List.of("band-silent"), codes(analyser));
    assertTrue(Float.isNaN(analyser.result().thirdOctaves1s()[2][20]));
  }

  /** Long after a sound, filters rest at their guard value and the seconds read as silent. */
  @Test
  void silenceAfterSoundIsSilent() {
    double[] samples = Arrays.copyOf(noise(6, 2 * (int) RATE), 40 * (int) RATE);
    float[][] seconds = analyse(samples, 4096, List.of()).result().thirdOctaves1s();
    for (int band = 0; band < 31; band++) {
      assertFalse(Float.isNaN(seconds[1][band]) && band > 3);
      assertTrue(Float.isNaN(seconds[38][band]));
    }
  }

  /** Every level needs settling of 4/B and an average of at least 4/B. */
  @Test
  void shortRecordingsGiveWhatTheyCan() {
    BandAnalyser tenth = analyse(noise(7, (int) RATE / 10), 4096, List.of());
    BandResult result = tenth.result();
    for (int i = 0; i < 31; i++) {
      Band band = Band.thirdOctaves().get(i);
      boolean enough = 0.1 > 8.0 / band.widthHz() + 0.004;
      boolean tooShort = 0.1 < 8.0 / band.widthHz();
      assertEquals(enough, result.thirdOctaves().get(i).level().known() && !tooShort, band.label());
      if (tooShort) {
        assertTrue(result.thirdOctaves().get(i).level().reason().contains("too short"));
      }
    }
    assertEquals(List.of("band-too-short"), codes(tenth));
    assertEquals(0, result.thirdOctaves1s().length);
    BandAnalyser nothing = new BandAnalyser(RATE, LevelUnit.FULL_SCALE);
    assertFalse(nothing.result().octaves().get(3).level().known());
  }

  /** The start of a recording in the middle of a sound doesn't bias low bands. */
  @Test
  void startingAbruptlyLeavesFarBandsAlone() {
    double[] samples = tone(1000.0, 5 * (int) RATE);
    for (int i = 0; i < samples.length; i++) {
      samples[i] = Math.cos(2.0 * Math.PI * 1000.0 / RATE * i);
    }
    BandResult result = analyse(samples, 4096, List.of()).result();
    assertEquals(0.0, third(result, 1000), 1e-3);
    for (double nominal : new double[] {20, 40, 80, 125}) {
      assertTrue(!(third(result, nominal) > -80.0), nominal + ": " + third(result, nominal));
    }
  }

  @Test
  void wrongUseIsRefused() {
    assertThrows(
        IllegalArgumentException.class, () -> new BandAnalyser(4_000, LevelUnit.FULL_SCALE));
    assertThrows(
        IllegalArgumentException.class, () -> new BandAnalyser(Double.NaN, LevelUnit.FULL_SCALE));
    BandAnalyser analyser = new BandAnalyser(RATE, LevelUnit.FULL_SCALE);
    assertThrows(
        IllegalArgumentException.class,
        () -> analyser.accept(SampleBlock.of(new double[4], 4, 44_100, 0)));
    assertThrows(
        IllegalArgumentException.class,
        () -> analyser.accept(SampleBlock.of(new double[4], 4, RATE, 17)));
  }

  private static List<String> codes(BandAnalyser analyser) {
    return analyser.warnings().stream().map(Warning::code).toList();
  }
}
