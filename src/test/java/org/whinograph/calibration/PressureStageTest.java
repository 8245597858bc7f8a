package org.whinograph.calibration;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.quantity.LevelUnit;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.SampleSink;
import org.whinograph.signal.Span;

class PressureStageTest {
  private static final double RATE = 48_000;

  static CalibrationRecord calibration(double levelAtFullScaleDb, double frequencyHz) {
    return new CalibrationRecord(
        levelAtFullScaleDb,
        94,
        1000,
        frequencyHz,
        0,
        0,
        10,
        0.2,
        Instant.EPOCH,
        null,
        null,
        null,
        RATE,
        24,
        null,
        null);
  }

  /** Collects what comes out, in order. */
  static final class Collector implements SampleSink {
    final List<Double> samples = new ArrayList<>();
    final List<Span> overloads = new ArrayList<>();
    final List<Span> gaps = new ArrayList<>();

    @Override
    public void accept(SampleBlock block) {
      assertEquals(samples.size(), block.position());
      for (int i = 0; i < block.length(); i++) {
        samples.add(block.samples()[i]);
      }
      overloads.addAll(block.overloads());
      gaps.addAll(block.gaps());
    }

    double[] array() {
      return samples.stream().mapToDouble(x -> x).toArray();
    }
  }

  static Collector run(
      double[] samples,
      double rate,
      CalibrationRecord calibration,
      MicrophoneResponse response,
      int blockLength,
      List<Span> overloads,
      List<Span> gaps)
      throws RefusedException {
    Collector collector = new Collector();
    PressureStage stage = new PressureStage(rate, calibration, response, collector);
    ArraySource source =
        new ArraySource(
            samples, new SampleFormat(rate, 1, 24, false), blockLength, overloads, gaps);
    for (SampleBlock block = source.read(1 << 20); block != null; block = source.read(1 << 20)) {
      stage.accept(block);
    }
    stage.finish();
    assertEquals(samples.length, collector.samples.size());
    return collector;
  }

  private static final MicrophoneResponse RESPONSE =
      new MicrophoneResponse(
          "mic.txt",
          new double[] {20, 50, 200, 1000, 4000, 8000, 12_000, 20_000},
          new double[] {-2, -0.5, 0.1, 0.3, 0.5, 1.5, 3, -2},
          null);

  private static double[] noise(int length, long seed) {
    Random random = new Random(seed);
    return random.doubles(length, -1, 1).toArray();
  }

  @Test
  void aSineOfFullScaleIsItsLevelInPascals() throws RefusedException {
    // 94 dB re 20 µPa is 1.0024 Pa rms; its amplitude is √2 times that.
    Collector out =
        run(new double[] {1, -0.5}, RATE, calibration(94, 1000), null, 2, List.of(), List.of());
    double amplitude = Math.sqrt(2) * 20e-6 * Math.pow(10, 94 / 20.0);
    assertArrayEquals(new double[] {amplitude, -0.5 * amplitude}, out.array(), 1e-12);
  }

  @Test
  void withoutCalibrationSamplesPassAsTheyAre() throws RefusedException {
    double[] samples = noise(1000, 1);
    assertArrayEquals(samples, run(samples, RATE, null, null, 64, List.of(), List.of()).array(), 0);
    PressureStage stage = new PressureStage(RATE, null, null, block -> {});
    assertEquals(LevelUnit.FULL_SCALE, stage.unit());
    assertEquals(
        LevelUnit.SOUND_PRESSURE,
        new PressureStage(RATE, calibration(100, 1000), null, block -> {}).unit());
  }

  @ParameterizedTest
  @ValueSource(ints = {1, 1000, 65_536, 400_000})
  void blocksDontMatter(int blockLength) throws RefusedException {
    double[] samples = noise(250_000, 2);
    List<Span> spans =
        List.of(new Span(90_000, 20_000), new Span(110_500, 3), new Span(249_000, 1000));
    Collector whole = run(samples, RATE, calibration(110, 1000), RESPONSE, 250_000, spans, spans);
    Collector cut = run(samples, RATE, calibration(110, 1000), RESPONSE, blockLength, spans, spans);
    assertArrayEquals(whole.array(), cut.array(), 0);
    assertEquals(whole.overloads, cut.overloads);
    assertEquals(whole.gaps, cut.gaps);
    assertEquals(21_003, cut.gaps.stream().mapToLong(Span::length).sum());
  }

  @Test
  void shortRecordingsComeOutWhole() throws RefusedException {
    for (int length : new int[] {0, 1, 100, 16_384, 98_304, 114_688, 114_689}) {
      run(noise(length, 3), RATE, null, RESPONSE, 1777, List.of(), List.of());
    }
  }

  @Test
  void aSampleStaysAtItsPosition() throws RefusedException {
    double[] samples = new double[200_000];
    samples[120_000] = 1;
    double[] out = run(samples, RATE, null, RESPONSE, 4096, List.of(), List.of()).array();
    for (int i = 1; i < 16_000; i++) {
      assertEquals(out[120_000 - i], out[120_000 + i], 1e-12, "even about the impulse");
    }
    assertTrue(out[120_000] > 0.5);
  }

  @Test
  void saysWhatItLeavesUncorrected() throws RefusedException {
    MicrophoneResponse narrow =
        new MicrophoneResponse("mic.txt", new double[] {50, 10_000}, new double[] {0, 1}, null);
    PressureStage stage = new PressureStage(RATE, null, narrow, block -> {});
    assertEquals("response-table-limits", stage.warnings().get(0).code());
    assertTrue(stage.warnings().get(0).message().contains("below 50 Hz and above 10000 Hz"));
    assertTrue(new PressureStage(RATE, null, RESPONSE, block -> {}).warnings().isEmpty());
  }

  @Test
  void refusesAResponseThatDoesntReachTheCalibrator() {
    MicrophoneResponse high =
        new MicrophoneResponse("mic.txt", new double[] {2000, 10_000}, new double[] {0, 1}, null);
    String message =
        assertThrows(
                RefusedException.class,
                () -> new PressureStage(RATE, calibration(110, 250), high, block -> {}))
            .getMessage();
    assertTrue(message.contains("not 250 Hz"), message);
  }

  @Test
  void takesNothingAfterItsEnd() throws RefusedException {
    PressureStage stage = new PressureStage(RATE, null, RESPONSE, block -> {});
    stage.finish();
    assertThrows(
        IllegalStateException.class, () -> stage.accept(SampleBlock.of(new double[1], 1, RATE, 0)));
  }
}
