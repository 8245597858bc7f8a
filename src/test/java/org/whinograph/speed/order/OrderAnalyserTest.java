package org.whinograph.speed.order;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.quantity.Reading;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.Span;
import org.whinograph.speed.SpeedAnalyser;
import org.whinograph.speed.SpeedHints;
import org.whinograph.speed.SpeedTrack;
import org.whinograph.tone.ToneAnalyser;
import org.whinograph.tone.ToneBand;

/** What the two passes do with blocks, gaps, unknown speeds and long recordings. */
class OrderAnalyserTest {
  private static final double RATE = 48_000.0;

  /** Speed rises evenly from 100 to 110 turns a second in ten seconds. */
  private static double turns(double t) {
    return 100.0 * t + 0.5 * t * t;
  }

  private static double[] ramp() {
    double[] samples = new double[(int) (10 * RATE)];
    Random random = new Random(4);
    for (int i = 0; i < samples.length; i++) {
      double turn = turns(i / RATE);
      samples[i] = 0.1 * random.nextGaussian() + Math.sqrt(2.0) * Math.sin(14.0 * Math.PI * turn);
    }
    return samples;
  }

  private static SpeedTrack track(int unknownFrom, int unknownTo) {
    double[] time = new double[80];
    double[] rpm = new double[80];
    for (int i = 0; i < 80; i++) {
      time[i] = 0.125 * (i + 0.5);
      rpm[i] = i >= unknownFrom && i < unknownTo ? Double.NaN : 60.0 * (100.0 + time[i]);
    }
    return new SpeedTrack(time, rpm, rpm, rpm);
  }

  private static FollowingSpectrum following(double[] samples, SpeedTrack track, int block) {
    FollowingSpectrum following = new FollowingSpectrum(RATE, LevelUnit.FULL_SCALE, track);
    for (int p = 0; p < samples.length; p += block) {
      int n = Math.min(block, samples.length - p);
      following.accept(SampleBlock.of(Arrays.copyOfRange(samples, p, p + n), n, RATE, p));
    }
    return following;
  }

  private static List<SpeedBin> followed(double[] samples, SpeedTrack track, int block) {
    return following(samples, track, block).bins(1);
  }

  @Test
  void levelsByFineStepsAreThoseOfTheToneAndOfTheNoiseWhateverTheBlocks() {
    double[] samples = ramp();
    List<SpeedLevels> one = following(samples, track(0, 0), samples.length).levels();
    List<SpeedLevels> other = following(samples, track(0, 0), 997).levels();
    assertEquals(one.size(), other.size());
    assertTrue(one.size() >= 8, "10 % of speed are 20 steps");
    double noise = 0.0;
    for (int i = 0; i < one.size(); i++) {
      assertArrayEquals(one.get(i).tone(), other.get(i).tone());
      // The tone's mean square is 1; nothing turns at order 8.
      assertEquals(1.0, one.get(i).signal(7), 0.02);
      assertEquals(0.0, one.get(i).signal(8), 1e-4);
      noise += one.get(i).noise()[8] / one.size();
      // In 0.82 s the speed rises by 0.8 %, of which a squared Hann window hears a standard
      // deviation of 0.141; several frames of one step lie 0.5 % apart at most.
      assertTrue(one.get(i).spread() > 0.0009 && one.get(i).spread() < 0.003);
    }
    // White noise of a variance of 0.01 from 0 to 24 kHz, in a line of about 1.2 Hz.
    assertEquals(0.01 * 1.2 / 24_000.0, noise, 0.2 * 0.01 * 1.2 / 24_000.0);
  }

