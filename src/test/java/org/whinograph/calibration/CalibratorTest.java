package org.whinograph.calibration;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Clock;
import java.time.Instant;
import java.time.ZoneOffset;
import java.util.List;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.Arguments;
import org.junit.jupiter.params.provider.MethodSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleFormat;
import org.whinograph.signal.Span;

class CalibratorTest {
  private static final double RATE = 48_000;
  private static final Instant NOW = Instant.parse("2026-03-14T09:30:00Z");
  private static final Calibrator CALIBRATOR = new Calibrator(Clock.fixed(NOW, ZoneOffset.UTC));

  private static CalibrationResult calibrate(ToneBench bench) throws RefusedException {
    return CALIBRATOR.calibrate(bench.source(), CalibrationRequest.of(94.0, 1000));
  }

  private static String refusal(ToneBench bench) {
    return refusal(bench.source());
  }

  private static String refusal(ArraySource source) {
    String message =
        assertThrows(
                RefusedException.class,
                () -> CALIBRATOR.calibrate(source, CalibrationRequest.of(94.0, 1000)))
            .getMessage();
    assertTrue(message.startsWith("tone.wav") && !message.contains("\n"), message);
    return message;
  }

  private static ToneBench room(double seconds) {
    return new ToneBench(RATE, seconds).noise(1e-5, 1);
  }

  /** Gain of an automatic gain control: it falls from an excess [dB] at the tone's onset. */
  private static double ride(double t, double from, double excessDb, double tau) {
    return t < from ? 1 : Math.pow(10, excessDb * Math.exp(-(t - from) / tau) / 20);
  }

  @Test
  void levelAtFullScaleIsReferenceMinusMeasured() throws RefusedException {
    // A = 0.1 is 20 lg 0.1 = −20 dB re a full-scale sine.
    CalibrationResult result = calibrate(room(8).tone(1000.3, 0.1));
    assertEquals(114.0, result.calibration().levelAtFullScaleDb(), 0.001);
    assertEquals(1000.3, result.calibration().frequencyHz(), 1e-4);
    assertEquals(8.0, result.calibration().toneS(), 0.011);
    assertEquals(NOW, result.calibration().date());
    double sum =
        result.uncertainty().stream()
            .mapToDouble(c -> Math.pow(c.standardUncertaintyDb(), 2))
            .sum();
    assertEquals(Math.sqrt(sum), result.calibration().standardUncertaintyDb(), 1e-12);
    assertEquals(Math.hypot(0.4 / Math.sqrt(3), 0.12), Math.sqrt(sum), 0.001);
  }

  @Test
  void certificateValueMovesTheLevel() throws RefusedException {
    CalibrationRequest request = CalibrationRequest.of(93.85, 1000);
    CalibrationResult result = CALIBRATOR.calibrate(room(5).tone(1000, 0.1).source(), request);
    assertEquals(113.85, result.calibration().levelAtFullScaleDb(), 0.001);
  }

  @ParameterizedTest
  @ValueSource(ints = {1, 7, 480, 4096, 65_536})
  void blocksDontMatter(int block) throws RefusedException {
    ToneBench bench = room(6).tone(999, 0.2).knock(0.4, 0.3, 5);
    SampleFormat format = new SampleFormat(RATE, 1, 24, false);
    ArraySource source = new ArraySource(bench.samples, format, block, List.of(), List.of());
    assertEquals(calibrate(bench), CALIBRATOR.calibrate(source, CalibrationRequest.of(94.0, 1000)));
  }

