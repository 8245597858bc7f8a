package org.whinograph.measurement;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.band.BandLevel;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.quantity.Decibels;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.report.AnalysisJson;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSource;

/** The whole chain on samples in memory. */
class MeasurerTest {
  private static final double RATE = 48_000;
  private static final MeasurementPlan PLAIN = MeasurementPlan.whole(null, null);

  /** A fan of 7 blades at 3600 1/min with two of its shaft's orders, in noise. */
  private static double[] fan(double seconds, double gain) {
    SplittableRandom random = new SplittableRandom(3);
    double[] samples = new double[(int) (seconds * RATE)];
    for (int i = 0; i < samples.length; i++) {
      double turns = 60.0 * i / RATE;
      samples[i] =
          gain
              * (0.01 * Math.sin(2 * Math.PI * 7 * turns)
                  + 0.003 * Math.sin(2 * Math.PI * 14 * turns)
                  + 0.002 * Math.sin(2 * Math.PI * turns)
                  + 0.001 * random.nextGaussian());
    }
    return samples;
  }

  @ParameterizedTest
  @ValueSource(ints = {7, 480, 4096, 65_536})
  void theSizeOfBlocksNeverChangesABit(int block) throws Exception {
    double[] samples = fan(6, 1);
    assertEquals(json(samples, 32_768), json(samples, block));
  }

  @Test
  void singleSamplesGiveTheSameBits() throws Exception {
    double[] samples = fan(1.5, 1);
    assertEquals(json(samples, 65_536), json(samples, 1));
  }

  @Test
  void gainMovesEveryLevelByTwentyLogarithmsOfIt() throws Exception {
    double gain = 0.37;
    double moved = Decibels.ofAmplitudeRatio(gain);
    Measurement one = new Measurer(PLAIN).measure(new ArraySource(fan(10, 1), 32_768));
    Measurement other = new Measurer(PLAIN).measure(new ArraySource(fan(10, gain), 32_768));
    assertEquals(one.levels().laeq().value() + moved, other.levels().laeq().value(), 1e-9);
    assertEquals(one.levels().lafMax().value() + moved, other.levels().lafMax().value(), 1e-9);
    assertEquals(one.levels().la90().value() + moved, other.levels().la90().value(), 1e-9);
    List<BandLevel> bands = one.bands().thirdOctaves();
    for (int i = 0; i < bands.size(); i++) {
      double level = other.bands().thirdOctaves().get(i).level().value();
      assertEquals(bands.get(i).level().value() + moved, level, 1e-6);
    }
    assertEquals(one.tones().tones().size(), other.tones().tones().size());
    for (int i = 0; i < one.tones().tones().size(); i++) {
      var tone = one.tones().tones().get(i);
      var same = other.tones().tones().get(i);
      assertEquals(tone.level().value() + moved, same.level().value(), 1e-6);
      assertEquals(tone.toneToNoise().value(), same.toneToNoise().value(), 1e-6);
    }
  }

  @Test
  void calibrationMovesFullScaleToPascals() throws Exception {
    CalibrationRecord record =
        new CalibrationRecord(
            120.0,
            94,
            1000,
            1000,
            0,
            0.001,
            8,
            0.26,
            Instant.EPOCH,
            "M-1",
            "c.wav",
            null,
            RATE,
            24,
            null,
            null);
    Measurement plain = new Measurer(PLAIN).measure(new ArraySource(fan(5, 1), 32_768));
    Measurement calibrated =
        new Measurer(MeasurementPlan.whole(record, "c.json"))
            .measure(new ArraySource(fan(5, 1), 32_768));
    assertEquals(LevelUnit.SOUND_PRESSURE, calibrated.unit());
    assertEquals(plain.levels().laeq().value() + 120.0, calibrated.levels().laeq().value(), 1e-9);
  }