  @Test
  void blocksDoNotChangeTheFollowingSpectrum() {
    double[] samples = ramp();
    List<SpeedBin> one = followed(samples, track(0, 0), samples.length);
    for (int block : new int[] {1, 997, 65_536}) {
      List<SpeedBin> other = followed(samples, track(0, 0), block);
      assertEquals(one.size(), other.size());
      for (int i = 0; i < one.size(); i++) {
        assertArrayEquals(one.get(i).spectrum().meanSquare(), other.get(i).spectrum().meanSquare());
        assertEquals(one.get(i).shaftHz(), other.get(i).shaftHz());
      }
    }
  }

  @Test
  void anOrderStandsOnItsLineWithItsLevelWhileTheSpeedRises() {
    List<SpeedBin> bins = followed(ramp(), track(0, 0), 4096);
    assertTrue(bins.size() >= 2);
    for (SpeedBin bin : bins) {
      ToneBand order = bin.bands().get(FollowingTone.nearest(bin.bands(), 7.0 * bin.shaftHz()));
      assertEquals(7.0, order.frequencyHz() / bin.shaftHz(), 0.003);
      // The tone's mean square is 1.
      assertEquals(1.0, order.meanSquare(), 0.01);
    }
  }

  /** Of a speed that is heard for long only some frames are read: they tell the mean of it all. */
  @Test
  void aLevelThatChangesWhileTheSpeedStaysIsAveragedOverAllOfIt() {
    double rate = 16_000.0;
    double[] samples = new double[(int) (240 * rate)];
    Random random = new Random(5);
    for (int i = 0; i < samples.length; i++) {
      double amplitude = Math.sqrt(i < samples.length / 2 ? 2.0 : 6.0);
      samples[i] =
          0.1 * random.nextGaussian() + amplitude * Math.sin(2.0 * Math.PI * 700.0 * i / rate);
    }
    double[] time = {0.0, 240.0};
    double[] rpm = {6000.0, 6000.0};
    SpeedTrack track = new SpeedTrack(time, rpm, rpm, rpm);
    double[][] spectra = new double[2][];
    int[] blocks = {samples.length, 997};
    for (int b = 0; b < 2; b++) {
      FollowingSpectrum following = new FollowingSpectrum(rate, LevelUnit.FULL_SCALE, track);
      for (int p = 0; p < samples.length; p += blocks[b]) {
        int n = Math.min(blocks[b], samples.length - p);
        following.accept(SampleBlock.of(Arrays.copyOfRange(samples, p, p + n), n, rate, p));
      }
      SpeedBin bin = following.bins(1).get(0);
      assertTrue(frames(bin) < 200, "of 585 half overlapping ones: " + frames(bin));
      spectra[b] = bin.spectrum().meanSquare();
      ToneBand order = bin.bands().get(FollowingTone.nearest(bin.bands(), 700.0));
      // 1 for half of the time, 3 for the other.
      assertEquals(2.0, order.meanSquare(), 0.06);
    }
    assertArrayEquals(spectra[0], spectra[1]);
  }

  @Test
  void unknownSpeedsAndLostSamplesAreLeftOut() {
    double[] samples = ramp();
    long whole =
        followed(samples, track(0, 0), 4096).stream().mapToLong(OrderAnalyserTest::frames).sum();
    long part =
        followed(samples, track(30, 50), 4096).stream().mapToLong(OrderAnalyserTest::frames).sum();
    assertTrue(part < whole && part > 0);
    // A burst within a gap must not be heard.
    double[] broken = samples.clone();
    Arrays.fill(broken, 200_000, 210_000, 50.0);
    FollowingSpectrum following = new FollowingSpectrum(RATE, LevelUnit.FULL_SCALE, track(0, 0));
    following.accept(
        new SampleBlock(
            broken, broken.length, RATE, 0, List.of(), List.of(new Span(200_000, 10_000))));
    for (SpeedBin bin : following.bins(1)) {
      int nearest = FollowingTone.nearest(bin.bands(), 7.0 * bin.shaftHz());
      assertEquals(1.0, bin.bands().get(nearest).meanSquare(), 0.01);
    }
  }

  private static long frames(SpeedBin bin) {
    return bin.spectrum().frames();
  }