  static Stream<Arguments> good() {
    return Stream.of(
        Arguments.of("late and early", room(12).tone(1000, 0.1, 3.217, 9.013)),
        Arguments.of("three seconds exactly", new ToneBench(RATE, 3).tone(1000, 0.1)),
        Arguments.of(
            "three seconds in silence", new ToneBench(RATE, 6).tone(1000, 0.1, 1.234, 4.234)),
        Arguments.of("nothing but tone", new ToneBench(RATE, 5).tone(1000, 0.1)),
        Arguments.of(
            "knocks at both ends",
            room(12)
                .tone(1000, 0.1, 1, 11)
                .knock(0.8, 0.5, 1)
                .knock(1.5, 0.2, 2)
                .knock(2.4, 0.1, 3)
                .knock(9.6, 0.2, 4)
                .knock(10.5, 0.4, 5)
                .knock(11.1, 0.6, 6)),
        Arguments.of(
            "clipping knock while fitting",
            room(10).tone(1000, 0.1, 1, 9).knock(1.2, 3, 1).clip(1)),
        Arguments.of(
            "switched on, comes up in half a second",
            room(10).tone(1000, 0.1, t -> t < 1 ? 0 : 1 - Math.exp(-(t - 1) / 0.2))),
        Arguments.of(
            "slid on over a second and taken off",
            room(14)
                .tone(
                    1000,
                    0.1,
                    t -> Math.min(1, Math.max(0.003, Math.min((t - 1) / 1.0, (12 - t) / 0.8))))
                .noise(0.02, 3, t -> (t > 0.7 && t < 2.1) || (t > 11.1 && t < 12.2) ? 1 : 0)),
        Arguments.of(
            "faint before it is fitted",
            room(20).tone(1000, 0.1, t -> t < 8 ? 0.01 : 1).knock(7.95, 0.5, 1)),
        Arguments.of(
            "talk before", room(12).tone(1000, 0.1, 5, 12).noise(0.02, 4, t -> t < 4.4 ? 1 : 0)),
        Arguments.of("two equal tones", room(20).tone(1000, 0.1, t -> t < 8 || t > 12 ? 1 : 0)),
        Arguments.of("hum", room(8).tone(1000, 0.1).tone(50, 0.001).tone(150, 0.001)),
        Arguments.of("rumble below 10 Hz", room(8).tone(1000, 0.1).tone(6, 0.005)),
        Arguments.of("offset", room(8).tone(1000, 0.1).offset(0.05)),
        Arguments.of("16 bits", room(8).tone(1000, 0.1).quantise(16)));
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("good")
  void takesGoodTones(String name, ToneBench bench) throws RefusedException {
    CalibrationResult result = calibrate(bench);
    assertEquals(114.0, result.calibration().levelAtFullScaleDb(), 0.02, name);
    assertEquals(1000, result.calibration().frequencyHz(), 0.01, name);
    assertTrue(result.tone().trimmedBeforeS() <= 2.01 && result.tone().trimmedAfterS() <= 2.01);
  }

  static Stream<Arguments> unsteady() {
    Stream.Builder<Arguments> cases = Stream.builder();
    for (double excess : new double[] {0.25, 0.5, 2, 6, 20}) {
      for (double tau : new double[] {0.05, 0.5, 3}) {
        if (excess < 0.5 && tau < 0.5) {
          continue;
        }
        cases.add(
            Arguments.of(
                "gain rides down " + excess + " dB in " + tau + " s, then rests",
                room(12).tone(1000, 0.02, t -> t < 1 ? 0 : ride(t, 1, excess, tau))));
      }
    }
    for (double deficit : new double[] {-0.25, -1, -3, -6}) {
      cases.add(
          Arguments.of(
              "gain rides up " + -deficit + " dB",
              room(15).tone(1000, 0.05, t -> t < 1 ? 0 : ride(t, 1, deficit, 0.5))));
    }
    cases.add(
        Arguments.of(
            "fade of 0.3 dB", room(20).tone(1000, 0.1, t -> Math.pow(10, -0.015 * t / 20))));
    cases.add(Arguments.of("step of 0.2 dB", room(20).tone(1000, 0.1, t -> t < 9 ? 1 : 0.9772)));
    cases.add(Arguments.of("step of 3 dB", room(20).tone(1000, 0.1, t -> t < 9 ? 1 : 0.7079)));
    cases.add(
        Arguments.of(
            "step of 3 dB, long part low", room(20).tone(1000, 0.1, t -> t < 4 ? 1 : 0.7079)));
    cases.add(
        Arguments.of(
            "pumps by 0.3 dB twice a second",
            room(12).tone(1000, 0.1, t -> 1 + 0.035 * Math.sin(4 * Math.PI * t))));
    return cases.build();
  }

  @ParameterizedTest(name = "{0}")
  @MethodSource("unsteady")
  void refusesUnsteadyTones(String name, ToneBench bench) {
    assertTrue(refusal(bench).contains("isn't steady"), () -> name + ": " + refusal(bench));
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.001, 0.002, 0.003, 0.005, 0.01, 0.05, 0.2, 0.5, 0.9})
  void refusesDropOuts(double seconds) {
    for (double at : new double[] {1.2, 6.5, 10.7717}) {
      String message = refusal(room(13).tone(1000, 0.1, 0.5, 13).drop(at, seconds));
      assertTrue(message.contains("drops out"), message);
    }
  }

  @ParameterizedTest
  @ValueSource(ints = {4, 16, 31, 64, 441, 1024, 4097})
  void refusesLostSamples(int count) {
    String message = refusal(room(12).tone(1000, 0.1, 0.5, 11).lose(6.02, count));
    assertTrue(
        message.contains("lost") || message.contains("drops out") || message.contains("knock"),
        message);
  }

  @Test
  void refusesFlaggedLossAndOverload() {
    double[] samples = room(8).tone(1000, 0.1).samples;
    SampleFormat format = new SampleFormat(RATE, 1, 24, false);
    List<Span> spans = List.of(new Span(200_000, 480));
    assertTrue(
        refusal(new ArraySource(samples, format, 999, List.of(), spans)).contains("lost at 4.1"));
    assertTrue(
        refusal(new ArraySource(samples, format, 999, spans, List.of()))
            .contains("clipped at 4.1"));
  }