  @Test
  void aSecondRecordingBehindTheFirstAddsItsEnergy() throws Exception {
    double[] loud = fan(5, 1);
    double[] quiet = fan(5, 0.5);
    double[] both = java.util.Arrays.copyOf(loud, loud.length + quiet.length);
    System.arraycopy(quiet, 0, both, loud.length, quiet.length);
    Measurer measurer = new Measurer(PLAIN);
    double expected =
        Decibels.mean(
            measurer.measure(new ArraySource(loud, 4096)).levels().lzeq().value(),
            measurer.measure(new ArraySource(quiet, 4096)).levels().lzeq().value());
    double measured = measurer.measure(new ArraySource(both, 4096)).levels().lzeq().value();
    assertEquals(expected, measured, 1e-3);
  }

  @Test
  void anExcerptBeyondTheEndIsRefused() {
    MeasurementPlan plan =
        new MeasurementPlan(
            null, null, null, org.whinograph.speed.SpeedHints.none(), 10, Double.POSITIVE_INFINITY);
    RefusedException refused =
        assertThrows(
            RefusedException.class,
            () -> new Measurer(plan).measure(new ArraySource(fan(2, 1), 4096)));
    assertTrue(refused.getMessage().contains("--from"), refused.getMessage());
  }

  @Test
  void progressReachesItsEndWithTheSecondPassAndNotBefore() throws Exception {
    List<Double> heard = new ArrayList<>();
    new Measurer(PLAIN)
        .measure(
            new ArraySource(fan(6, 1), 4096),
            (seconds, total) -> {
              assertEquals(12.0, total, 1e-9);
              heard.add(seconds);
            });
    int blocks = (int) Math.ceil(6 * RATE / 4096);
    assertEquals(2 * blocks + 1, heard.size());
    for (int i = 1; i < heard.size(); i++) {
      assertTrue(heard.get(i) >= heard.get(i - 1), heard.toString());
    }
    assertEquals(6.0, heard.get(blocks - 1), 1e-9);
    assertEquals(12.0, heard.get(heard.size() - 1), 1e-9);
  }

  @Test
  void progressCountsOnceWhatIsReadOnce() throws Exception {
    MeasurementPlan once = new MeasurementPlan(null, null, null, null, 0, Double.POSITIVE_INFINITY);
    List<Double> heard = new ArrayList<>();
    new Measurer(once)
        .measure(new ArraySource(fan(3, 1), 4096), (seconds, total) -> heard.add(total - seconds));
    assertEquals(0.0, heard.get(heard.size() - 1), 1e-9);
    // Silence has no speed that a second pass could follow.
    heard.clear();
    new Measurer(PLAIN)
        .measure(new ArraySource(new double[96_000], 4096), (s, total) -> heard.add(total - s));
    assertEquals(2.0, heard.get(heard.size() - 2), 1e-9);
    assertEquals(0.0, heard.get(heard.size() - 1), 1e-9);
  }

  private static String json(double[] samples, int block) throws IOException, RefusedException {
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    AnalysisJson.write(List.of(new Measurer(PLAIN).measure(new ArraySource(samples, block))), out);
    return out.toString(StandardCharsets.UTF_8);
  }

  /** Samples in memory, delivered in blocks of one size. */
  private static final class ArraySource implements SampleSource {
    private final double[] samples;
    private final int block;
    private int position;

    ArraySource(double[] samples, int block) {
      this.samples = samples;
      this.block = block;
    }

    @Override
    public SampleFormat format() {
      return new SampleFormat(RATE, 1, 24, false);
    }

    @Override
    public String name() {
      return "in-memory";
    }

    @Override
    public OptionalLong frames() {
      return OptionalLong.of(samples.length);
    }

    @Override
    public SampleBlock read(int maximumLength) {
      int length = Math.min(Math.min(block, maximumLength), samples.length - position);
      if (length == 0) {
        return null;
      }
      double[] piece = java.util.Arrays.copyOfRange(samples, position, position + length);
      SampleBlock result = SampleBlock.of(piece, length, RATE, position);
      position += length;
      return result;
    }

    @Override
    public SampleSource again() {
      return new ArraySource(samples, block);
    }

    @Override
    public void close() {}
  }
}