  @Test
  void tenHoursOfFramesFitIntoTheSameMemory() {
    LineTracks tracks = new LineTracks(RATE, 1024, 512);
    double[] lines = new double[1024];
    Random random = new Random(8);
    for (int i = 0; i < lines.length; i++) {
      lines[i] = random.nextGaussian();
    }
    lines[200] = 40.0;
    for (long i = 0; i < 60_000; i++) {
      tracks.frame(i, lines);
    }
    assertTrue(
        tracks.frames() <= LineTracks.MOST_FRAMES && tracks.frames() > LineTracks.MOST_FRAMES / 2);
    for (int i = 0; i < tracks.frames(); i++) {
      int peak = tracks.strongest(i, 0.0, RATE / 2.0);
      assertEquals(100.0 * RATE / 1024, tracks.frequencyHz(peak), RATE / 1024);
    }
    // One frame in 32 is kept.
    assertEquals(60_000 * 512 / RATE, tracks.middleS(tracks.frames() - 1), 32 * 512 / RATE);
  }

  @Test
  void silenceHasNoSecondPassAndNoOrigins() {
    ToneAnalyser tones = new ToneAnalyser(RATE, LevelUnit.FULL_SCALE);
    OrderAnalyser orders = new OrderAnalyser(RATE, LevelUnit.FULL_SCALE, tones);
    SpeedAnalyser speed = new SpeedAnalyser(RATE, SpeedHints.none());
    SampleBlock silence = SampleBlock.of(new double[480_000], 480_000, RATE, 0);
    tones.accept(silence);
    speed.accept(silence);
    assertNull(orders.secondPass(speed.result()));
    OrderResult result = orders.result(tones.result(), tones.spectrum(), speed.result());
    assertEquals(List.of(), result.origins());
    assertNull(result.sweep());
    assertNull(result.twoFans());
  }

  @Test
  void ordersOfMotorsAreLeastCommonMultiples() {
    // 24 as in the published example of a fan's tones; 23 and 25 have no such factors.
    assertTrue(MotorOrders.pairs(24).contains("6 slots and 8 poles"));
    assertEquals(List.of(), MotorOrders.pairs(23));
    assertEquals(List.of(), MotorOrders.pairs(25));
  }

  @Test
  void beatsAreJudgedByTheLiterature() {
    // JASA, doi 10.1121/1.5121700: louder at 2 Hz and below, equal at 5 Hz, less at 12 Hz.
    assertTrue(Beat.verdictAt(1.6).contains("louder than a steady tone"));
    assertTrue(Beat.verdictAt(5.0).contains("equally loud"));
    assertTrue(Beat.verdictAt(12.0).contains("less loud"));
    assertNotEquals(Beat.verdictAt(12.0), Beat.verdictAt(30.0));
  }

  /** Without the order the spacing of the lines is known, and no speed of the shaft. */
  @Test
  void theSpacingOfACombIsNoSpeed() {
    Reading some = Reading.of(1.0);
    FollowingTone tone = new FollowingTone(some, some, 140.0, 980.0, some, true);
    assertEquals(8400.0, tone.rpm(7.0));
    assertNull(tone.rpm(null));
    assertNull(FollowingTone.unknown("no speed").rpm(7.0));
  }

  @Test
  void wrongArgumentsAreNamed() {
    assertThrows(
        IllegalArgumentException.class,
        () -> new FollowingSpectrum(100, LevelUnit.FULL_SCALE, track(0, 0)));
    assertThrows(
        IllegalArgumentException.class,
        () -> new FollowingSpectrum(RATE, LevelUnit.FULL_SCALE, track(0, 80)));
    assertThrows(IllegalArgumentException.class, () -> new LineTracks(RATE, 1000, 500));
    assertThrows(IllegalArgumentException.class, () -> new ToneOrigin(7.0, Cause.SHAFT, List.of()));
  }
}
