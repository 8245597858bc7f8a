package org.whinograph.verification;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Instant;
import java.util.Map;
import java.util.TreeMap;
import java.util.function.DoubleUnaryOperator;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.whinograph.calibration.CalibrationRecord;
import org.whinograph.calibration.MicrophoneResponse;
import org.whinograph.calibration.PressureStage;
import org.whinograph.signal.RefusedException;
import org.whinograph.signal.SampleBlock;

/**
 * The correction of a microphone's response against analytic responses: first-order roll-off below,
 * resonances above, as measurement microphones have. The gain is read off the impulse that comes
 * out, by the definition of the Fourier transform. Tolerance: the project's 0.02 dB.
 */
class PressureStageVerificationTest {
  private static final double TOLERANCE_DB = 0.02;

  private static double bump(double f, double db, double at, double octaves) {
    double x = Math.log(f / at) / Math.log(2) / octaves;
    return db * Math.exp(-x * x);
  }

  private static final Map<String, DoubleUnaryOperator> RESPONSES =
      new TreeMap<>(
          Map.of(
              "small electret",
              f -> -10 * Math.log10(1 + Math.pow(15 / f, 2)) + bump(f, 3, 12_000, 0.7),
              "measurement, 0 degrees",
              f -> -10 * Math.log10(1 + Math.pow(8 / f, 2)) + bump(f, 1.2, 9_000, 0.5),
              "measurement, 90 degrees",
              f -> bump(f, -3, 20, 1) + bump(f, -4, 18_000, 0.6),
              "flat but for a dip",
              f -> bump(f, -2, 3_000, 0.4)));

  private static MicrophoneResponse table(DoubleUnaryOperator response, double from, double to) {
    int rows = (int) (24 * Math.log(to / from) / Math.log(2)) + 1;
    double[] frequency = new double[rows];
    double[] db = new double[rows];
    for (int i = 0; i < rows; i++) {
      frequency[i] = from * Math.pow(to / from, i / (rows - 1.0));
      db[i] = response.applyAsDouble(frequency[i]);
    }
    return new MicrophoneResponse("mic.txt", frequency, db, null);
  }

  private static CalibrationRecord calibration(double frequencyHz) {
    return new CalibrationRecord(
        94,
        94,
        frequencyHz,
        frequencyHz,
        0,
        0,
        10,
        0.2,
        Instant.EPOCH,
        null,
        null,
        null,
        48_000,
        24,
        null,
        null);
  }

  /** Taps about the middle one. */
  private static double[] impulseResponse(
      double rate, CalibrationRecord calibration, MicrophoneResponse response)
      throws RefusedException {
    int middle = (int) rate;
    double[] out = new double[2 * middle];
    PressureStage stage =
        new PressureStage(
            rate,
            calibration,
            response,
            block ->
                System.arraycopy(block.samples(), 0, out, (int) block.position(), block.length()));
    double[] in = new double[2 * middle];
    in[middle] = 1;
    stage.accept(SampleBlock.of(in, in.length, rate, 0));
    stage.finish();
    return out;
  }

  private static double gainDb(double[] taps, double rate, double frequency) {
    double re = 0;
    double im = 0;
    for (int i = 0; i < taps.length; i++) {
      if (Math.abs(taps[i]) > 1e-12) {
        double angle = 2 * Math.PI * frequency * (i - taps.length / 2) / rate;
        re += taps[i] * Math.cos(angle);
        im -= taps[i] * Math.sin(angle);
      }
    }
    return 20 * Math.log10(Math.hypot(re, im));
  }

  @ParameterizedTest
  @ValueSource(doubles = {44_100, 48_000, 96_000})
  void subtractsTheTable(double rate) throws RefusedException {
    VerificationReport report =
        new VerificationReport(
            "microphone-response-" + (int) rate,
            "Microphone response undone at " + (int) rate + " samples a second",
            "analytic responses, 20 Hz to 20 kHz; tolerance 0.02 dB (the project's)",
            "response",
            "greatest error [dB]",
            "at [Hz]",
            "greatest error with the response left out [dB]");
    double worst = 0;
    double control = Double.POSITIVE_INFINITY;
    double scale = 20 * Math.log10(Math.sqrt(2) * 20e-6 * Math.pow(10, 94 / 20.0));
    for (var entry : RESPONSES.entrySet()) {
      MicrophoneResponse table = table(entry.getValue(), 20, 20_000);
      double[] taps = impulseResponse(rate, calibration(1000), table);
      double[] plain = impulseResponse(rate, calibration(1000), null);
      double reference = table.responseDb(1000).getAsDouble();
      double greatest = 0;
      double at = 0;
      double without = 0;
      for (double f = 20; f <= 20_000; f *= f < 60 ? 1.03 : 1.2) {
        double wanted = reference - table.responseDb(f).getAsDouble();
        double error = Math.abs(gainDb(taps, rate, f) - scale - wanted);
        without = Math.max(without, Math.abs(gainDb(plain, rate, f) - scale - wanted));
        if (error > greatest) {
          greatest = error;
          at = f;
        }
      }
      report.row(entry.getKey(), greatest, at, without);
      worst = Math.max(worst, greatest);
      control = Math.min(control, without);
    }
    report.save();
    assertTrue(worst <= TOLERANCE_DB, "greatest error " + worst);
    assertTrue(control > 1, "left out, the response itself is the error: " + control);
  }

  @Test
  void isRelativeToTheCalibratorsFrequency() throws RefusedException {
    MicrophoneResponse table = table(f -> bump(f, 2, 250, 1), 20, 20_000);
    double at250 = gainDb(impulseResponse(48_000, calibration(250), table), 48_000, 250);
    double at1000 = gainDb(impulseResponse(48_000, calibration(1000), table), 48_000, 250);
    double scale = 20 * Math.log10(Math.sqrt(2) * 20e-6 * Math.pow(10, 94 / 20.0));
    assertEquals(scale, at250, TOLERANCE_DB);
    assertEquals(scale - 2 + bump(1000, 2, 250, 1), at1000, TOLERANCE_DB);
  }

  @Test
  void isNotExtrapolated() throws RefusedException {
    // Rising by 6 dB an octave at its ends: an extrapolation would reach 12 dB two octaves on.
    MicrophoneResponse table = table(f -> 6 * Math.log(f / 1000) / Math.log(2), 200, 5000);
    double[] taps = impulseResponse(48_000, null, table);
    for (double f : new double[] {20, 35, 50, 95, 10_500, 14_000, 20_000}) {
      assertEquals(0, gainDb(taps, 48_000, f), TOLERANCE_DB, "gain at " + f);
    }
    assertEquals(-6, gainDb(taps, 48_000, 2000), TOLERANCE_DB);
  }
}