  @ParameterizedTest
  @ValueSource(doubles = {0.5, 0.8, 0.9, 0.95, 0.97})
  void refusesClipping(double limit) {
    String message = refusal(room(8).tone(1000, 1.0).clip(limit).quantise(24));
    assertTrue(message.contains("clipped through most"), message);
    String below = refusal(room(8).tone(1000, 0.3).clip(0.3 * limit).quantise(16));
    assertTrue(below.contains("clipped"), below);
  }

  @Test
  void aFullScaleSineIsntClipped() throws RefusedException {
    CalibrationResult result = calibrate(new ToneBench(RATE, 5).tone(1000, 0.99995).quantise(16));
    assertEquals(94.0, result.calibration().levelAtFullScaleDb(), 0.002);
  }

  @Test
  void refusesShortTones() {
    assertTrue(refusal(room(6).tone(1000, 0.1, 1, 3.9)).contains("2.9 s of steady tone"));
    assertTrue(refusal(new ToneBench(RATE, 2.5).tone(1000, 0.1)).contains("at least 3 s"));
    assertTrue(refusal(new ToneBench(RATE, 0.05).tone(1000, 0.1)).contains("lasts 0.05 s"));
    assertTrue(refusal(new ToneBench(RATE, 0)).contains("no samples"));
  }

  @Test
  void refusesOtherFrequencies() {
    assertTrue(refusal(room(6).tone(250.1, 0.1)).contains("250.1 Hz"));
    assertTrue(refusal(room(6).tone(1021, 0.1)).contains("+2.1 %"));
    // A recording of 44 100 Hz whose header says 48 000.
    assertTrue(refusal(room(6).tone(1088.4, 0.1)).contains("sample rate"));
  }

  @Test
  void takesFrequenciesWithinTwoPercent() throws RefusedException {
    assertEquals(1019, calibrate(room(6).tone(1019, 0.1)).calibration().frequencyHz(), 1e-3);
    assertEquals(981, calibrate(room(6).tone(981, 0.1)).calibration().frequencyHz(), 1e-3);
  }

  @Test
  void takesCalibratorsOf250Hz() throws RefusedException {
    ToneBench bench = room(8).tone(250.2, 0.5).tone(50, 0.002).tone(500.4, 0.004);
    CalibrationResult result =
        CALIBRATOR.calibrate(bench.source(), CalibrationRequest.of(114.0, 250));
    assertEquals(114.0 + 6.0206, result.calibration().levelAtFullScaleDb(), 0.002);
    assertEquals(250.2, result.calibration().frequencyHz(), 1e-3);
  }

  @Test
  void refusesSilenceAndNoise() {
    assertTrue(refusal(new ToneBench(RATE, 5)).contains("every sample is the same"));
    assertTrue(refusal(new ToneBench(RATE, 5).noise(1e-6, 1)).contains("is silent"));
    assertTrue(refusal(new ToneBench(RATE, 5).noise(0.1, 1)).contains("no tone"));
  }

  @Test
  void refusesDistortionAndNoise() {
    assertTrue(refusal(room(6).tone(1000, 0.1).tone(3000, 0.0032)).contains("3.2 %"));
    assertTrue(refusal(room(6).tone(1000, 0.1).noise(0.1 * 0.1 / Math.sqrt(2), 3)).contains("%"));
    ToneBench square = room(6).tone(1000, 1e6).clip(0.1);
    assertTrue(refusal(square).matches(".*(clipped|distortion).*"), refusal(square));
  }

  @Test
  void refusesKnocksInTheMiddle() {
    String message = refusal(room(12).tone(1000, 0.1).knock(6, 0.1, 3));
    assertTrue(message.contains("knock") && message.contains("6.0"), message);
  }

  @Test
  void refusesTwoPlacementsThatDiffer() {
    ToneBench bench = room(20).tone(1000, 0.1, t -> t < 8 ? 1 : t > 12 ? 0.97 : 0);
    assertTrue(refusal(bench).contains("0.26 dB apart"), refusal(bench));
  }

  @Test
  void warnsOfFaintTones() throws RefusedException {
    CalibrationResult result = calibrate(new ToneBench(RATE, 6).noise(1e-6, 2).tone(1000, 5e-4));
    assertEquals("faint-reference-tone", result.warnings().get(0).code());
  }

  @Test
  void requestNamesItsLimits() {
    String message =
        assertThrows(IllegalArgumentException.class, () -> CalibrationRequest.of(30, 1000))
            .getMessage();
    assertTrue(message.contains("referenceLevelDb: 60.0 to 140.0, got 30"), message);
    assertThrows(IllegalArgumentException.class, () -> CalibrationRequest.of(94, 5000));
  }
}
